"""Today's sheet as `pratique log` needs it: the task on a line, the line of a task, the ids there are."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator
from functools import cached_property

from pratique.history.fold import History, fold_up_to, snapshot
from pratique.history.folding import Folding
from pratique.logbook.book import Log
from pratique.logbook.scope import TaskOf
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar
from pratique.schedule.day import routine_tasks
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import Plan, Task
from pratique.schedule.plan import closed_long_ago, make_plan


class DaySheets(Collection[str]):
    """The ids of all tasks, and the sheets they stand on, by the log up to a moment.

    The history and the plan are made when something is first asked of them. `folding` has taken the log already.
    `but`: batches that are left out of the plan, for speed, until one of their tasks is asked for.
    """

    def __init__(
        self, room: Room, log: Log, at: dt.datetime, folding: Folding | None = None, but: Collection[str] | None = None
    ) -> None:
        self._room, self._log, self._at, self._folding, self._but = room, log, at, folding, but
        self._sheets: dict[dt.date, tuple[Task, ...]] = {}

    @cached_property
    def folding(self) -> Folding:
        """The log taken up to the moment; once more is taken, `history` is still that of before."""
        return self._folding if self._folding is not None else fold_up_to(self._room, self._log, self._at)

    @cached_property
    def history(self) -> History:
        return snapshot(self.folding, self._log, self._at)

    @cached_property
    def but(self) -> Collection[str]:
        """Batches that closed so long ago that today's plan does not hang on them."""
        return self._but if self._but is not None else closed_long_ago(self._room, self.history)

    @cached_property
    def plan(self) -> Plan:
        """As what happened leaves it, without the batches `but`."""
        return make_plan(self._room, self.history, but=self.but)

    def on(self, date: dt.date) -> tuple[Task, ...]:
        """The lines of the day as `pratique day` prints them: they keep their numbers while entries come in."""
        if date not in self._sheets:
            self._sheets[date] = lines_of_day(self._room, self.plan, self.history, date)
        return self._sheets[date]

    def sheet_of(self, date: dt.date) -> TaskOf:
        """Line (from 1) to the id of its task."""

        def task_of(line: int) -> str | None:
            tasks = self.on(date)
            return tasks[line - 1].id if 1 <= line <= len(tasks) else None

        return task_of

    def find(self, id_: str) -> Task | None:
        """The task of this id, on any day."""
        printed = (task for tasks in self._sheets.values() for task in tasks if task.id == id_)
        return self._tasks.get(id_) or next(printed, None) or self._dated(id_) or self._long_ago.get(id_)

    def _dated(self, id_: str) -> Task | None:
        """What is done for those who live here has the date as the last part of its id."""
        try:
            date = dt.date.fromisoformat(id_.rpartition("/")[2])
            return next((task for task in self.on(date) if task.id == id_), None)
        except (ValueError, OverflowError):
            return None

    @cached_property
    def _tasks(self) -> dict[str, Task]:
        return self._all_of(self.plan)

    @cached_property
    def _long_ago(self) -> dict[str, Task]:
        return self._all_of(make_plan(self._room, self.history)) if self.but else {}

    def _all_of(self, plan: Plan) -> dict[str, Task]:
        calendar = Calendar(self._room)
        found = {task.id: task for task in plan.urgent}
        for batch in plan.batches:
            found.update({task.id: task for task in batch.tasks})
            if batch.stages:
                first, last = batch.stages[0].start.date(), batch.stages[-1].end.date()
                for offset in range((last - first).days + 1):
                    day = routine_tasks(batch, calendar, first + dt.timedelta(days=offset))
                    found.update({task.id: task for task in day})
        return found

    def __contains__(self, id_: object) -> bool:
        return isinstance(id_, str) and self.find(id_) is not None

    def __iter__(self) -> Iterator[str]:
        return iter(self._tasks)

    def __len__(self) -> int:
        return len(self._tasks)
