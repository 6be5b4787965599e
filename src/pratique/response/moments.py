"""When the parts of the sheet are: the first minutes, the first hours, tonight and tomorrow, by the room's hours."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, instant, plus_hours

FIRST_MINUTES = 0.25
"""h: the first quarter of an hour."""

SMALL_HOURS = 5.0
"""h after midnight that still belong to the evening before (D)."""

LAST_LOOK = 3.0
"""h from now to the last look of the day, where the room's hours say nothing later (D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moments:
    """`tomorrow` is when somebody is there on the next day; `attended` is false where nobody is, on that whole day.

    `who` is the stand-in of tomorrow, else empty; `alone` is true where the file names none for it.
    """

    now: dt.datetime
    hours: dt.datetime
    tonight: dt.datetime
    tomorrow: dt.datetime
    attended: bool
    who: str


def moments_of(room: Room, at: dt.datetime) -> Moments:
    """The moments of a run sheet that begins at `at`."""
    calendar = Calendar(room)
    now = calendar.local(at)
    today = plus_hours(now, -SMALL_HOURS).date()
    next_day = today + dt.timedelta(days=1)
    morning = calendar.morning(next_day)
    tomorrow = morning or calendar.local(plus_hours(calendar.midnight(next_day), 8))
    windows = calendar.windows(today)
    last = calendar.local(windows[-1].last) if windows else now
    tonight = last if instant(last) > instant(plus_hours(now, 1)) else plus_hours(now, LAST_LOOK)
    return Moments(
        now=now,
        hours=plus_hours(now, FIRST_MINUTES),
        tonight=min(tonight, tomorrow, key=instant),
        tomorrow=tomorrow,
        attended=morning is not None,
        who=calendar.who_at(tomorrow),
    )
