"""How each task stands by the log: done, due, late, missed. A mark comes first, then what shows that it was done.

Nothing is said of a time before the log began, nor of a batch that has not arrived: nobody wrote it down.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from pratique.history.events import Span, WaterRecord
from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import cut
from pratique.schedule.model import BatchPlan, State, Task
from pratique.schedule.tasks import MIX_FOR_CHANGE
from pratique.schedule.track import Track

NEAR = 12.0
"""Hours around its window in which what was written shows that a single act was done."""

MEASURES = {
    "copper": ("copper",),
    "ammonia": ("ammonia",),
    "the water": ("ammonia", "ph", "salinity", "temperature"),
}
"""The first words of a test to what shows that it was made. Ammonia is what kills: a pH alone does not tick it off."""

NEVER_TOO_LATE = {"transfer", "move", "arrive", "dose", "redose", "release", "prepare-water", "set-up", "strip", "dry"}
"""Single acts that still have to be done when their window has passed."""


class States:
    """The states of one batch's tasks, or of the residents' (no plan)."""

    def __init__(self, room: Room, history: History, plan: BatchPlan | None = None, track: Track | None = None) -> None:
        self.room, self.history, self.plan, self.track = room, history, plan, track
        self.now = history.at

    def mark(self, task: Task) -> Task:
        """The task with its state and when it was done."""
        if task.state in ("done", "skipped"):
            return task
        mark = self.history.tasks.get(task.id)
        if mark is not None:
            return replace(task, state=mark.what, done_at=mark.at if mark.what == "done" else None)
        if not self._is_spoken_of(task):
            return task
        shown = self._shown(task)
        if shown is not None:
            return replace(task, state="done", done_at=shown)
        return task if task.state else replace(task, state=self._by_time(task))

    def _is_spoken_of(self, task: Task) -> bool:
        """True where the record would know of it."""
        since = self.history.since
        if since is None or instant(task.until) < instant(since):
            return False
        return self.plan is None or self.plan.begun or instant(task.until) >= instant(self.now) or task.act == "arrive"

    def _by_time(self, task: Task) -> State:
        if instant(self.now) < instant(task.at):
            return ""
        if instant(self.now) <= instant(task.until) or task.act == "release":
            return "due"
        if task.routine or task.act not in NEVER_TOO_LATE:
            return "late" if task.at.date() == self.now.astimezone(self.room.zone).date() else "missed"
        return "late" if self._still_matters(task) else "missed"

    def _still_matters(self, task: Task) -> bool:
        """False for what its batch has left behind: a tank made ready for a stage that is over, and such.

        A tank that fish have left, alive or dead, has to be stripped and dried whatever became of them.
        """
        if task.act in ("strip", "dry"):
            return self._used_again(task) is None
        assert self.plan is not None, "residents have no acts but those of a round"
        return not self.plan.over

    def _shown(self, task: Task) -> dt.datetime | None:
        """When the record shows the act of a task was done, or None. What is urgent is asked for until it is mended."""
        if task.urgent:
            return None
        found = self._evidence(task)
        moment = next(found, None)
        return moment.astimezone(self.room.zone) if moment is not None else None

    def _evidence(self, task: Task) -> Iterator[dt.datetime]:
        tank = self.room.tanks.get(task.tank.split(" + ")[0])
        if tank is None:
            return
        record = self.history.of_water(tank.water)
        span = self._span(task)
        match task.act:
            case "test":
                wanted = next((names for words, names in MEASURES.items() if task.text.startswith(words)), ())
                yield from (entry.at for entry in cut(record.readings, span) if entry.what in wanted)
            case "feed":
                yield from (entry.at for entry in cut(record.feedings, span))
            case "look":
                yield from (entry.at for entry in cut(record.looks, span))
                yield from (entry.at for entry in cut(record.signs, span))
                yield from (entry.at for entry in cut(record.passages, span) if entry.how == "died")
            case "change-water":
                yield from (entry.at for entry in cut(record.exchanges, span))
            case "redose" if task.routine:
                yield from (entry.at for entry in cut(record.exchanges, span) if entry.product)
                yield from (entry.at for entry in cut(record.additions, span) if entry.into == "new-water")
                yield from _after_a_change(record, span, task)
            case "strip" | "dry":
                shows = ("cleaned", "dried") if task.act == "strip" else ("dried",)
                readied = cut(record.readied, (task.at, self._used_again(task)))
                yield from (entry.at for entry in readied if entry.what in shows and entry.tank == task.tank)
            case "prepare-water" | "set-up":
                yield from self._used_since(task, tank.water)

    def _used_again(self, task: Task) -> dt.datetime | None:
        """When animals came into the tank of a task again, of this batch or of any other."""
        visits = self.track.visits if self.track is not None else ()
        again = [visit.start for visit in visits if visit.tank == task.tank and instant(visit.start) > instant(task.at)]
        tank = self.room.tanks.get(task.tank)
        if tank is not None:
            later = cut(self.history.of_water(tank.water).passages, (task.at, None))
            entered = (entry.at for entry in later if entry.to == task.tank != entry.from_)
            again += islice((at for at in entered if instant(at) > instant(task.at)), 1)
        return min(again, key=instant, default=None)

    def _span(self, task: Task) -> tuple[dt.datetime, dt.datetime]:
        """From when to when something written shows that it was done: the half day of a round, or near its window."""
        if not task.routine:
            return plus_hours(task.at, -NEAR), plus_hours(max(task.until, task.at, key=instant), NEAR)
        day = dt.datetime.combine(task.at.date(), dt.time(0), tzinfo=self.room.zone)
        start, end = day.astimezone(dt.UTC), (day + dt.timedelta(days=1)).astimezone(dt.UTC)
        if task.act != "test":
            return start, end
        return max(start, instant(plus_hours(task.at, -NEAR / 2))), min(end, instant(plus_hours(task.at, NEAR / 2)))

    def _used_since(self, task: Task, water: str) -> Iterator[dt.datetime]:
        """Water that fish were put into was made ready; new water that was changed in was mixed."""
        if self.track is not None and not task.routine:
            for visit in self.track.visits:
                if visit.tank == task.tank and instant(visit.start) >= instant(task.at):
                    yield visit.start
        eve = (task.at, plus_hours(task.at, 36.0))
        if task.act == "prepare-water" and task.text.startswith(MIX_FOR_CHANGE):
            yield from (entry.at for entry in cut(self.history.of_water(water).exchanges, eve))


def _after_a_change(record: WaterRecord, span: Span, task: Task) -> Iterator[dt.datetime]:
    """The dose of a change that was put into the tank after it."""
    changed = min((entry.at.timestamp() for entry in cut(record.exchanges, span)), default=None)
    for entry in cut(record.additions, span):
        if changed is not None and entry.at.timestamp() >= changed and task.text.startswith(f"{entry.product} into"):
            yield entry.at
