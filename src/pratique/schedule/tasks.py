"""The tasks of a batch as they are gathered, each with its window and an id that stays; and acts in a round."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from pratique.figure import Figure
from pratique.logbook.ids import slug
from pratique.problem import Problem
from pratique.room.resolve import Batch
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import Calendar, instant, plus_hours
from pratique.schedule.model import Task

FARTHEST_EVE = 24.0 * 400
"""Hours looked back for an hour to make a tank ready in."""

MIX_FOR_CHANGE = "mix salt water for tomorrow's change; heat it and aerate it overnight"

NEW_WATER = "the new water as salty and as warm as the tank, and aerated"


def round_task(
    calendar: Calendar,
    at: dt.datetime | None,
    id_: tuple[str, ...],
    tank: str,
    act: str,
    text: str,
    sources: tuple[str, ...] = (),
    *,
    amount: Figure | None = None,
    reason: str = "",
) -> Iterator[Task]:
    """An act for animals of no batch in the round that begins at `at`; none where nobody is there on that day.

    The id is that of `id_` and the date.
    """
    if at is None:
        return
    yield Task(
        id=slug(*id_, at.date().isoformat()),
        at=at,
        until=calendar.end_of_round(at),
        tank=tank,
        batch="",
        act=act,
        text=text,
        amount=amount,
        sources=sources,
        reason=reason,
        who=calendar.who_at(at),
        routine=True,
    )


@dataclass(slots=True)
class TaskList:
    """Gathers the tasks of one batch, numbering them so that an id stays the same while the plan does."""

    basis: Basis
    batch: Batch
    tasks: list[Task] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    _counts: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        stage: str,
        act: str,
        at: dt.datetime,
        tank: str,
        text: str,
        *,
        until: dt.datetime | None = None,
        amount: Figure | None = None,
        product: str = "",
        refused: str = "",
        sources: tuple[str, ...] = (),
        reason: str = "",
        deadline: bool = False,
        urgent: bool = False,
        done_at: dt.datetime | None = None,
    ) -> None:
        """One more task of this batch; without `until` its window is the rest of the round.

        An urgent one is numbered by its day: it is no step of the plan that later ones could be counted after.
        `done_at`: it is on record. What is not, and has a window that has passed, is late.
        """
        key = slug(self.batch.name, stage, act, *([f"urgent-{at.date().isoformat()}"] if urgent else []))
        self._counts[key] = self._counts.get(key, 0) + 1
        self.tasks.append(
            Task(
                id=f"{key}/{self._counts[key]}",
                at=at,
                until=until or self._end_of_window(at),
                tank=tank,
                batch=self.batch.name,
                act=act,
                text=text,
                amount=amount,
                product=product,
                refused=refused,
                sources=sources,
                reason=reason,
                deadline=deadline,
                urgent=urgent,
                who=self.basis.calendar.who_at(at),
                state="done" if done_at is not None else "late" if until is not None and _is_past(at, until) else "",
                done_at=done_at,
            )
        )

    def _end_of_window(self, at: dt.datetime) -> dt.datetime:
        window = self.basis.calendar.window_at(at)
        return self.basis.calendar.local(window.end) if window is not None else at

    def eve_of(self, at: dt.datetime) -> dt.datetime:
        """The evening before `at`, or the last hour anybody is there before it."""
        calendar = self.basis.calendar
        eve = calendar.evening(at.date() - dt.timedelta(days=1))
        if eve is not None:
            return eve
        return calendar.latest_between(plus_hours(at, -FARTHEST_EVE), plus_hours(at, -1)) or at


def _is_past(at: dt.datetime, until: dt.datetime) -> bool:
    return instant(at) > instant(until)
