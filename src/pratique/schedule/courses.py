"""The level of each hold that has begun, as it was read and changed: what the pictures of a plan are drawn from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace

from pratique.clocks.levels import Band, LevelChange, Reading
from pratique.clocks.rules import hold_rule
from pratique.history.events import Visit
from pratique.history.fold import History
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant
from pratique.schedule.feeds import hold_readings, level_changes
from pratique.schedule.model import BatchPlan, Stage


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
