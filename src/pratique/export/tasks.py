"""The dated tasks of a plan, each with its routines, one after the other."""

from __future__ import annotations

import datetime as dt

from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar
from pratique.schedule.day import routine_tasks
from pratique.schedule.model import BatchPlan, Plan, Task, work_order


def batch_tasks(batch: BatchPlan, calendar: Calendar, history: History | None) -> list[Task]:
    """Every task of one batch, in the order of work; `history` marks what is done."""
    tasks = list(batch.tasks)
    if batch.stages:
        first = batch.stages[0].start.date()
        for offset in range((batch.stages[-1].end.date() - first).days + 1):
            tasks += routine_tasks(batch, calendar, first + dt.timedelta(days=offset), history)
    return sorted(tasks, key=work_order)


def plan_tasks(room: Room, plan: Plan, history: History | None, only: str | None = None) -> list[Task]:
    """Every task of the plan, or of the batch `only`, in the order of work; with them what the log asks for."""
    calendar = Calendar(room)
    found = [task for task in plan.urgent if only in (None, task.batch)]
    for batch in plan.batches:
        if only in (None, batch.batch.name):
            found += batch_tasks(batch, calendar, history)
    return sorted({task.id: task for task in found}.values(), key=work_order)
