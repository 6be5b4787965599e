"""A prescribed drug in the water: the first dose by the common sum, the dates and amounts of the others."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.dosing.aim import find_aim
from pratique.dosing.dose import Dose, Request
from pratique.dosing.mix import Mix, Notebook
from pratique.dosing.prescribed.course import BathCourse, Given, PrescribedRequest, Redose
from pratique.dosing.prescribed.said import cautions_of, doses_in, prescribed_number
from pratique.dosing.prescribed.usual import unusual_problems
from pratique.dosing.work import active_in, left_problems, work_out
from pratique.elapsed import plus_hours
from pratique.figure import Figure, digits
from pratique.problem import Problem, Refusal
from pratique.water.dilution import after_change

MOST_PILED_UP = 2.0
"""Times the prescribed level that the doses may reach together before it is asked about (D)."""


def work_out_bath(request: PrescribedRequest, given: Given) -> BathCourse | Refusal:
    """The doses of a prescription in the water of the tank, or every reason against it.

    Every dose is whole: the level that was prescribed, for the whole water, whatever is left of the one before.
    Source: arithmetic on what was prescribed.
    """
    asked = _as_asked(request.asked, given)
    unusual = list(unusual_problems(request.asked.room, request.asked.treatment, given))
    dose = work_out(asked)
    if isinstance(dose, Refusal):
        return dose
    return _course(request, given, asked, dose, unusual)


def _as_asked(asked: Request, given: Given) -> Request:
    """The common question, with the prescribed level as the only one there is."""
    numbers = {**asked.treatment.numbers, "target": (prescribed_number(given),)}
    update = {"numbers": numbers, "decided_by": "", "kind": "immersion", "unit": "mg/L"}
    return replace(asked, treatment=asked.treatment.model_copy(update=update), product=given.written.product)


def _course(request: PrescribedRequest, given: Given, asked: Request, dose: Dose, unusual: list[Problem]) -> BathCourse:
    written = given.written
    count = 1 if dose.change is not None else doses_in(written.days.value, written.every.value)
    redoses = tuple(_redoses(asked, given, dose, count))
    total = dose.add
    for redose in redoses:
        total = total.plus(redose.add)
    problems = [*unusual, *(problem for problem in dose.problems if problem.code != "D457")]
    problems += left_problems(asked.room, active_in(dose, asked.room), total)
    problems += [*_piled_up(asked, given, redoses), *_others(request, given)]
    return BathCourse(
        given=given,
        dose=dose,
        redoses=redoses,
        end=plus_hours(asked.at, written.days.value),
        add_in_all=total,
        cautions=cautions_of(request.asked.treatment, given),
        problems=tuple(problems),
        notes=tuple(_notes(given, dose, redoses)),
    )


def _redoses(asked: Request, given: Given, dose: Dose, count: int) -> Iterator[Redose]:
    strength, water = active_in(dose, asked.room), dose.water
    aim = find_aim(asked.treatment, None, None)
    assert aim is not None
    mix = Mix(room=asked.room, aim=aim, strength=strength, water=water, book=Notebook())
    poured = mix.poured(given.dose * water.value)
    level = poured / water.value
    add = mix.product(mix.span(poured, given.dose, Figure.exact(0.0, "mg/L")))
    share = given.written.change.value / 100 if given.written.change is not None else 0.0
    error = strength.share_error
    alone = Figure.around(
        level,
        "mg/L",
        level * (1 - error) * water.value / water.high,
        level * (1 + error) * water.value / water.low,
    )
    most = dose.after.high
    for number in range(1, count):
        most = after_change(most, share) + alone.high
        yield Redose(
            at=plus_hours(asked.at, number * given.written.every.value),
            change=share * water.value,
            add=add,
            after=replace(alone, high=most),
        )


def _piled_up(asked: Request, given: Given, redoses: tuple[Redose, ...]) -> Iterator[Problem]:
    most = max((redose.after.high for redose in redoses), default=0.0)
    if most <= given.dose * MOST_PILED_UP:
        return
    yield Problem(
        code="D537",
        severity="warning",
        message=f"if nothing is lost between the doses, the level climbs to {digits(most)} mg/L, "
        f"{most / given.dose:.2g} × what was prescribed",
        places=(asked.room.place(("prescriptions", given.name), key=True),),
        note="each dose was worked out whole: nothing on file says how much of the one before is left",
        hint="ask whether each dose is whole or makes up for what a change takes; a change before each is "
        "`change: 25 %` in the prescription",
    )


def _others(request: PrescribedRequest, given: Given) -> Iterator[Problem]:
    """Whoever shares the water gets the drug too."""
    if not given.others:
        return
    room, names = request.asked.room, ", ".join(f"`{name}`" for name in dict.fromkeys(a.label for a in given.others))
    yield Problem(
        code="D538",
        severity="warning",
        message=f"{names} in the same water get it too, and `{given.name}` does not name them",
        places=(room.place(("prescriptions", given.name, "for")),),
        hint="ask the veterinarian whether it is for all of them, then name the tank; or treat the patient apart",
    )


def _notes(given: Given, dose: Dose, redoses: tuple[Redose, ...]) -> Iterator[str]:
    if dose.change is not None:
        yield "this is for the change alone: leave `--change` out for the dates of the course"
    if redoses and given.written.change is None:
        yield "the prescription names no change of water before the next dose: ask whether there is one"
    if redoses:
        yield "the lower level stands where all of the dose before is gone, the higher where none of it is"
