"""Bleach on an empty tank or on gear: enough at the worst, long enough, neutralised, rinsed, dried, read as zero."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.asking import refuse
from pratique.dosing.cleaning.asking import CleanAsked, ask_cleaning, enough_of
from pratique.dosing.cleaning.drying import cite, damp_notes, dry_steps, drying, ready_after
from pratique.dosing.cleaning.model import Agent, CleanAnswer, Cleaning, CleanRequest, CleanStep
from pratique.dosing.cleaning.thiosulfate import grams_for, thiosulfate_on_shelf
from pratique.dosing.mix import Notebook
from pratique.dosing.product import Active
from pratique.dosing.work import later, left_problems
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Statement

_ENDINGS = ("_chlorine", "survives_chlorine")


def work_out_chlorine(request: CleanRequest) -> CleanAnswer:
    """The bleach and the hours for `request`, or a Refusal.

    mL = level × litres ÷ strength, for the largest water and the weakest bottle that the errors allow. Level and time
    are the strongest of treatment and disease agents. Source: PIPER82 p 283 and 285.
    """
    asked = ask_cleaning(request)
    refusal = refuse(asked.problems)
    if refusal is not None:
        return refusal
    assert asked.strength is not None
    assert request.litres is not None
    return _Bleaching(request, asked, asked.strength, request.litres.figure).sheet()


def strongest(name: str) -> Sourced:
    """The strongest figure on file for `level` or `contact_time`: of the treatment, or of a disease agent."""
    treatment = store.treatment("chlorine-disinfection")
    ending = {"level": "_chlorine", "contact_time": "_chlorine_time"}[name]
    asked = [
        number
        for agent in map(store.pathogen, store.pathogen_ids())
        for key, ranked in agent.numbers.items()
        if key.endswith(ending)
        for number in ranked
    ]
    return max([*treatment.numbers[name], *asked], key=lambda number: number.value)


class _Bleaching:
    """One disinfection being worked out."""

    def __init__(self, request: CleanRequest, asked: CleanAsked, strength: Active, litres: Figure) -> None:
        self.request, self.asked, self.strength, self.litres = request, asked, strength, litres
        assert request.litres is not None
        steps = [*request.litres.working, strength.step]
        self.book = Notebook(steps=steps, problems=list(asked.problems))
        self.level, self.hours = strongest("level"), strongest("contact_time")

    def sheet(self) -> CleanAnswer:
        request, treatment = self.request, self.request.treatment
        active, add = self._bleach()
        after = self._after(add)
        self.book.problems += left_problems(request.room, self.strength, add)
        steps = tuple(self._steps(add, after))
        for note in damp_notes(request, drying().stop[0]):
            self.book.note(note)
        return Cleaning(
            what=request.what,
            where=request.where,
            treatment=treatment,
            at=request.at,
            ready=ready_after(later(request.at, self.hours.value), drying()),
            steps=steps,
            product=self.strength.name,
            water=self.litres,
            level=Figure.exact(self.level.value, "mg/L"),
            hours=self.hours,
            active=active,
            add=add,
            after=after,
            agents=tuple(_agents(self.level.value)),
            working=tuple(self.book.steps),
            sources=(self.level, self.hours, treatment.needed("harmed_level")),
            cautions=(*treatment.people, *treatment.cautions),
            problems=tuple(self.book.problems),
            notes=tuple(self.book.notes),
            overridden=self.asked.overridden,
        )

    def _bleach(self) -> tuple[Figure, Figure]:
        """mg of chlorine and the product for it, for the largest water and the weakest bottle."""
        strength = self.strength
        wanted = self.level.value * self.litres.high
        amount = enough_of(wanted, strength)
        expression = f"{digits(self.litres.high)} L × {digits(self.level.value)} mg/L"
        self.book.write("chlorine", expression, f"{digits(wanted)} mg", self.level.source)
        weak = f" ÷ {1 - strength.share_error:g}" if strength.share_error else ""
        expression = f"{digits(wanted)} mg ÷ {digits(strength.per_unit)} mg per {strength.unit}{weak}"
        self.book.write(strength.name, expression, f"{digits(amount)} {strength.unit}")
        if self.litres.high > self.litres.low or strength.share_error:
            self.book.note("enough for the largest water and the weakest bottle: too little is the danger here")
        return Figure.exact(wanted, "mg"), Figure.exact(amount, strength.unit)

    def _after(self, add: Figure) -> Figure:
        """The level that `add` reaches, with its ends."""
        strength, litres = self.strength, self.litres
        poured = add.value * strength.per_unit
        low = poured * (1 - strength.share_error) / litres.high
        high = poured * (1 + strength.share_error) / litres.low
        return Figure.around(poured / litres.value, "mg/L", low, high)

    def _steps(self, add: Figure, after: Figure) -> Iterator[CleanStep]:
        request, hours = self.request, self.hours
        empty, clean, _, wet, check, _, zero = request.treatment.steps
        if request.water is not None:
            yield _said(empty)
        yield _said(clean)
        amount = f"{digits(add.value)} {self.strength.unit} of {self.strength.name}"
        where = f"into the {digits(self.litres.value)} L of {request.where or request.what}"
        text = f"gloves on, window open: pour {amount} {where}, and mix; nothing acid, no ammonia near"
        yield CleanStep(text=text, source=_of(request.treatment.people[0]), at=request.at, add=add)
        yield _said(wet)
        end = later(request.at, hours.value)
        text = f"the time is up, {hours.value:g} h at the least, if the level held: {check.text}"
        yield CleanStep(text=f"{text}; under {digits(self.level.value)} mg/L add bleach and begin again", at=end,
                        source=cite(hours))  # fmt: skip
        yield self._neutralise(after)
        text = f"{zero.text}; empty it down the drain that local rules allow, and rinse twice"
        yield CleanStep(text=text, source=_of(zero))
        yield from dry_steps(end, drying())
        yield CleanStep(text=f"read chlorine once more in the first water that goes in: zero, or {_danger(request)}")

    def _neutralise(self, after: Figure) -> CleanStep:
        """Thiosulfate for all that went in; as crystals where none is on the shelf."""
        record, at = store.treatment("thiosulfate-neutralising"), later(self.request.at, self.hours.value)
        product = thiosulfate_on_shelf(self.request.room)
        if product is not None:
            add = grams_for(after, self.litres, product, self.book)
            self.book.problems += left_problems(self.request.room, product, add)
            amount = f"{digits(add.value)} {product.unit} of {product.name}"
        else:
            ratio = record.needed("pentahydrate_per_chlorine")
            add = Figure.exact(after.high * self.litres.high * ratio.value / 1000, "g")
            amount = f"{digits(add.value)} g of sodium thiosulfate pentahydrate"
            self.book.note("no thiosulfate is on the shelf: buy it first, or write it under `shelf:`")
        text = f"stir in {amount}, with air: it takes up oxygen; by a reading it is less: "
        name = f"'{self.request.what}'" if " " in self.request.what else self.request.what
        asks = f"`pratique dose {name} {record.id} --reading …`"
        if self.request.water is None:
            asks = f"`pratique dip {record.id} --for {name} --reading …`"
        return CleanStep(text=text + asks, source=cite(record.needed("anhydrous_per_chlorine")), at=at, add=add)


def _danger(request: CleanRequest) -> str:
    harmed = request.treatment.needed("harmed_level")
    return f"no animal: {harmed.value:g} mg/L can kill"


def _agents(level: float) -> Iterator[Agent]:
    """Each disease agent that something is known of, with its hardest figure."""
    for agent in map(store.pathogen, store.pathogen_ids()):
        for ending in _ENDINGS:
            found = [
                (key, number)
                for key, ranked in agent.numbers.items()
                if key.endswith(ending) and (ending != "_chlorine" or key != "survives_chlorine")
                for number in ranked
            ]
            if not found:
                continue
            key, hardest = max(found, key=lambda entry: entry[1].high)
            what = key.removesuffix("_chlorine").replace("_", " ")
            yield Agent(name=agent.short, what=what, level=hardest, is_reached=level >= hardest.high)


def _said(statement: Statement) -> CleanStep:
    return CleanStep(text=statement.text, source=_of(statement))


def _of(statement: Statement) -> str:
    return f"{statement.source}, {statement.where} ({statement.confidence})"
