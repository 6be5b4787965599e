"""When somebody is there: the keeper's hours, days away, stand-ins; elapsed hours across clock changes.

Python compares two moments of one zone by their wall clocks, which is wrong in the hour that comes twice.
So windows are kept in UTC, and whoever compares moments does it through `instant`.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from pratique.dates import shown_moment as shown
from pratique.elapsed import hours_between as elapsed_hours
from pratique.elapsed import instant, plus_hours
from pratique.room.resolve import Room

__all__ = ["Calendar", "Window", "elapsed_hours", "instant", "plus_hours", "shown"]

FARTHEST = 400
"""Days searched for a free hour before giving up."""

BEFORE_LEAVING = dt.timedelta(minutes=30)
"""A job is not planned to begin in the last half hour that somebody is there."""

MORNING = dt.timedelta(hours=3)
"""How much of a day's first window counts as the first hours of light."""

EVENING = dt.timedelta(hours=3)
"""Where a day has one window, its evening round begins this long before the end of it."""

APART = 6.0
"""Hours: of two tests of one kind closer together than this, one is left out."""


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of one day in which somebody is there, in UTC; `who` is the stand-in, or empty for the keeper."""

    start: dt.datetime
    end: dt.datetime
    who: str = ""

    @property
    def last(self) -> dt.datetime:
        """The last moment at which a job is planned to begin."""
        return max(self.end - BEFORE_LEAVING, self.start)


class Calendar:
    """The hours of one room. Days away without a stand-in have no windows at all."""

    def __init__(self, room: Room) -> None:
        self.zone = room.zone
        self._hours = room.written.room.hours
        self._away = tuple((instant(away.start), instant(away.end), away.stand_in) for away in room.away)
        self._windows: dict[dt.date, tuple[Window, ...]] = {}

    def local(self, moment: dt.datetime) -> dt.datetime:
        """The same moment as the room's clock shows it."""
        return moment.astimezone(self.zone)

    def midnight(self, date: dt.date) -> dt.datetime:
        """The first moment of a local day."""
        return self.local(dt.datetime.combine(date, dt.time(0), tzinfo=self.zone).astimezone(dt.UTC))

    def windows(self, date: dt.date) -> tuple[Window, ...]:
        """The stretches of a local day in which somebody is there, in order."""
        if date not in self._windows:
            self._windows[date] = tuple(self._find_windows(date))
        return self._windows[date]

    def _find_windows(self, date: dt.date) -> Iterator[Window]:
        for hours in self._hours:
            start, end = self._wall(date, hours.start, late=True), self._wall(date, hours.end, late=False)
            if start < end:  # else a clock change skipped the whole stretch
                yield from self._attended(start, end)

    def _wall(self, date: dt.date, time: dt.time, *, late: bool) -> dt.datetime:
        """A wall time in UTC. One that a clock change skips is read inwards: later for a start, earlier for an end."""
        wall = dt.datetime.combine(date, time, tzinfo=self.zone)
        moment = wall.astimezone(dt.UTC)
        if moment.astimezone(self.zone).replace(tzinfo=None, fold=0) == wall.replace(tzinfo=None):
            return moment
        return wall.replace(fold=0 if late else 1).astimezone(dt.UTC)

    def _attended(self, start: dt.datetime, end: dt.datetime) -> Iterator[Window]:
        """The parts of a stretch that no absence takes out; one without a stand-in takes out all it covers."""
        away = [entry for entry in self._away if entry[0] < end and start < entry[1]]
        edges = {moment for entry in away for moment in entry[:2] if start < moment < end}
        for first, second in pairwise(sorted({start, end} | edges)):
            names = [stand_in for leaves, returns, stand_in in away if leaves <= first < returns]
            cut_short = bool(edges) and second - first < BEFORE_LEAVING
            if all(names) and not cut_short:
                yield Window(first, second, names[0] if names else "")

    def window_at(self, moment: dt.datetime) -> Window | None:
        """The window that holds `moment`, or None where nobody is there."""
        now = instant(moment)
        return next((w for w in self.windows(self.local(now).date()) if w.start <= now <= w.end), None)

    def end_of_round(self, at: dt.datetime) -> dt.datetime:
        """The end of the window that holds `at`; `at` itself where nobody is there."""
        window = self.window_at(at)
        return self.local(window.end) if window is not None else at

    def is_away(self, moment: dt.datetime) -> bool:
        """True on days away that have no stand-in."""
        now = instant(moment)
        return any(start <= now < end and not stand_in for start, end, stand_in in self._away)

    def who_at(self, moment: dt.datetime) -> str:
        """The stand-in's name at `moment`, or empty."""
        now = instant(moment)
        return next((stand_in for start, end, stand_in in self._away if start <= now < end), "")

    def first_from(self, moment: dt.datetime) -> dt.datetime | None:
        """The first moment at or after `moment` at which a job can begin; None where nobody ever is there."""
        now = instant(moment)
        date = self.local(now).date()
        for offset in range(FARTHEST):
            for window in self.windows(date + dt.timedelta(days=offset)):
                if window.last >= now:
                    return self.local(max(window.start, now))
        return None

    def chances(self, after: dt.datetime, before: dt.datetime, *, morning: bool = False) -> Iterator[dt.datetime]:
        """Moments in [after, before] at which a job can begin, the latest first: the last of each window.

        `morning` keeps to the first hours of light of each day, as far as the hours of the room know them.
        """
        first, last = instant(after), instant(before)
        date, earliest = self.local(last).date(), self.local(first).date()
        while date >= earliest:
            windows = self.windows(date)
            for window in reversed(windows[:1] if morning else windows):
                end = min(window.last, window.start + MORNING) if morning else window.last
                moment = min(end, last)
                if moment >= max(window.start, first):
                    yield self.local(moment)
            date -= dt.timedelta(days=1)

    def latest_between(self, after: dt.datetime, before: dt.datetime) -> dt.datetime | None:
        """The latest moment in [after, before] at which a job can begin, or None."""
        return next(self.chances(after, before), None)

    def morning(self, date: dt.date) -> dt.datetime | None:
        """When the day's first window opens, or None where nobody is there."""
        windows = self.windows(date)
        return self.local(windows[0].start) if windows else None

    def evening(self, date: dt.date) -> dt.datetime | None:
        """When the day's last window opens; where there is one, some hours before its end."""
        windows = self.windows(date)
        if not windows:
            return None
        last = windows[-1]
        return self.local(last.start if len(windows) > 1 else max(last.end - EVENING, last.start))
