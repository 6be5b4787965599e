"""What the pictures of a plan show: for each hold that has begun the course of its level, then the clocks as bars."""

from __future__ import annotations

from pratique.export.paper.page import Picture
from pratique.export.pictures.clocks import clocks_svg
from pratique.export.pictures.levels import level_svg
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.schedule.courses import LevelCourse, level_courses, water_course
from pratique.schedule.model import BatchPlan, Plan


def plan_pictures(plan: Plan, history: History, only: str | None = None) -> tuple[Picture, ...]:
    """The pictures of every batch of the plan that has stages and goes on, or of the one named."""
    wanted = (batch for batch in plan.batches if (not batch.over if only is None else batch.batch.name == only))
    return tuple(picture for batch in wanted if batch.stages for picture in batch_pictures(batch, history))


def batch_pictures(plan: BatchPlan, history: History) -> tuple[Picture, ...]:
    """The levels of its holds, then its clocks, of a batch that has stages."""
    levels = [_level(course, plan.batch.name) for course in level_courses(plan, history)]
    caption = f"{plan.batch.name}: how far each clock has come"
    return (*levels, Picture(svg=clocks_svg(plan, history.at), caption=caption, of=plan.batch.name))


def water_pictures(history: History, treatment: Treatment, tank: str) -> tuple[Picture, ...]:
    """The level of a treatment in the water of a tank, where readings of it are on record."""
    course = water_course(history, treatment, tank)
    return (_level(course, tank),) if course is not None else ()


def _level(course: LevelCourse, of: str) -> Picture:
    return Picture(svg=level_svg(course), caption=f"{course.title}, as it was read", of=of)
