"""What the pictures of a plan show: for each hold that has begun the course of its level, then the clocks as bars."""

from __future__ import annotations

from pratique.export.paper.page import Picture
from pratique.export.pictures.clocks import clocks_svg
from pratique.export.pictures.levels import level_svg
from pratique.history.fold import History
from pratique.schedule.courses import level_courses
from pratique.schedule.model import BatchPlan, Plan


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
