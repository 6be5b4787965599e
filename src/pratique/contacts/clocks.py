"""Which clocks an exposure starts again, by how many days, and whether the plan counts it already."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.clocks.rules import fallow_rule
from pratique.contacts.gather import Basis
from pratique.contacts.model import ClockEffect, Level
from pratique.dates import shown_moment
from pratique.history.events import Stay
from pratique.knowledge import store
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.model import BatchPlan, Plan, Stage

CLOCKS = {"observation": "watch", "hold": "days in copper", "transfers": "transfer series", "course": "course"}


def clock_effects(
    basis: Basis, plan: Plan, water: str, here: tuple[Stay, ...], at: dt.datetime, *, level: Level, agent: str,
    sign: bool = False,
) -> Iterator[ClockEffect]:
    """Of a water whose latest contact that counts was at `at` (a `sign` in it), and of those who are to go into it."""
    batches = {stay.batch for stay in here if stay.batch}
    for batch in plan.batches:
        if batch.batch.name in batches:
            moment = max(at, _came(basis, batch.batch.name, water, at), key=instant)
            effect = _of_batch(basis, batch, moment, level, sign=sign)
            if effect is not None:
                yield effect
        release = batch.release
        into = release is not None and release.into in basis.room.tanks and not batch.over
        if into and release is not None and basis.room.tanks[release.into].water == water:
            when = shown_moment(release.earliest)
            says = f"it was to go into {release.into} on {when}: not into a water that is exposed"
            yield ClockEffect(
                batch=batch.batch.name, clock="release", at=release.earliest, cost=None, counted=False, says=says
            )
    yield from _fallow(basis, water, at, agent)


def _came(basis: Basis, batch: str, water: str, at: dt.datetime) -> dt.datetime:
    tanks = {tank.name for tank in basis.room.waters[water].tanks}
    came = [p.at for p in basis.by_water.get(water, ()) if p.batch == batch and p.to in tanks]
    return max(came, key=instant, default=at)


def _of_batch(basis: Basis, plan: BatchPlan, at: dt.datetime, level: Level, *, sign: bool) -> ClockEffect | None:
    if plan.over:
        return None
    now = instant(basis.history.at)
    stage = next((s for s in reversed(plan.stages) if instant(s.start) <= instant(at) < instant(s.end)), None)
    current = next((s for s in reversed(plan.stages) if instant(s.start) <= now), None)
    if stage is None or current is None:
        return None
    clock = CLOCKS.get(stage.kind, stage.kind)
    if stage is not current:
        says = f"it was in {stage.name} then, which is over: what follows has to cover this as well"
        return ClockEffect(batch=plan.batch.name, clock=clock, at=at, cost=None, counted=False, says=says)
    if sign and stage.kind != "observation":
        says = f"a sign was seen during {stage.name}: whether that goes on depends on what it is"
        return ClockEffect(batch=plan.batch.name, clock=clock, at=at, cost=None, counted=False, says=says)
    cost, counted = _cost(stage, at)
    return ClockEffect(
        batch=plan.batch.name, clock=clock, at=at, cost=cost, counted=counted,
        says=_says(stage, clock, at, cost, counted=counted, level=level),
    )  # fmt: skip


def _cost(stage: Stage, at: dt.datetime) -> tuple[float | None, bool]:
    """Days lost if day one were `at`, and whether the clock was started again then or later by the record."""
    if stage.kind == "course":
        return None, False
    state = stage.state
    if state is None:
        return elapsed_hours(stage.start, at) / 24, False
    for broken in state.breaks:
        if abs(elapsed_hours(broken.at, at)) < 1 / 60:
            return broken.cost_hours / 24, True
    if state.started is None:
        return 0.0, False
    lost = elapsed_hours(state.started, at) / 24
    return (lost, False) if lost > 0 else (0.0, state.restarts > 0)


def _says(stage: Stage, clock: str, at: dt.datetime, cost: float | None, *, counted: bool, level: Level) -> str:
    if cost is None:
        return f"the {clock} began before this contact: ask whether it still covers it, and repeat it if not"
    days = f"{cost:.1f} d".replace(".0 d", " d")
    again = "the first move is to be made again" if stage.kind == "transfers" else "day one again"
    if counted:
        return f"{again} since {shown_moment(at)}, {days} lost; the plan counts it"
    if cost == 0:
        what = "move" if stage.kind == "transfers" else "day"
        if stage.state is None or stage.state.started is None:
            return f"no {what} of it had been counted, so none is lost"
        return f"the count began after this contact, so no {what} of it is lost"
    until = " until a sign of the first water stands in the log" if stage.kind == "observation" else ""
    if level == "possible":
        return f"if you count it: {again} on {shown_moment(at)}, {days} lost; the plan does not count it"
    return f"{again} on {shown_moment(at)}, {days} lost; the plan does not count it{until}"


def _fallow(basis: Basis, water: str, at: dt.datetime, agent: str) -> Iterator[ClockEffect]:
    """A display without fish: the days it has stood so are lost."""
    if not _is_display(basis, water):
        return
    out = last_fish_out(basis, water)
    if out is None or instant(out) >= instant(at):
        return
    if agent and fallow_rule(store.pathogen(agent)).long is None:
        yield ClockEffect(
            batch="", clock="fallow", at=at, cost=None, counted=False,
            says=f"no fallow ends it: {fallow_rule(store.pathogen(agent)).no_date}",
        )  # fmt: skip
        return
    lost = elapsed_hours(out, at) / 24
    says = f"day one of the fallow again on {shown_moment(at)}: {lost:.1f} d without fish are lost"
    yield ClockEffect(batch="", clock="fallow", at=at, cost=lost, counted=False, says=says)


def is_fish(basis: Basis, stay: Stay) -> bool:
    """Anything not known to be without a spine counts as a fish."""
    return basis.fish.get((stay.batch, stay.animal), "fish") == "fish"


def last_fish_out(basis: Basis, water: str) -> dt.datetime | None:
    """When the last fish left or died; None where one is in it, or none ever was."""
    tanks = {tank.name for tank in basis.room.waters[water].tanks}
    stays = [stay for stay in basis.where.stays if stay.tank in tanks and is_fish(basis, stay)]
    ends = [stay.end for stay in stays if stay.end is not None]
    return max(ends, key=instant) if ends and len(ends) == len(stays) else None


def _is_display(basis: Basis, water: str) -> bool:
    return any(tank.use == "display" for tank in basis.room.waters[water].tanks)
