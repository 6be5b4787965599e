"""When somebody is there: the keeper's hours, days away, stand-ins; elapsed hours across clock changes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from pratique.room.resolve import AwayDays, Room

FARTHEST = 400
"""Days searched for a free hour before giving up."""

BEFORE_LEAVING = dt.timedelta(minutes=30)
"""A job is not planned to begin in the last half hour that somebody is there."""


def plus_hours(moment: dt.datetime, hours: float) -> dt.datetime:
    """`hours` of elapsed time later, in the same zone: a clock change does not stretch or shrink it."""
    return (moment.astimezone(dt.UTC) + dt.timedelta(hours=hours)).astimezone(moment.tzinfo)


def elapsed_hours(start: dt.datetime, end: dt.datetime) -> float:
    return (end.astimezone(dt.UTC) - start.astimezone(dt.UTC)).total_seconds() / 3600


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of one day in which somebody is there; `who` is the stand-in, or empty for the keeper."""

    start: dt.datetime
    end: dt.datetime
    who: str = ""


class Calendar:
    """The hours of one room. Days away without a stand-in have no windows at all."""

    def __init__(self, room: Room) -> None:
        self._room = room
        self._hours = room.written.room.hours
        self.windows = lru_cache(maxsize=4096)(self._windows)

    def away_at(self, moment: dt.datetime) -> AwayDays | None:
        return next((away for away in self._room.away if away.start <= moment < away.end), None)

    def _windows(self, date: dt.date) -> tuple[Window, ...]:
        return tuple(self._open(date))

    def _open(self, date: dt.date) -> Iterator[Window]:
        for hours in self._hours:
            start = self._wall(date, hours.start)
            end = self._wall(date, hours.end)
            if end <= start:
                continue  # the whole stretch was skipped by a clock change
            away = self.away_at(start)
            if away is None or away.stand_in:
                yield Window(start, end, away.stand_in if away else "")

    def _wall(self, date: dt.date, time: dt.time) -> dt.datetime:
        """The moment of a wall time; one that a clock change skips becomes the moment the clock shows instead."""
        moment = dt.datetime.combine(date, time, tzinfo=self._room.zone)
        return moment.astimezone(dt.UTC).astimezone(self._room.zone)

    def first_from(self, moment: dt.datetime) -> dt.datetime | None:
        """The first moment at or after `moment` when somebody is there; None where nobody ever is."""
        for offset in range(FARTHEST):
            for window in self.windows(moment.date() + dt.timedelta(days=offset)):
                if window.end >= moment:
                    return max(window.start, moment)
        return None

    def latest_between(self, after: dt.datetime, before: dt.datetime, *, morning: bool = False) -> dt.datetime | None:
        """The latest moment in [after, before] when somebody is there; `morning`: in a day's first window only."""
        date = before.date()
        while date >= after.date():
            windows = self.windows(date)
            for window in reversed(windows[:1] if morning else windows):
                moment = min(max(window.end - BEFORE_LEAVING, window.start), before)
                if moment >= max(window.start, after):
                    return moment
            date -= dt.timedelta(days=1)
        return None

    def who_at(self, moment: dt.datetime) -> str:
        """The stand-in's name at `moment`, or empty."""
        away = self.away_at(moment)
        return away.stand_in if away else ""

    def opening(self, date: dt.date, *, last: bool = False) -> dt.datetime | None:
        """When the day's first (or last) window opens, or None where nobody is there."""
        windows = self.windows(date)
        return windows[-1 if last else 0].start if windows else None
