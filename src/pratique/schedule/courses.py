"""The level of each hold that has begun, as it was read and changed: what the pictures of a plan are drawn from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace

from pratique.clocks.levels import Band, LevelChange, Reading
from pratique.clocks.rules import hold_rule
from pratique.history.events import Visit
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import SOON, cut, hold_reading, hold_readings, level_changes, water_changes
from pratique.schedule.model import BatchPlan, Stage

FARTHEST = 30
"""Days back that one picture of a water still shows with a day told from the next."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelCourse:
    """What is drawn: one stage's level from `start` to `end`, in the unit of `band`."""

    title: str
    band: Band
    target: float
    start: dt.datetime
    end: dt.datetime
    readings: tuple[Reading, ...]
    changes: tuple[LevelChange, ...]


def level_courses(plan: BatchPlan, history: History) -> Iterator[LevelCourse]:
    """The level of each hold that has begun, in the waters the batch was in; none where nothing was read yet."""
    for stage in plan.stages:
        if stage.state is None or stage.kind != "hold":
            continue
        treatment = treatment_for(history.room, stage.treatment)
        rule = hold_rule(treatment)
        visits = _visits(history, plan.batch.name, stage)
        readings = tuple(hold_readings(history, treatment, visits))
        if rule is None or not readings:
            continue
        yield LevelCourse(
            title=f"{plan.batch.name}: {treatment.title} in {stage.tank}",
            band=rule.band,
            target=treatment.needed("target").value,
            start=stage.start,
            end=min(stage.end, history.at, key=instant),
            readings=readings,
            changes=tuple(level_changes(history, treatment, visits)),
        )


def water_course(history: History, treatment: Treatment, tank: str) -> LevelCourse | None:
    """The level in the water of a tank since it was last emptied, at most of the last `FARTHEST` days.

    None where it was not read. A treatment of which no clock counts the level has no band to draw it in.
    """
    rule, water = hold_rule(treatment), history.room.tanks[tank].water
    if rule is None:
        return None
    record, until = history.of_water(water), plus_hours(history.at, SOON)
    emptied = [done.at for done in record.readied if instant(done.at) <= instant(history.at)]
    span = (max([plus_hours(history.at, -24.0 * FARTHEST), *emptied], key=instant), until)
    found = [reading for reading in cut(record.readings, span) if reading.what == treatment.active]
    if not found:
        return None
    changes = tuple(water_changes(history, treatment, water, span))
    return LevelCourse(
        title=f"{treatment.title} in {tank}",
        band=rule.band,
        target=treatment.needed("target").value,
        start=min([*(read.at for read in found), *(change.at for change in changes)], key=instant),
        end=history.at,
        readings=tuple(hold_reading(history.room, reading, treatment) for reading in found),
        changes=changes,
    )


def _visits(history: History, batch: str, stage: Stage) -> tuple[Visit, ...]:
    """The visits of a batch, cut to the time of a stage."""
    end = min(stage.end, history.at, key=instant)
    return tuple(
        replace(
            visit,
            start=max(visit.start, stage.start, key=instant),
            end=end if visit.end is None else min(visit.end, end, key=instant),
        )
        for visit in history.visits.get(batch, ())
        if instant(visit.start) < instant(end) and (visit.end is None or instant(visit.end) > instant(stage.start))
    )
