"""Thiosulfate against the chlorine that is left: by a reading, or by what went in."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.asking import refuse
from pratique.dosing.cleaning.asking import ask_cleaning, enough_of
from pratique.dosing.cleaning.drying import as_step
from pratique.dosing.cleaning.model import CleanAnswer, Cleaning, CleanRequest, CleanStep
from pratique.dosing.mix import Notebook
from pratique.dosing.product import Active, active_of, products_for
from pratique.dosing.work import left_problems
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.room.resolve import Room
from pratique.water.chlorine import thiosulfate_for

_CLEANED_WITH = "chlorine-disinfection"


def work_out_thiosulfate(request: CleanRequest) -> CleanAnswer:
    """What takes the chlorine out of the water, or a Refusal. Source: PIPER82 p 283 (7.4 of the crystals to 1)."""
    asked = ask_cleaning(request)
    refusal = refuse(asked.problems)
    if refusal is not None:
        return refusal
    assert asked.strength is not None
    assert request.litres is not None
    book = Notebook(steps=list(request.litres.working), problems=list(asked.problems))
    chlorine = _chlorine_in(request, book)
    litres = request.litres.figure
    add = grams_for(chlorine, litres, asked.strength, book)
    if chlorine.high <= 0:
        book.note("the test says none is left: nothing to add")
    book.problems += left_problems(request.room, asked.strength, add)
    treatment = request.treatment
    ratio = treatment.needed("anhydrous_per_chlorine")
    return Cleaning(
        what=request.what,
        where=request.where,
        treatment=treatment,
        at=request.at,
        ready=request.at,
        steps=tuple(_steps(request, asked.strength, add)),
        product=asked.strength.name,
        water=litres,
        level=chlorine,
        active=Figure.exact(add.value * asked.strength.per_unit, "mg"),
        add=add,
        after=Figure.exact(0.0, "mg/L"),
        working=tuple(book.steps),
        sources=(ratio, treatment.needed("harmed_level")),
        cautions=(*treatment.people, *treatment.cautions),
        problems=tuple(book.problems),
        notes=tuple(book.notes),
        overridden=asked.overridden,
    )


def grams_for(chlorine: Figure, litres: Figure, strength: Active, book: Notebook) -> Figure:
    """The product (g, mL or tablets) for all the chlorine there may be, even in the largest water and the weakest
    product: a little too much only costs oxygen.
    """
    salt = thiosulfate_for(chlorine.high, litres.high, "anhydrous")
    amount = enough_of(salt * 1000, strength)
    ratio = store.treatment("thiosulfate-neutralising").needed("anhydrous_per_chlorine")
    expression = f"{digits(litres.high)} L × {digits(chlorine.high)} mg/L × {ratio.value:g}, as anhydrous"
    book.write("thiosulfate for it", expression, f"{digits(salt)} g", ratio.source)
    book.steps.append(strength.step)
    weak = f" ÷ {1 - strength.share_error:g}" if strength.share_error else ""
    expression = f"{digits(salt * 1000)} mg ÷ {digits(strength.per_unit)} mg per {strength.unit}{weak}"
    book.write(strength.name, expression, f"{digits(amount)} {strength.unit}")
    return Figure.exact(amount, strength.unit)


def thiosulfate_on_shelf(room: Room) -> Active | None:
    """The first product that neutralises, or None."""
    names = products_for(room, store.treatment("thiosulfate-neutralising"))
    return active_of(room, names[0]) if names else None


def _chlorine_in(request: CleanRequest, book: Notebook) -> Figure:
    """A reading; else what the file says the water holds; else all that a disinfection puts in."""
    if request.reading is not None:
        book.write("chlorine", "reading", f"{digits(request.reading.value)} mg/L")
        return Figure.of(request.reading)
    holds = request.water.conditions.holds if request.water is not None else ()
    held = next((entry.level for entry in holds if entry.treatment == _CLEANED_WITH and entry.level is not None), None)
    if held is not None:
        book.write("chlorine", "as the room file says", f"{digits(held.value)} mg/L")
        return Figure.of(held)
    level = store.treatment(_CLEANED_WITH).needed("level")
    book.write("chlorine", "no reading: as much as a disinfection puts in", f"{digits(level.value)} mg/L", level.source)
    book.note(f"taken as {level.value:g} mg/L, all that a disinfection puts in; by a `--reading` it is less")
    return Figure.exact(level.value, "mg/L")


def _steps(request: CleanRequest, strength: Active, add: Figure) -> Iterator[CleanStep]:
    treatment = request.treatment
    yield as_step(treatment, "only after")
    if add.value > 0:
        reckon = as_step(treatment, "reckon with").text
        yield CleanStep(
            text=f"dissolve {digits(add.value)} {strength.unit} of {strength.name}, pour it in, and mix; {reckon}",
            by=treatment.needed("anhydrous_per_chlorine"),
            at=request.at,
            add=add,
        )
    for beginning in ("aerate", "test chlorine", "where the tap water", "throw the water"):
        yield as_step(treatment, beginning)
