"""The short form of each kind of entry, after its first word. Square brackets mark what may be left out.

reading TANK WHAT VALUE [with KIT]          dose TANK [TREATMENT] AMOUNT of PRODUCT [into new water]
change TANK VOLUME|SHARE % [with AMOUNT of PRODUCT]                         top-off TANK VOLUME
move BATCH|[COUNT] ANIMAL|THING [from TANK] [to] TANK                       arrived BATCH [in] TANK
death TANK [COUNT] ANIMAL      found TANK [COUNT] ANIMAL      sign TANK [[COUNT] ANIMAL] SIGN…
fed TANK [TREATMENT] [with FOOD]            done LINE…|TASK                 skipped LINE|TASK
look TANK|BATCH [ANIMAL] [3 heads] [eating|not eating] [80 breaths] [SIGN…] [microscope|necropsy WORDS]
dip BATCH|[COUNT] ANIMAL [from TANK] TREATMENT [for MINUTES min] [with AMOUNT of PRODUCT]
out ID|BATCH|ANIMAL [after MINUTES min] [early|distress]
gear GEAR in TANK              cleaned TANK|GEAR              dried TANK|GEAR
opened PRODUCT                 bought PRODUCT AMOUNT          spoiled PRODUCT [AMOUNT]
note [TANK] WORDS
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, get_args

from pratique.logbook.bottle import AMOUNT_EXAMPLE, Fields, amount_of, check_product, needed_quantity
from pratique.logbook.dips import dip_fields, out_fields
from pratique.logbook.fields import Thing
from pratique.logbook.looks import look_fields
from pratique.logbook.scope import Scope
from pratique.logbook.words import Names, Words
from pratique.problem import near_hint, near_names, quoted
from pratique.room.wrong import Wrong

Grammar = Callable[[Words, Scope], Sequence[Fields]]
"""The fields of each entry that the words say, but for those all entries share; `remark` goes into the note."""

_THINGS = Names("thing", get_args(Thing))


def _reading(words: Words, scope: Scope) -> Sequence[Fields]:
    tank = words.name(scope.tanks)
    return [reading_of(tank, words, scope)]


def reading_of(tank: str, words: Words, scope: Scope) -> Fields:
    """A reading whose tank is known, beginning with what was measured."""
    what: Any = words.name(scope.measured)
    value = needed_quantity(words.upto("with"), what, "the value", "write it with its unit, such as `2.1 mg/L`")
    if words.try_word("with"):
        kit = words.name(scope.kits)
        measures = scope.room.written.kits[kit].measures
        if measures != what:
            message = f"{quoted(kit)} measures {measures}, not {what}"
            raise Wrong("L736", message, "name the kit it was read with, or leave it out", part=kit)
    else:
        kit = scope.only_kit_for(what) or ""
    return {"tank": tank, "what": what, "value": value, "kit": kit or None}


def _dose(words: Words, scope: Scope) -> Sequence[Fields]:
    tank = words.name(scope.tanks)
    treatment = _try_treatment(words, scope)
    fields = amount_of(words, scope, treatment)
    into = "tank"
    if words.try_word("into new water", "in new water", "to new water", "into new-water", "into the new water"):
        into = "new-water"
    else:
        words.try_word("into tank", "into the tank")
    return [{"tank": tank, "treatment": treatment, "into": into, **fields}]


def _try_treatment(words: Words, scope: Scope) -> str | None:
    if not words.left or words.left[0][0] in "+-.0123456789":
        return None
    return words.try_name(scope.treatments) or words.name(scope.treatment_names)


def _change(words: Words, scope: Scope) -> Sequence[Fields]:
    tank = words.name(scope.tanks)
    hint = "write litres or a share, such as `20 L` or `25 %`"
    fields = {"tank": tank, "volume": needed_quantity(words.upto("with"), "share", "how much was changed", hint)}
    if words.try_word("with"):
        fields |= amount_of(words, scope, None)
    return [fields]


def _top_off(words: Words, scope: Scope) -> Sequence[Fields]:
    words.try_word("off", "up")
    tank = words.name(scope.tanks)
    return [{"tank": tank, "volume": needed_quantity(words.take_rest(), "volume", "the volume", "such as `3 L`")}]


def _move(words: Words, scope: Scope) -> Sequence[Fields]:
    words.need("what was moved", "name a batch or an animal, then the tank it went to")
    fields = _who(words, scope)
    if words.try_word("from"):
        fields["from"] = words.name(scope.tanks)
    words.try_word("into", "to", "in")
    return [{**fields, "to": words.name(scope.tanks)}]


def _who(words: Words, scope: Scope) -> Fields:
    count = words.try_count()
    batch = words.try_name(scope.batches) if count is None else None
    if batch is not None:
        words.try_word("batch")
        return {"batch": batch}
    animal = words.try_name(scope.animals)
    if animal is not None:
        batch = words.name(scope.batches) if words.try_word("of") else scope.batch_of(animal)
        return {"animals": (animal,), "batch": batch, "count": count}
    thing = words.try_name(_THINGS) if count is None else None
    if thing is not None:
        return {"things": (thing,)}
    both = Names("batch or animal", (*scope.batches.all, *scope.animals.all))
    words.need("what was moved", both.known())
    raise both.unknown(words.left)


def _arrived(words: Words, scope: Scope) -> Sequence[Fields]:
    batch = words.name(scope.batches)
    words.try_word("into", "in", "to", "at")
    return [{"batch": batch, "tank": words.name(scope.tanks)}]


def _death(words: Words, scope: Scope) -> Sequence[Fields]:
    tank, count = words.name(scope.tanks), words.try_count()
    animal = words.name(scope.animals)
    batch = words.name(scope.batches) if words.try_word("of") else scope.batch_of(animal)
    return [{"tank": tank, "animal": animal, "batch": batch, "count": count or words.try_count() or 1}]


def _found(words: Words, scope: Scope) -> Sequence[Fields]:
    """The animal need not be in the room file: it is there by surprise."""
    tank, count = words.name(scope.tanks), words.try_count()
    words.need("the animal", "write what was seen, such as `found reef clownfish`")
    return [{"tank": tank, "animal": words.try_name(scope.animals) or words.take_rest(), "count": count or 1}]


def _sign(words: Words, scope: Scope) -> Sequence[Fields]:
    tank, count = words.name(scope.tanks), words.try_count()
    animal = words.try_name(scope.animals)
    batch = scope.batch_of(animal) if animal else None
    if animal and words.try_word("of"):
        batch = words.name(scope.batches)
    words.need("the sign", scope.signs.known())
    signs: list[str] = []
    while words.left:
        if not words.try_word("and", "with"):
            signs.append(words.name(scope.signs))
    return [{"tank": tank, "animal": animal, "batch": batch, "count": count, "signs": tuple(dict.fromkeys(signs))}]


def _fed(words: Words, scope: Scope) -> Sequence[Fields]:
    tank = words.name(scope.tanks)
    treatment = words.try_name(scope.treatments)
    food = words.take_rest() if words.try_word("with") else None
    return [{"tank": tank, "treatment": treatment, "food": food or None}]


def _task(words: Words, scope: Scope) -> str:
    words.need("the task", "write a line of today's sheet, such as `done 3`, or the id of a task")
    word = words.left[0].rstrip(",")
    words.at += 1
    if word.isascii() and word.isdigit():
        at = (words.moment or scope.at).astimezone(scope.room.zone)
        found = scope.task_on(int(word), at) if len(word) < _LONGEST_LINE_NUMBER else None
        if found is None:
            date = "" if scope.is_today(at) else f" {at:%Y-%m-%d}"
            sheet = f"the sheet of{date}" if date else "today's sheet"
            today = "; a line of today's sheet is meant where no other day is given" if date else ""
            hint = f"`pratique day{date}` prints it{today}"
            raise Wrong("L738", f"{sheet} has no line {quoted(word)}", hint, part=word)
        return found
    if word not in scope.task_ids and (scope.task_ids or "/" not in word):
        hint = near_hint(near_names(word, scope.task_ids)) or (
            "write the numbers of the day's lines, such as `1 2`, as `pratique day` prints them; "
            "`pratique plan --json` lists the ids of tasks"
        )
        raise Wrong("L738", f"the plan has no task {quoted(word)}", hint, part=word)
    return word


_LONGEST_LINE_NUMBER = 6


def _done(words: Words, scope: Scope) -> Sequence[Fields]:
    tasks = [_task(words, scope)]
    while words.left:
        tasks.append(_task(words, scope))
    return [{"task": task} for task in dict.fromkeys(tasks)]


def _skipped(words: Words, scope: Scope) -> Sequence[Fields]:
    return [{"task": _task(words, scope)}]


def _gear(words: Words, scope: Scope) -> Sequence[Fields]:
    gear = words.name(scope.gear)
    words.try_word("used in", "in", "into")
    return [{"gear": gear, "tank": words.name(scope.tanks)}]


def _tank_or_gear(words: Words, scope: Scope) -> Sequence[Fields]:
    if words.try_word("tank"):
        return [{"tank": words.name(scope.tanks)}]
    if words.try_word("gear"):
        return [{"gear": words.name(scope.gear)}]
    both = Names("tank or gear", (*scope.tanks.all, *scope.gear.all))
    found = words.name(both)
    tank, gear = scope.tanks.meant(found), scope.gear.meant(found)
    if tank and gear:
        hint = f"write `tank {found}` or `gear {found}`"
        raise Wrong("L733", f"{quoted(found)} is both a tank and a set of gear", hint, part=found)
    return [{"tank": found} if tank else {"gear": found}]


def _opened(words: Words, scope: Scope) -> Sequence[Fields]:
    return [{"product": words.name(scope.products)}]


def _bought(words: Words, scope: Scope) -> Sequence[Fields]:
    product = words.name(scope.products)
    amount = needed_quantity(words.take_rest(), "amount", "the amount", "write such as `250 mL` or `40 g`")
    check_product(product, scope.room.written.shelf[product], amount.unit, None)
    return [{"product": product, "amount": amount}]


def _spoiled(words: Words, scope: Scope) -> Sequence[Fields]:
    product = words.name(scope.products)
    if not words.left:
        return [{"product": product}]
    amount = needed_quantity(words.take_rest(), "amount", "the amount", AMOUNT_EXAMPLE)
    check_product(product, scope.room.written.shelf[product], amount.unit, None)
    return [{"product": product, "amount": amount}]


def _note(words: Words, scope: Scope) -> Sequence[Fields]:
    tank = words.try_name(scope.tanks)
    words.need("the note", "write what is worth keeping")
    return [{"tank": tank, "note": words.take_rest()}]


GRAMMAR: dict[str, tuple[Grammar, tuple[str, ...]]] = {
    "reading": (_reading, ("read", "test")),
    "dose": (_dose, ("dosed",)),
    "change": (_change, ("changed", "water-change", "wc")),
    "top-off": (_top_off, ("topoff", "top-up", "topped", "top")),
    "move": (_move, ("moved", "transfer", "transferred")),
    "arrival": (_arrived, ("arrived", "arrives")),
    "death": (_death, ("died", "dead")),
    "found": (_found, ()),
    "sign": (_sign, ("signs",)),
    "fed": (_fed, ("feed",)),
    "look": (look_fields, ("looked",)),
    "dip": (dip_fields, ("dipped",)),
    "out": (out_fields, ()),
    "done": (_done, ("did",)),
    "skipped": (_skipped, ("skip",)),
    "gear": (_gear, ()),
    "cleaned": (_tank_or_gear, ("clean",)),
    "dried": (_tank_or_gear, ("dry",)),
    "opened": (_opened, ("open",)),
    "bought": (_bought, ()),
    "spoiled": (_spoiled, ()),
    "note": (_note, ()),
}
"""Kind to the form of its words and the other first words it goes by."""
