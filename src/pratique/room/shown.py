"""Litres and degrees as the keeper counts them, beside the metric figure that sources, sums and JSON have.

Sentences are made metric; `in_own_units` puts the keeper's figures in as they leave for a screen or paper.
"""

from __future__ import annotations

import re

from pratique.figure import digits
from pratique.quantity import from_canonical
from pratique.room.resolve import Room

GALLONS = {"gal_us": "US gal", "gal_imp": "imp gal"}
FAHRENHEIT_PER_CELSIUS = 1.8
CUP = 1.0
"""Litres under which nobody measures in gallons."""

_NUMBER = r"-?[0-9]+(?:\.[0-9]+)?"
_RANGE = rf"(?:(?P<low>{_NUMBER})(?P<to>–| to | and ))?(?P<high>{_NUMBER}) ?"
_METRIC = re.compile(
    r"(?P<as_typed>`[^`]*`|(?<!\w)'[^']*'|\bsg at [^,;)]*|\brow [0-9.]+ degC)"
    r"|(?<![\w./–-])(?<![×÷+−/=] )(?<!gal \()(?<!°F \()(?<!degF \()"
    rf"{_RANGE}(?P<unit>L|degC|°C)(?![\w/])(?! ?[×÷/−])"
)
"""A metric figure in a sentence. As typed, as part of a sum or already beside the keeper's unit it is left alone."""


def shown_warmth(celsius: float, room: Room, *, places: int = 1) -> str:
    """`25.6 °C`, or `78.0 °F (25.6 °C)`; limits in print are told with fewer `places`."""
    said = f"{celsius:.{places}f} °C" if places else f"{celsius:g} °C"
    if room.written.room.units.temperature == "degC":
        return said
    return f"{from_canonical(celsius, 'degF', 'temperature'):.1f} °F ({said})"


def shown_degrees(difference: float, room: Room) -> str:
    """How far one temperature lies, or may lie, off another: `1 °C`, or `1.8 °F (1 °C)`."""
    said = f"{difference:g} °C"
    if room.written.room.units.temperature == "degC":
        return said
    return f"{round(difference * FAHRENHEIT_PER_CELSIUS, 1):g} °F ({said})"


def in_own_units(text: str, room: Room) -> str:
    """A sentence whose litres and degrees are metric, as sources and sums have them, with the keeper's before each.

    Only temperatures may stand in it in degrees: how far one lies off another is `shown_degrees`'s.
    """
    units = room.written.room.units
    if units.volume == "L" and units.temperature == "degC":
        return text
    return _METRIC.sub(lambda found: _beside(found, units.volume, units.temperature), text)


def _beside(found: re.Match[str], volume: str, temperature: str) -> str:
    if found["as_typed"]:
        return found[0]
    litres = found["unit"] == "L"
    if (volume == "L" or float(found["high"]) < CUP) if litres else temperature == "degC":
        return found[0]
    ends = [float(found[end]) for end in ("low", "high") if found[end]]
    if litres:
        said = [digits(from_canonical(end, volume, "volume")) for end in ends]
        return f"{(found['to'] or '').join(said)} {GALLONS[volume]} ({found[0]})"
    said = [f"{from_canonical(end, temperature, 'temperature'):.1f}" for end in ends]
    return f"{(found['to'] or '').join(said)} °F ({found[0]})"
