"""The level that is there before anything is added, and how far it can be believed."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dates import shown_moment
from pratique.dosing.aim import Aim, wrong_unit
from pratique.dosing.dose import Request
from pratique.dosing.kits import best_kit, read_with
from pratique.dosing.mix import Notebook
from pratique.dosing.ramp import ladder
from pratique.dosing.slips import explain_reading
from pratique.dosing.trusted import kit_problems
from pratique.elapsed import hours_between
from pratique.figure import Figure
from pratique.problem import Place, Problem
from pratique.quantity import Measure
from pratique.room.model import Holds, Kit

FIRST_DOSE = 12.0
"""Hours: for so long after its planned moment a first dose may still be the one that is asked about."""


def kit_for(request: Request, aim: Aim) -> Kit | None:
    """The kit a reading is taken to come from; None where the treatment's level is not measured with one."""
    if not request.treatment.form:
        return None
    if request.kit:
        return request.room.written.kits.get(request.kit)
    found = best_kit(request.room, request.treatment.form, near=aim.level, at=request.at)
    return found[1] if found is not None else None


def held_before(request: Request) -> Holds | None:
    """What the room file says of this treatment in this water."""
    holds = request.room.water_of(request.tank).conditions.holds
    return next((entry for entry in holds if entry.treatment == request.treatment.id), None)


def fades(request: Request) -> bool:
    """True for a medicine known to vanish by itself: what the room file once held of it is no level now."""
    return request.treatment.number("persistence") is not None


def is_change(request: Request) -> bool:
    """True where a water change was asked for."""
    return request.change_share is not None or request.change_litres is not None


def stated_level(request: Request) -> Measure | None:
    """The reading that was given; else the level the room file holds, unless it has faded since."""
    if request.reading is not None:
        return request.reading
    held = held_before(request)
    return held.level if held is not None and not fades(request) else None


def reading_problems(request: Request, aim: Aim) -> Iterator[Problem]:
    """What speaks against the level before: unknown, counted otherwise, out of the kit's sight, or a likely slip."""
    stated = stated_level(request)
    if stated is None:
        yield from _unknown_level(request)
        return
    if stated.unit != aim.unit:
        place = () if request.reading is not None else (_held_place(request),)
        yield wrong_unit("reading", stated, aim, place)
        return
    if stated.value < 0:
        yield Problem(
            code="D461",
            message=f"the reading {aim.says(stated.value)} is less than nothing",
            hint="write what the kit showed",
        )
        return
    if request.reading is not None:
        yield from kit_problems(request)
    yield from _limit_problems(stated, aim, kit_for(request, aim))
    slip = explain_reading(stated.value, ladder(request.treatment, aim.level)[0], request.treatment)
    if slip:
        yield Problem(
            code="D464",
            severity="warning",
            message=f"the reading {aim.says(stated.value)} may not be what it seems; it was taken as it stands",
            note=f"what may have happened: {slip}",
            hint="look again at the kit's unit and what it counts, and read once more before acting on it",
        )


def _unknown_level(request: Request) -> Iterator[Problem]:
    yield from _planned_before(request)
    if held_before(request) is None or fades(request) or is_change(request):
        return
    yield Problem(
        code="D463",
        message=f"`{request.treatment.id}` is already in the water, and its level is not known",
        places=(_held_place(request),),
        hint="read it and say so with `--reading`; or write `level` beside it in the room file",
    )


def _planned_before(request: Request) -> Iterator[Problem]:
    """A treatment the plan has begun is not begun again because nobody said what a test reads."""
    if fades(request) or is_change(request):
        return
    for planned in request.planned:
        if planned.treatment != request.treatment.id or hours_between(planned.since, request.at) <= FIRST_DOSE:
            continue
        yield Problem(
            code="D463",
            message=f"by the plan `{planned.treatment}` is in this water since {shown_moment(planned.since)}, "
            "and its level is not known",
            places=(request.room.place(request.room.batches[planned.batch].path, key=True),),
            hint="read it and say so with `--reading`; if none was given yet, `--reading '0 mg/L'`",
        )


def _held_place(request: Request) -> Place:
    """Where the water is said to hold this treatment; asked only where it is."""
    water = request.room.water_of(request.tank)
    index = [entry.treatment for entry in water.conditions.holds].index(request.treatment.id)
    return request.room.place((*water.path, "holds", index, "treatment"))


def _limit_problems(stated: Measure, aim: Aim, kit: Kit | None) -> Iterator[Problem]:
    if kit is None or kit.limit is None or not stated.exact or stated.value >= kit.limit.value:
        return
    limit = aim.says(kit.limit.value)
    if aim.ceiling is not None and kit.limit.value >= aim.ceiling.value:
        yield Problem(
            code="D465",
            message=f"the kit cannot tell {aim.says(stated.value)} from the ceiling: it sees nothing under {limit}",
            note="anything added on the strength of this reading could go over the ceiling",
            hint="read with a finer kit; leave `--reading` out only if none was ever added to this water",
        )
    elif stated.value > 0:
        yield Problem(
            code="D452",
            severity="warning",
            message=f"the reading {aim.says(stated.value)} lies below what the kit can tell, {limit}",
            hint=f"it was taken as anything from 0 to {limit}; read again with a finer kit",
        )


def find_before(request: Request, aim: Aim, book: Notebook) -> Figure:
    """The level before with its error; where nothing is known of any, none."""
    stated = stated_level(request)
    if stated is None:
        return _nothing_read(request, aim, book)
    kit = kit_for(request, aim)
    if stated.exact:
        found = read_with(kit, stated.value, aim.unit)
        if kit is not None and found.is_exact:
            book.note("the kit's error is not on file, so the reading was taken as exact")
    else:
        found = Figure(value=stated.value, unit=aim.unit, low=max(stated.low, 0.0), high=stated.high)
    spread = "" if found.is_exact else f", {aim.says(found.low)} to {aim.says(found.high)} with its error"
    what = "reading" if request.reading is not None else "as the room file says"
    if request.reading is None:
        book.note("the level before is the one in the room file; give `--reading` for what is there now")
    book.write("level before", what + spread, aim.says(found.value))
    return found


def _nothing_read(request: Request, aim: Aim, book: Notebook) -> Figure:
    if is_change(request):
        band = aim.band
        book.note("no reading was given, so the level is taken to be held in the band; give `--reading` if it is not")
        book.write("level before", "no reading, taken as held", aim.says(aim.level))
        return Figure.around(aim.level, aim.unit, band.low, band.high)
    if held_before(request) is not None and fades(request):
        book.note("what may be left of an earlier dose is not counted: it is lost in days and no home kit reads it")
    book.write("level before", "no reading and nothing on file, taken as none", aim.says(0.0))
    return Figure.exact(0.0, aim.unit)
