"""What every urgent act is written with: the record at one moment, who is where, and one way of making a task."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.figure import Figure
from pratique.history.fold import History
from pratique.logbook.ids import slug
from pratique.logbook.quotes import shell_word
from pratique.problem import Place
from pratique.room.resolve import Room, Water
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import plus_hours
from pratique.schedule.model import BatchPlan, State, Task

LISTED = 14
"""Days for which what was not answered stays on the sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The room as it is at the moment of the plan, with the plans made so far."""

    basis: Basis
    history: History
    plans: tuple[BatchPlan, ...]

    @property
    def room(self) -> Room:
        """The room of the plan."""
        return self.basis.room

    @property
    def now(self) -> dt.datetime:
        """The moment of the plan, as the room's clock shows it."""
        return self.basis.calendar.local(self.history.at)

    @property
    def listed_from(self) -> dt.datetime:
        """From when on what was not answered is still on the sheet."""
        return plus_hours(self.now, -24.0 * LISTED)

    def batches_in(self, water: str) -> Iterator[BatchPlan]:
        """The plans of the batches of which somebody is in a water."""
        names = {stay.batch for stay in self.history.in_water(water)}
        return (plan for plan in self.plans if plan.batch.name in names)

    def batch_in(self, water: str) -> str:
        """The batch in a water that is still in quarantine; empty where there is none, or more than one."""
        names = [plan.batch.name for plan in self.batches_in(water) if not plan.over]
        return names[0] if len(names) == 1 else ""

    def plan_of(self, batch: str) -> BatchPlan | None:
        """The plan of a batch, None where there is none of that name."""
        return next((plan for plan in self.plans if plan.batch.name == batch), None)

    def tank_of(self, batch: str) -> str:
        """Where the greater part of a batch in quarantine is; empty where it has left, alive or dead."""
        visits = self.history.visits.get(batch, ())
        if not visits or visits[-1].end is not None or self.room.tanks[visits[-1].tank].use == "display":
            return ""
        return visits[-1].tank

    def place(self, water: Water, batch: str) -> Place:
        """Where the room file speaks of a batch, else of a water."""
        path = self.room.batches[batch].path if batch else water.path
        return self.room.place(path, key=True)

    def task(
        self,
        act: str,
        since: dt.datetime,
        tank: str,
        entry_id: str,
        text: str,
        *,
        batch: str = "",
        water: str = "",
        amount: Figure | None = None,
        refused: str = "",
        sources: tuple[str, ...] = (),
        reason: str = "",
    ) -> Task:
        """An urgent act on what entry `entry_id` said at `since`; from the next day on it stands at the day's head.

        `water`: what the entry was about, where that is not the water of the tank.
        """
        calendar, since = self.basis.calendar, self.basis.calendar.local(since)
        today = self.now.date()
        at = since if since.date() == today else calendar.morning(today) or self.now
        state: State = "due" if since.date() == today else "late"
        id_ = slug(water or self.room.tanks[tank].water, act, entry_id)
        mark = self.history.tasks.get(id_)
        if mark is not None:
            state = mark.what
        return Task(
            id=id_,
            at=at,
            until=calendar.midnight(today + dt.timedelta(days=1)),
            tank=tank,
            batch=batch,
            act=act,
            text=text,
            amount=amount,
            refused=refused,
            sources=sources,
            reason=reason,
            who=calendar.who_at(at),
            urgent=True,
            state=state,
            done_at=mark.at if mark is not None and mark.what == "done" else None,
        )

    def is_answered(self, act: str, water: str, entry_id: str) -> dt.datetime | None:
        """When the act on an entry was marked, done or skipped; None where it was not."""
        mark = self.history.tasks.get(slug(water, act, entry_id))
        return mark.at if mark is not None else None

    def is_today(self, moment: dt.datetime) -> bool:
        """True for a moment of the day of the plan."""
        return self.basis.calendar.local(moment).date() == self.now.date()


def typed(command: str, *names: str) -> str:
    """A command as it is typed, in back quotes.

    >>> typed("pratique signs", "blue tub", "dust")
    "`pratique signs 'blue tub' dust`"
    """
    return f"`{' '.join([command, *map(shell_word, names)])}`"
