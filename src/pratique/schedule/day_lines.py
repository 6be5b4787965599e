"""The numbered lines of a day's sheet: what stood on it in the morning keeps its number while entries come in.

`pratique log done 3` means the third line of the sheet on the wall. So a sheet begins with the lines that the log, as
it was written before that day, gave it; what the day itself has added comes after them, in the order in which it was
added: a sign seen at noon does not move the dose that stood on line 7. Every line is shown as it stands now: done,
late, or no longer for this day.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace

from pratique.history.fold import History, fold
from pratique.logbook.book import Log, build_log
from pratique.logbook.common import Common
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, plus_hours, shown
from pratique.schedule.day import tasks_on
from pratique.schedule.feeds import SOON
from pratique.schedule.model import Plan, Task
from pratique.schedule.plan import present_plan
from pratique.schedule.states import States


def lines_of_day(room: Room, plan: Plan, history: History, date: dt.date) -> tuple[Task, ...]:
    """The lines of the sheet of `date`, in the order of their numbers. `plan` is the one that `history` makes."""
    tasks = tasks_on(room, plan, date, history)
    morning = Calendar(room).midnight(date)
    if history.is_empty or morning.timestamp() > history.at.timestamp():
        return tasks
    before = fold(room, log_before(history.log, morning, history.at), morning)
    plan_then = present_plan(room, before)  # no line of a day is theirs any more
    printed = tasks_on(room, plan_then, date, before)
    now = {task.id: task for task in tasks}
    elsewhere = {task.id: task for batch in plan.batches for task in batch.tasks}
    elsewhere |= {task.id: task for task in plan.urgent}
    known = {task.id for task in printed}
    states = {batch.batch.name: States(room, history, batch) for batch in plan.batches}
    lines = [now.get(task.id) or _gone_from(task, elsewhere, history, states.get(task.batch)) for task in printed]
    added = [task for task in tasks if task.id not in known]
    return (*lines, *(_as_they_came(room, added, history, date) if len(added) > 1 else added))


LINELESS = {"fed", "note", "top-off", "opened", "bought", "spoiled", "done", "skipped"}
"""Kinds of entry that put no line on a sheet."""


def _as_they_came(room: Room, added: list[Task], history: History, date: dt.date) -> list[Task]:
    """The lines that the day added, each after those that stood there when it came."""
    left = {task.id: task for task in added}
    found: list[Task] = []
    for moment in _written_on(history, Calendar(room).midnight(date)):
        if len(left) < 2:
            break
        known = fold(room, log_before(history.log, plus_hours(moment, SOON), history.at), moment)
        plan = present_plan(room, known)
        found += [left.pop(task.id) for task in tasks_on(room, plan, date, known) if task.id in left]
    return [*found, *left.values()]


def _written_on(history: History, morning: dt.datetime) -> list[dt.datetime]:
    """When anything was written down since `morning` that may have put a line on the sheet, in order."""
    entries = (entry for entry in history.log.written if entry.kind not in LINELESS)
    stamps = {_written(entry, history.at.timestamp()) for entry in entries}
    known = sorted(stamp for stamp in stamps if morning.timestamp() <= stamp <= history.at.timestamp())
    return [dt.datetime.fromtimestamp(stamp, morning.tzinfo) for stamp in known]


def _written(entry: Common, asked: float) -> float:
    """When an entry was written down, in seconds; what was written after the moment `asked` counts from when it was."""
    written = entry.written.timestamp()
    return entry.at.timestamp() if written > asked else written


def log_before(log: Log, moment: dt.datetime, asked: dt.datetime | None = None) -> Log:
    """The log as it stood in the file before `moment`: what was written down later is not in it.

    With `asked`, what was written down after that counts as written when it happened.
    """
    limit, end = moment.timestamp(), asked.timestamp() if asked is not None else float("inf")
    found, _ = build_log([entry for entry in log.written if _written(entry, end) < limit])
    return replace(found, unread=log.unread)


def _gone_from(task: Task, elsewhere: Mapping[str, Task], history: History, states: States | None) -> Task:
    """A line that stood on the sheet and is planned for another time by now, or not at all."""
    other = elsewhere.get(task.id)
    mark = history.tasks.get(task.id)
    if mark is not None and mark.what == "done":
        return replace(task, state="done", done_at=mark.at)
    if other is None and states is not None and (seen := states.mark(task)).state == "done":
        return seen
    if other is None:
        return replace(task, state="off", text=f"{task.text}; no longer planned")
    if other.state in ("done", "missed"):
        return replace(task, state=other.state, done_at=other.done_at)
    return replace(other, state="off", text=f"{other.text}; now on {shown(other.at)}")
