"""Elapsed time for the clocks: everything is compared in UTC, and given back in the zone the question was asked in."""

from __future__ import annotations

import dataclasses
import datetime as dt
from typing import TypeVar, cast

from pratique.elapsed import hours_between as hours_between
from pratique.elapsed import instant as instant

T = TypeVar("T")

TINY = 1e-9
"""Share by which two figures may differ and still be the same: what rounding leaves."""

SAME_HOURS = 1e-6
"""Hours (4 ms) by which two stretches may differ and still be equally long."""


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
