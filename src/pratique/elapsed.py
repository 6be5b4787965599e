"""Elapsed time: Python compares two moments of one zone by their wall clocks, which is wrong across a clock change."""

from __future__ import annotations

import datetime as dt


def instant(moment: dt.datetime) -> dt.datetime:
    """The moment in UTC, where order and differences are true. ValueError for one without an offset."""
    if moment.tzinfo is dt.UTC:
        return moment
    if moment.tzinfo is None:
        raise ValueError(f"{moment} has no offset")
    return moment.astimezone(dt.UTC)


def hours_between(start: dt.datetime, end: dt.datetime) -> float:
    """Hours of elapsed time from `start` to `end`.

    >>> from zoneinfo import ZoneInfo
    >>> start = dt.datetime(2027, 3, 27, 12, tzinfo=ZoneInfo("Europe/Lisbon"))
    >>> hours_between(start, start.replace(day=28))  # the clocks went forward in the night
    23.0
    """
    return (instant(end) - instant(start)).total_seconds() / 3600


def plus_hours(moment: dt.datetime, hours: float) -> dt.datetime:
    """`hours` of elapsed time later, in the same zone: a clock change does not stretch or shrink it."""
    return (instant(moment) + dt.timedelta(hours=hours)).astimezone(moment.tzinfo)
