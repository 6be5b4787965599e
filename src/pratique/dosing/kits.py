"""Test kits: which one reads what, and how far off a reading of it may be."""

from __future__ import annotations

import datetime as dt

from pratique.figure import Figure
from pratique.quantity import Measure
from pratique.room.model import Kit, Measured
from pratique.room.resolve import Room

READS_ITS_FORM = "TESTCHEM, treatments 4, kit (D)"
"""Who says that a copper kit reads only some forms of copper."""


def best_kit(room: Room, form: str, *, near: float = 1.0, at: dt.datetime | None = None) -> tuple[str, Kit] | None:
    """The copper kit for this form with the least error at the level `near` (mg/L), those past their date left out.

    The name decides between equals.
    """
    kits = [(name, kit) for name, kit in room.written.kits.items() if kit.measures == "copper" and form in kit.forms]
    good = [(name, kit) for name, kit in kits if not is_past(kit, at)]
    return min(good, key=lambda entry: (_width(entry[1], near, "mg/L"), entry[0]), default=None)


def kit_reading(room: Room, measures: Measured, reading: Measure, at: dt.datetime) -> tuple[Figure, str]:
    """The reading with its ends, and the name of the kit they are from.

    An error written beside the reading comes first; then that of the finest kit on file that is not past its date;
    without any the reading is taken as it stands and no kit is named.
    """
    if not reading.exact:
        return Figure.of(reading), ""
    kits = [
        (name, kit) for name, kit in room.written.kits.items() if kit.measures == measures and not is_past(kit, at)
    ]
    if not kits:
        return Figure.of(reading), ""
    name, kit = min(kits, key=lambda entry: (_width(entry[1], reading.value, reading.unit), entry[0]))
    return read_with(kit, reading.value, reading.unit), name


def is_past(kit: Kit, at: dt.datetime | None) -> bool:
    """True where the kit's date lies before the day of `at`."""
    return at is not None and kit.expires is not None and kit.expires.date < at.date()


def read_with(kit: Kit | None, value: float, unit: str) -> Figure:
    """A reading with the kit's error around it, never less than half its smallest step.

    Under the kit's limit the level may be anything from nothing up to that limit.
    """
    if kit is None:
        return Figure.exact(value, unit)
    half = kit.resolution.value / 2 if kit.resolution is not None else 0.0
    low, high = max(value - half, 0.0), value + half
    if kit.error is not None:
        least, most = kit.error.around(value)
        low, high = min(low, least), max(high, most)
    if kit.limit is not None and value < kit.limit.value:
        low, high = 0.0, max(high, kit.limit.value)
    return Figure(value=value, unit=unit, low=low, high=high)


def highest_reading(kit: Kit | None, limit: float) -> float:
    """The highest reading whose true level, at the top of the kit's error, is not above `limit`."""
    if kit is None:
        return limit
    by_step = limit - (kit.resolution.value / 2 if kit.resolution is not None else 0.0)
    if kit.error is None:
        return by_step
    return min(by_step, (limit - kit.error.absolute) / (1 + kit.error.share))


def _width(kit: Kit, near: float, unit: str) -> float:
    """How far apart the ends of a reading at `near` would be; without end where the kit states no error."""
    if kit.error is None and kit.resolution is None:
        return float("inf")
    found = read_with(kit, near, unit)
    return found.high - found.low
