"""Another salinity for a tank, in dated steps: the treatment (down, held, up again), or one move of the water.

What may not meet low salinity is refused as for any other treatment; so is water that does not lead to the goal.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from pratique.dosing.asking import refuse
from pratique.dosing.facts import HYPOSALINE_BELOW
from pratique.dosing.salinity_limits import NEAR, STRONGER, salinity_problems
from pratique.dosing.salinity_notes import salinity_notes, salinity_working
from pratique.dosing.salinity_plan import PutIn, SalinityPlan, SalinityRequest, SalinityStep
from pratique.elapsed import plus_hours
from pratique.figure import Figure
from pratique.knowledge.model import Sourced
from pratique.problem import Problem, Refusal
from pratique.water.changes import Pace
from pratique.water.hyposalinity import Row, gentle_lowering, raising_pace, salinity_table
from pratique.water.salinity import gravity_of
from pratique.water.state import missing, stock_of


def plan_salinity(request: SalinityRequest) -> SalinityPlan | Refusal:
    """The dated steps, or every reason against them. Source: COMMON (paces), TEOS-10 (litres)."""
    unknown = tuple(missing(request.state, temperature=False))
    if unknown:
        return Refusal(problems=unknown)
    problems, overridden = salinity_problems(request)
    refusal = refuse(problems)
    if refusal is not None:
        return refusal
    low, end = _corners(request)
    down = _down(request) if low < request.start - NEAR else None
    up = _up(request, end) if end > low + NEAR else None
    try:
        rows = _rows(request, low, end, down, up)
    except ValueError as error:
        return Refusal(problems=(_never(error),))
    return replace(_plan(request, rows, problems, down, up), overridden=overridden)


def _corners(request: SalinityRequest) -> tuple[float, float]:
    """The lowest salinity of the table, and the one it ends at."""
    start, goal = request.start, request.goal
    if not request.course:
        return (start, start) if abs(start - goal) <= NEAR else (min(start, goal), goal)
    low = goal if goal < start - NEAR else start
    return low, start if start >= HYPOSALINE_BELOW else low


def _down(request: SalinityRequest) -> PutIn:
    asked = None if request.course else request.put_in
    return asked or PutIn(salinity=0.0, origin="fresh")


def _up(request: SalinityRequest, end: float) -> PutIn:
    """The water asked for; else the largest container on file that is salty enough; else water yet to be mixed."""
    if request.put_in is not None:
        return request.put_in
    enough = [
        (stock.litres, stock.salinity)
        for stock in stock_of(request.state)
        if stock.salinity is not None and stock.salinity > end + NEAR
    ]
    if not enough:
        return PutIn(salinity=end + STRONGER, origin="to mix")
    litres, salinity = max(enough)
    return PutIn(salinity=salinity, per_day=litres, origin="on file")


def _rows(
    request: SalinityRequest, low: float, end: float, down: PutIn | None, up: PutIn | None
) -> tuple[Row, ...]:
    known = request.treatment
    pace: Pace = gentle_lowering(request.start, low)
    return salinity_table(
        request.state.litres.value,
        start=request.start,
        low=low,
        hold=known.needed("course").value if request.course else 0.0,
        end=end,
        salt_water=up.salinity if up is not None else end,
        fresh_water=down.salinity if down is not None else low,
        stored=up.per_day if up is not None else math.inf,
        down=replace(pace, per_day=down.per_day) if down is not None else pace,
        up=raising_pace(per_day=known.needed("raising_per_day_salinity").value),
        temperature=request.state.warmth,
    )


def _plan(
    request: SalinityRequest,
    rows: tuple[Row, ...],
    problems: tuple[Problem, ...],
    down: PutIn | None,
    up: PutIn | None,
) -> SalinityPlan:
    known = request.treatment
    low, end = _corners(request)
    pace = known.needed("raising_per_day_salinity")
    plan = SalinityPlan(
        request=request,
        water=request.state.litres,
        low=low,
        end=end,
        steps=tuple(_dated(request, rows, full=request.start if end <= request.start else HYPOSALINE_BELOW)),
        down=down,
        up=up,
        per_day=pace.value,
        raising_days=(max(request.start, end) - low) / pace.value,
        sources=tuple(_sources(request, down)),
        cautions=(*known.people, *known.cautions) if request.is_low else (),
        problems=problems,
    )
    return replace(plan, working=tuple(salinity_working(plan)), notes=tuple(salinity_notes(plan)))


def _dated(request: SalinityRequest, rows: tuple[Row, ...], *, full: float) -> Iterator[SalinityStep]:
    """The rows with their moments; the days of a hold are one step. `full` is the salinity at which pH is safe."""
    litres = request.state.litres
    for row in rows:
        if row.leg == "down":
            yield _step(request, row, litres, full)
    if request.course:
        reached = max((row.hours for row in rows if row.leg == "down"), default=0.0)
        low = _corners(request)[0]
        yield SalinityStep(
            at=plus_hours(request.at, reached),
            leg="hold",
            litres=Figure.exact(0.0, "L"),
            after=low,
            gravity=gravity_of(low),
            watch_ph=True,
            until=plus_hours(request.at, reached + request.treatment.needed("course").value),
        )
    for row in rows:
        if row.leg == "up":
            yield _step(request, row, litres, full)


def _step(request: SalinityRequest, row: Row, litres: Figure, full: float) -> SalinityStep:
    return SalinityStep(
        at=plus_hours(request.at, row.hours),
        leg=row.leg,
        litres=litres.times(row.litres / litres.value),
        after=row.salinity,
        gravity=row.gravity,
        watch_ph=row.salinity < full - NEAR,
        limited_by=row.limited_by,
    )


def _sources(request: SalinityRequest, down: PutIn | None) -> Iterator[Sourced]:
    known = request.treatment
    if request.course:
        yield known.needed("target")
        yield known.needed("course")
    if down is not None:
        yield known.needed("lowering_step_salinity")
    yield known.needed("raising_per_day_salinity")


def _never(error: ValueError) -> Problem:
    return Problem(
        code="W806",
        message=f"the change never arrives: {error}",
        hint="mix more of that water for each day, or make it differ more from the tank",
    )
