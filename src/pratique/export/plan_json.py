"""Plans and days as JSON. Keys are a contract; times are ISO 8601 with offset, hours are elapsed hours."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any

from pratique.clocks.state import Alternative, ClockState, Row
from pratique.export.json import moment_json, number, quantity
from pratique.export.tasks import batch_tasks
from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar
from pratique.schedule.changes import Change
from pratique.schedule.model import BatchPlan, Plan, Stage, Task


def task_json(task: Task) -> dict[str, Any]:
    """`state` is null where the log says nothing of it; where it is `late`, `until` has passed and `at` is now."""
    return {
        "id": task.id,
        "at": task.at.isoformat(),
        "until": task.until.isoformat(),
        "tank": task.tank,
        "batch": task.batch or None,
        "act": task.act,
        "text": task.text,
        "amount": quantity(task.amount),
        "sources": list(task.sources),
        "deadline": task.deadline,
        "urgent": task.urgent,
        "who": task.who or None,
        "refused": task.refused or None,
        "state": task.state or None,
        "done_at": task.done_at.isoformat() if task.done_at is not None else None,
    }


def stage_json(stage: Stage) -> dict[str, Any]:
    """`state` is the clock by the log, null where it has not begun."""
    return {
        "name": stage.name,
        "tank": stage.tank,
        "tanks": list(stage.tanks),
        "treatment": stage.treatment,
        "start": stage.start.isoformat(),
        "end": stage.end.isoformat(),
        "clock": stage.clock,
        "sources": list(stage.sources),
        "over": stage.over,
        "state": clock_json(stage.state) if stage.state is not None else None,
    }


def clock_json(state: ClockState) -> dict[str, Any]:
    """How a clock stands. All figures are in h, of elapsed time; moments are null where there is none."""
    return {
        "kind": state.kind,
        "at": state.at.isoformat(),
        "started": moment_json(state.started),
        "first_started": moment_json(state.first_started),
        "counted": _hours(state.counted),
        "needed": _hours(state.needed),
        "done_at": moment_json(state.done_at),
        "finished": moment_json(state.finished),
        "slack": _hours(state.slack),
        "steps": state.steps,
        "steps_needed": state.steps_needed,
        "restarts": state.restarts,
        "breaks": [
            {"at": moment_json(b.at), "why": b.why, "cost": _hours(b.cost_hours), "entry": b.entry_id or None}
            for b in state.breaks
        ],
        "unknown": [
            {"start": span.start.isoformat(), "end": span.end.isoformat(), "why": span.why} for span in state.unknown
        ],
        "due": [{"what": due.what, "by": due.by.isoformat(), "alert": due.alert.isoformat()} for due in state.due],
        "instead": [_instead_json(other) for other in state.instead],
        "explain": [_row_json(row) for row in state.explain],
    }


def _instead_json(other: Alternative) -> dict[str, Any]:
    return {
        "choice": other.choice,
        "counted": _hours(other.counted),
        "done_at": moment_json(other.done_at),
        "finished": moment_json(other.finished),
        "restarts": other.restarts,
    }


def _row_json(row: Row) -> dict[str, Any]:
    return {
        "at": moment_json(row.at),
        "mark": row.mark,
        "what": row.what,
        "evidence": row.evidence or None,
        "entry": row.entry_id or None,
    }


def _hours(hours: float | None) -> dict[str, Any] | None:
    return {"value": number(hours), "unit": "h"} if hours is not None else None


def change_json(change: Change) -> dict[str, Any]:
    """What changed for one batch, and the log entries it rests on."""
    return {
        "batch": change.batch,
        "text": change.text,
        "reasons": list(change.reasons),
        "before": moment_json(change.before),
        "after": moment_json(change.after),
        "entries": list(change.entry_ids),
    }


def plan_json(
    room: Room,
    plan: Plan,
    only: str | None,
    *,
    history: History | None = None,
    changes: Iterable[Change] = (),
) -> dict[str, Any]:
    """The plan of every batch, or of `only`, and what changed in it."""
    calendar = Calendar(room)
    wanted = [batch for batch in plan.batches if only is None or batch.batch.name == only]
    return {
        "batches": [_batch_json(batch, calendar, history) for batch in wanted],
        "changes": [change_json(change) for change in changes if only is None or change.batch == only],
        "urgent": [task_json(task) for task in plan.urgent if only in (None, task.batch)],
    }


def _batch_json(batch: BatchPlan, calendar: Calendar, history: History | None) -> dict[str, Any]:
    tasks = batch_tasks(batch, calendar, history)
    release = batch.release
    return {
        "batch": batch.batch.name,
        "regimen": batch.regimen.id,
        "chosen_by": batch.chosen_by,
        "begun": batch.begun,
        "over": batch.over or None,
        "why": list(batch.why),
        "misses": list(batch.misses),
        "stages": [stage_json(stage) for stage in batch.stages],
        "tasks": [task_json(task) for task in tasks],
        "release": None
        if release is None
        else {
            "earliest": release.earliest.isoformat(),
            "into": release.into or None,
            "conditions": list(release.conditions),
        },
    }


def day_json(days: Iterable[tuple[dt.date, tuple[Task, ...]]]) -> dict[str, Any]:
    """The tasks of each date, in the order of the lines."""
    return {"days": [{"date": date.isoformat(), "tasks": [task_json(task) for task in tasks]} for date, tasks in days]}
