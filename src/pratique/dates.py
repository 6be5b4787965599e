"""A date or a moment in words: always with its weekday, by which a keeper counts, and one shape everywhere."""

from __future__ import annotations

import datetime as dt

_SAME_YEAR = 300
"""Days within which a date without its year is not taken for one of another year."""


def shown_day(when: dt.date, *, at: dt.datetime | None = None) -> str:
    """`Wed 25 Nov`, with the year where it lies more than ten months from `at`.

    >>> shown_day(dt.date(2026, 11, 25))
    'Wed 25 Nov'
    """
    text = f"{when:%a} {when.day} {when:%b}"
    return f"{text} {when.year}" if at is not None and abs((_date(when) - at.date()).days) > _SAME_YEAR else text


def shown_moment(when: dt.datetime, *, at: dt.datetime | None = None) -> str:
    """`Wed 25 Nov 09:00`; the year is added where it could be taken for another."""
    return f"{shown_day(when, at=at)} {when:%H:%M}"


def full_day(when: dt.date) -> str:
    """`Wed 3 Mar 2027`, for days far off or long past, and where no moment is asked about."""
    return f"{shown_day(when)} {when.year}"


def full_moment(when: dt.datetime) -> str:
    """`Wed 3 Mar 2027 18:30`."""
    return f"{full_day(when)} {when:%H:%M}"


def _date(when: dt.date) -> dt.date:
    return when.date() if isinstance(when, dt.datetime) else when
