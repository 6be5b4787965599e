"""Elapsed time for the clocks: everything is compared in UTC, and given back in the zone the question was asked in."""

from __future__ import annotations

import dataclasses
import datetime as dt
from typing import TypeVar, cast

T = TypeVar("T")

TINY = 1e-9
"""Share by which two figures may differ and still be the same: what rounding leaves."""

SAME_HOURS = 1e-6
"""Hours (4 ms) by which two stretches may differ and still be equally long."""


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


def hours_later(moment: dt.datetime, hours: float) -> dt.datetime:
    """`hours` of elapsed time later, in UTC."""
    return instant(moment) + dt.timedelta(hours=hours)


def midnight(date: dt.date, zone: dt.tzinfo) -> dt.datetime:
    """The first moment of a local day, in UTC."""
    return dt.datetime.combine(date, dt.time(0), tzinfo=zone).astimezone(dt.UTC)


def local_date(moment: dt.datetime, zone: dt.tzinfo) -> dt.date:
    """The date on a wall calendar in `zone`."""
    return instant(moment).astimezone(zone).date()


def in_zone(value: T, zone: dt.tzinfo | None) -> T:
    """The same data with every moment in it, however deep, as the clocks of `zone` show it."""
    if isinstance(value, dt.datetime):
        return cast(T, value.astimezone(zone))
    if isinstance(value, tuple):
        return cast(T, tuple(in_zone(entry, zone) for entry in value))
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
        return cast(T, dataclasses.replace(value, **{name: in_zone(entry, zone) for name, entry in fields.items()}))
    return value
