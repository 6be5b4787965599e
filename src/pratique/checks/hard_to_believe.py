"""Readings that are hard to believe: a level no water holds, one the log contradicts, a kit that cannot read it.

They are kept, since the keeper was there; the warning says how the mistake is mended before anything is done by it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pratique.dosing.aim import MOST_WITHOUT_CEILING
from pratique.dosing.kits import READS_ITS_FORM
from pratique.dosing.slips import COPPERS, LARGE, explain_level
from pratique.figure import Figure, digits
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.logbook.entry import Common, Correction, Reading
from pratique.problem import Problem, Refusal, quoted
from pratique.room.resolve import Room
from pratique.schedule.calendar import plus_hours
from pratique.schedule.feeds import SOON, kit_of
from pratique.schedule.reckoned import reckoned_level
from pratique.schedule.recorded import medicines_on_record
from pratique.water.judging import judge_ammonia
from pratique.water.oxygen import saturation
from pratique.water.state import Readings, look_at

MOST_OXYGEN = 2.0
"""Times the saturation: a tank of fish that is aerated lies near it, and double is the meter or the point (D)."""


def doubtful_readings(room: Room, history: History, entries: Sequence[Common]) -> Iterator[Problem]:
    """What is odd about each new reading, L753 and L754; `history` has it."""
    for entry in entries:
        written = entry.instead if isinstance(entry, Correction) else entry
        if isinstance(written, Reading) and written.tank in room.tanks:
            yield from _LOOKS.get(written.what, _nothing)(room, history, written)


def _nothing(_room: Room, _history: History, _written: Reading) -> Iterator[Problem]:
    yield from ()


def _copper(room: Room, history: History, written: Reading) -> Iterator[Problem]:
    water = room.tanks[written.tank].water
    there = [store.treatment(id_) for id_ in medicines_on_record(room, history, water) if id_ in COPPERS]
    forms = {product.form for product in room.written.shelf.values() if product.active == "copper"}
    meant = there or [store.treatment(id_) for id_ in COPPERS if store.treatment(id_).form in forms]
    used = meant or [store.treatment(id_) for id_ in COPPERS]
    highest = max(used, key=_most)
    if written.value.value > _most(highest) * MOST_WITHOUT_CEILING:
        what = f"{highest.title} is never used above {digits(_most(highest))} mg/L"
        yield _odd(written, what, explain_level(written.value.value, highest))
    else:
        yield from (problem for known in there if (problem := _beside_the_log(history, known, water, written)))
    unread = next((known for known in there if not _reads(room, history, written, known)), None)
    if unread is not None:
        yield _unread(room, written, unread)


def _most(treatment: Treatment) -> float:
    return (treatment.number("ceiling") or treatment.needed("target")).high


def _reads(room: Room, history: History, written: Reading, treatment: Treatment) -> bool:
    water = room.tanks[written.tank].water
    found = next((known for known in history.of_water(water).readings if known.entry_id == written.id), None)
    return found is None or kit_of(room, found, treatment.form)[1]


def _unread(room: Room, written: Reading, treatment: Treatment) -> Problem:
    suited = [name for name, kit in room.written.kits.items() if treatment.form in kit.forms]
    hint = f"if it was {quoted(suited[0])}, correct the entry with its name" if suited else "get a kit that reads it"
    who = f"{quoted(written.kit)} cannot measure" if written.kit else "no kit is named, and not every kit on file reads"
    return Problem(
        code="L754",
        severity="warning",
        message=f"{who} {treatment.form} copper, which is in {quoted(written.tank)}: this reading counts for nothing",
        source=READS_ITS_FORM,
        hint=f"{hint}; else read again with one that does",
    )


def _beside_the_log(history: History, treatment: Treatment, water: str, written: Reading) -> Problem | None:
    """A level half or double of what the doses in the log make, just before the reading."""
    before = reckoned_level(history, treatment, water, plus_hours(written.at, -2 * SOON))
    level = written.value.value
    if before is None or min(level, before.level.value) <= 0:
        return None
    if max(level / before.level.value, before.level.value / level) < LARGE:
        return None
    note = f"by the doses in the log {digits(before.level.value)} mg/L of copper is in {quoted(written.tank)}"
    return _odd(written, note, "")


def _ammonia(room: Room, _history: History, written: Reading) -> Iterator[Problem]:
    value = written.value
    total = Figure.around(value.value, value.unit, value.low or value.value, value.high or value.value)
    answer = judge_ammonia(look_at(room, written.tank, Readings()), total, None)
    if not isinstance(answer, Refusal) and answer.judged.verdict == "kills":
        tenths = " or ".join(f"{value.value / size:g} {value.unit}" for size in (100, 10))
        yield _odd(written, "at this level fish die", f"{tenths} was meant, if the fish are well")


def _oxygen(room: Room, _history: History, written: Reading) -> Iterator[Problem]:
    conditions = look_at(room, written.tank, Readings()).conditions
    if conditions is None:
        return
    most = saturation(conditions.temperature.value, conditions.salinity.value)
    if written.value.value > most * MOST_OXYGEN:
        yield _odd(written, f"water like this holds about {digits(most)} mg/L", "the meter may show %, not mg/L")


def _odd(written: Reading, because: str, slip: str) -> Problem:
    return Problem(
        code="L753",
        severity="warning",
        message=f"{written.what} {written.value.text} in {quoted(written.tank)} is hard to believe: {because}",
        note=f"what may have happened: {slip}" if slip else "",
        hint="read again before anything is done by it; if it was a slip, take the entry back or set it right",
    )


_LOOKS = {"copper": _copper, "ammonia": _ammonia, "oxygen": _oxygen}
"""What was measured to what can be odd about it."""
