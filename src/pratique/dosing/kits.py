"""A reading that was typed, with the error of the kit on file that took it."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.level import is_past, read_with
from pratique.figure import Figure
from pratique.quantity import Measure
from pratique.room.model import Kit, Measured
from pratique.room.resolve import Room


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
    name, kit = min(kits, key=lambda entry: (_width(entry[1], reading), entry[0]))
    return read_with(kit, reading.value, reading.unit), name


def _width(kit: Kit, reading: Measure) -> float:
    if kit.error is None and kit.resolution is None:
        return float("inf")
    seen = read_with(kit, reading.value, reading.unit)
    return seen.high - seen.low
