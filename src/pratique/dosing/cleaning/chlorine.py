"""Bleach on an empty tank or on gear: enough at the worst, long enough, neutralised, rinsed, dried, read as zero."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.asking import refuse
from pratique.dosing.cleaning.asking import CleanAsked, ask_cleaning, enough_of
from pratique.dosing.cleaning.drying import as_step, damp_notes, dry_steps, drying, ready_after
from pratique.dosing.cleaning.model import Agent, CleanAnswer, Cleaning, CleanRequest, CleanStep
from pratique.dosing.cleaning.thiosulfate import grams_for, thiosulfate_on_shelf
from pratique.dosing.mix import Notebook
from pratique.dosing.product import Active
from pratique.dosing.work import left_problems
from pratique.elapsed import plus_hours
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.water.chlorine import thiosulfate_for


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
        for note in damp_notes(request):
            self.book.note(note)
        return Cleaning(
            what=request.what,
            where=request.where,
            treatment=treatment,
            at=request.at,
            ready=ready_after(plus_hours(request.at, self.hours.value), drying()),
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
        request, hours, treatment = self.request, self.hours, self.request.treatment
        if request.water is not None:
            yield as_step(treatment, "take every animal out")
        yield as_step(treatment, "clean first")
        amount = f"{digits(add.value)} {self.strength.unit} of {self.strength.name}"
        where = f"into the {digits(self.litres.value)} L of {request.where or request.what}"
        text = f"gloves on, window open: pour {amount} {where}, and mix; nothing acid, no ammonia near"
        yield CleanStep(text=text, by=treatment.people[0], at=request.at, add=add)
        yield as_step(treatment, "wet every surface")
        end = plus_hours(request.at, hours.value)
        yield as_step(treatment, "check the level")
        text = f"{hours.value:g} h over, and no test was under {digits(self.level.value)} mg/L; else bleach again"
        yield CleanStep(text=f"{text}, and {hours.value:g} h from then", by=hours, at=end)
        yield self._neutralise(after)
        zero = as_step(treatment, "test to zero")
        yield CleanStep(text=f"{zero.text}; empty it as local rules allow, and rinse twice", by=zero.by)
        yield from dry_steps(end, drying())
        harmed = treatment.needed("harmed_level")
        text = f"read chlorine once more in the first water that goes in: zero, for {harmed.value:g} mg/L can kill"
        yield CleanStep(text=text, by=harmed)

    def _neutralise(self, after: Figure) -> CleanStep:
        """Thiosulfate for all that went in; as crystals where none is on the shelf."""
        record, at = store.treatment("thiosulfate-neutralising"), plus_hours(self.request.at, self.hours.value)
        product = thiosulfate_on_shelf(self.request.room)
        if product is not None:
            add = grams_for(after, self.litres, product, self.book)
            self.book.problems += left_problems(self.request.room, product, add)
            amount = f"{digits(add.value)} {product.unit} of {product.name}"
        else:
            add = Figure.exact(thiosulfate_for(after.high, self.litres.high, "pentahydrate"), "g")
            amount = f"{digits(add.value)} g of sodium thiosulfate pentahydrate"
            self.book.note("no thiosulfate is on the shelf: buy it first, or write it under `shelf:`")
        text = f"stir in {amount}, with air: it takes up oxygen; by a reading it is less: "
        name = f"'{self.request.what}'" if " " in self.request.what else self.request.what
        asks = f"`pratique dose {name} {record.id} --reading …`"
        if self.request.water is None:
            asks = f"`pratique dip {record.id} --for {name} --reading …`"
        return CleanStep(text=text + asks, by=record.needed("anhydrous_per_chlorine"), at=at, add=add)


def _agents(level: float) -> Iterator[Agent]:
    """Every figure that is known of a disease agent in chlorine, the hardest of each kind."""
    for agent in map(store.pathogen, store.pathogen_ids()):
        for key, ranked in agent.numbers.items():
            if key.endswith("_chlorine"):
                hardest = max(ranked, key=lambda number: number.high)
                what = key.removesuffix("_chlorine").replace("_", " ")
                yield Agent(name=agent.short, what=what, level=hardest, times=level / hardest.high)
