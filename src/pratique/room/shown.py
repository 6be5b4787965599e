"""Litres and degrees inside a sentence: as the keeper counts them, beside the metric figure that sources use."""

from __future__ import annotations

from pratique.figure import digits
from pratique.quantity import from_canonical
from pratique.room.resolve import Room

GALLONS = {"gal_us": "US gal", "gal_imp": "imp gal"}
FAHRENHEIT_PER_CELSIUS = 1.8
CUP = 1.0
"""Litres under which nobody measures in gallons."""


def shown_litres(litres: float, room: Room, *, most: float | None = None) -> str:
    """`75.2 L`, or `19.9 US gal (75.2 L)`; with `most` a range of two."""
    own = room.written.room.units.volume
    in_litres = f"{_range(litres, most)} L"
    if own == "L" or litres < CUP:
        return in_litres
    ends = [from_canonical(value, own, "volume") for value in (litres, most) if value is not None]
    return f"{_range(*ends)} {GALLONS[own]} ({in_litres})"


def _range(low: float, high: float | None = None) -> str:
    return digits(low) if high is None or digits(low) == digits(high) else f"{digits(low)}–{digits(high)}"


def shown_warmth(celsius: float, room: Room, *, places: int = 1) -> str:
    """`25.6 °C`, or `78.0 °F (25.6 °C)`; limits in print are told with fewer `places`."""
    said = f"{celsius:.{places}f} °C" if places else f"{celsius:g} °C"
    if room.written.room.units.temperature == "degC":
        return said
    return f"{from_canonical(celsius, 'degF', 'temperature'):.1f} °F ({said})"


def shown_degrees(difference: float, room: Room) -> str:
    """By how much one temperature may lie off another: `1 °C`, or `1.8 °F (1 °C)`."""
    said = f"{difference:g} °C"
    if room.written.room.units.temperature == "degC":
        return said
    return f"{round(difference * FAHRENHEIT_PER_CELSIUS, 1):g} °F ({said})"
