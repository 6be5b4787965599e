"""What the pictures of a plan show: for each hold that has begun the course of its level, then the clocks as bars."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.clocks.rules import hold_rule
from pratique.export.paper.page import Picture
from pratique.export.pictures.clocks import clocks_svg
from pratique.export.pictures.levels import LevelCourse, level_svg
from pratique.history.events import Visit
from pratique.history.fold import History
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant
from pratique.schedule.feeds import hold_readings, level_changes
from pratique.schedule.model import BatchPlan, Plan, Stage


def plan_pictures(plan: Plan, history: History, only: str | None = None) -> tuple[Picture, ...]:
    """The pictures of every batch of the plan that has stages, or of the one named."""
    wanted = [batch for batch in plan.batches if batch.stages and only in (None, batch.batch.name)]
    return tuple(picture for batch in wanted for picture in batch_pictures(batch, history))


def batch_pictures(plan: BatchPlan, history: History) -> tuple[Picture, ...]:
    """The levels of its holds, then its clocks, of a batch that has stages."""
    levels = [
        Picture(svg=level_svg(course), caption=f"{course.title}, as it was read")
        for course in level_courses(plan, history)
    ]
    caption = f"{plan.batch.name}: how far each clock has come"
    return (*levels, Picture(svg=clocks_svg(plan, history.at), caption=caption))


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
