"""The tasks that are still to come, repeated ones day by day, to the end of the plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, instant
from pratique.schedule.day import routine_tasks
from pratique.schedule.model import OVER, BatchPlan, Plan, Task


def coming_tasks(room: Room, plan: Plan, history: History) -> Iterator[tuple[BatchPlan | None, Task]]:
    """Each open task from today on, with the plan of its batch; late ones too. In no order."""
    calendar, today = Calendar(room), history.at.date()
    for task in plan.urgent:
        if task.state not in OVER:
            yield None, task
    for batch in plan.batches:
        if batch.over:
            continue
        for task in batch.tasks:
            if task.state not in OVER and (task.at.date() >= today or task.state in ("due", "late")):
                yield batch, task
        for date in _dates(batch, today):
            for task in routine_tasks(batch, calendar, date):
                if task.id not in history.tasks and instant(task.until) >= instant(history.at):
                    yield batch, task


def _dates(batch: BatchPlan, today: dt.date) -> Iterator[dt.date]:
    """Every day of every stage from today on, each once."""
    stages = [stage for stage in batch.stages if stage.routines]
    if not stages:
        return
    date = max(today, min(stage.start.date() for stage in stages))
    last = max(stage.end.date() for stage in stages)
    while date <= last:
        yield date
        date += dt.timedelta(days=1)
