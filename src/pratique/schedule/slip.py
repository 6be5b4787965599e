"""What may wait and what may not, for days on which somebody else, or nobody, is there."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace

from pratique.knowledge import store
from pratique.logbook.ids import slug
from pratique.room.resolve import AwayDays, Room
from pratique.schedule.calendar import Calendar, instant, plus_hours
from pratique.schedule.day import routine_tasks
from pratique.schedule.model import BatchPlan, Task

A_DAY = 24.0

STAND_IN = "the stand-in"


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """Until when an act may wait (None: it may not, or may be left out for a day), and why."""

    may: bool
    until: dt.datetime | None = None
    why: str = ""


def slip_of(task: Task, stage_treatment: str = "") -> Slip:
    """How far one act may slip. `stage_treatment` is what its stage is done with."""
    if task.deadline:
        return Slip(may=False, until=task.until, why="a limit in hours: past it the series begins again")
    if task.act in ("dose", "redose") and not task.routine:
        return Slip(may=True, until=task.until, why="inside its window")
    if task.act == "test" and task.text.startswith("copper"):
        return _reading(task, stage_treatment)
    return _plain(task)


def _reading(task: Task, treatment: str) -> Slip:
    """A reading in band carries only so many hours; daily ones leave the rest of them."""
    gap = store.clocks()["hold"].limit(treatment, "gap")
    hours = max(gap.value - A_DAY, 0.0) if gap is not None else 0.0
    until = plus_hours(task.at, hours)
    return Slip(may=hours > 0, until=until, why="later than that the days of copper stop counting")


def _plain(task: Task) -> Slip:
    match task.act:
        case "feed":
            return Slip(may=True, why="a day without food harms less than a tank that fouls")
        case "change-water" if task.routine and not task.batch:
            return Slip(may=False, why="fish an emergency brought here, and no filter: it fouls within hours")
        case "change-water" if task.routine:
            return Slip(may=True, until=plus_hours(task.at, A_DAY), why="a day, if the ammonia test shows nothing")
        case "redose":
            return Slip(may=False, why="it goes with the water change, or not at all")
        case "prepare-water" | "set-up" | "strip" | "dry":
            return Slip(may=True, until=task.until, why="but ready by then")
        case "move" | "release":
            return Slip(may=True, why="each day later moves what follows by a day")
        case "look":
            return Slip(may=False, why="a dead fish fouls the water within hours")
        case _:
            return Slip(may=False)


def during(plan: BatchPlan, calendar: Calendar, away: AwayDays) -> Iterator[tuple[Task, Slip]]:
    """The acts of a batch that fall on days away, each with how far it may slip."""
    start, end = instant(away.start), instant(away.end)
    treatments = {slug(stage.name): stage.treatment for stage in plan.stages}
    found = list(plan.tasks)
    date = away.start.date()
    while date <= away.end.date():
        found += routine_tasks(plan, calendar, date)
        date += dt.timedelta(days=1)
    for task in sorted(found, key=lambda task: instant(task.at)):
        if start <= instant(task.at) < end and task.state not in ("done", "skipped"):
            yield task, slip_of(task, treatments.get(task.id.split("/")[1], ""))


def with_stand_in(room: Room) -> Room:
    """The room as if somebody stood in on every day away: what would have to be done then."""
    away = tuple(replace(days, stand_in=days.stand_in or STAND_IN) for days in room.away)
    return replace(room, away=away)


def next_away(room: Room, at: dt.datetime) -> AwayDays | None:
    """The days away that hold `at`, or the next after it."""
    coming = [days for days in room.away if instant(days.end) > instant(at)]
    return min(coming, key=lambda days: instant(days.start), default=None)
