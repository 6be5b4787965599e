"""A computed number that can say where it came from: value, ends, and the steps of its working as data."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pratique.quantity import Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of working: what, the sum in words and figures, its result, and who says so (a source key)."""

    label: str
    expression: str
    result: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A value in canonical units with its ends. The ends are worst cases: every error at its full size."""

    value: float
    unit: str
    low: float
    high: float

    @classmethod
    def exact(cls, value: float, unit: str) -> Figure:
        return cls(value=value, unit=unit, low=value, high=value)

    @classmethod
    def of(cls, measure: Measure) -> Figure:
        return cls(value=measure.value, unit=measure.unit, low=measure.low, high=measure.high)

    @classmethod
    def around(cls, value: float, unit: str, *ends: float) -> Figure:
        """The value with the least and the most of `ends`; never an end on the wrong side of it.

        >>> Figure.around(2.0, "mg/L", 2.5, 1.5).low
        1.5
        """
        return cls(value=value, unit=unit, low=min((value, *ends)), high=max((value, *ends)))

    @property
    def is_exact(self) -> bool:
        return self.low == self.high

    def times(self, factor: float, unit: str | None = None) -> Figure:
        """Value and ends times a factor of zero or more."""
        return Figure(value=self.value * factor, unit=unit or self.unit, low=self.low * factor, high=self.high * factor)

    def plus(self, other: Figure) -> Figure:
        """The sum of two figures of one unit, their errors at their worst together."""
        return Figure(
            value=self.value + other.value, unit=self.unit, low=self.low + other.low, high=self.high + other.high
        )


NOTHING = 5e-10
"""Below this a figure is what rounding left of a zero: no unit used here can be read so finely."""


def digits(value: float) -> str:
    """Three figures, or all those before the point; never an exponent. A printed zero is a zero.

    >>> digits(12.449), digits(620.0), digits(0.1751), digits(1514.16), digits(0.00012345)
    ('12.4', '620', '0.175', '1514', '0.000123')
    >>> digits(9.999), digits(99.96), digits(0.0), digits(2.0)
    ('10.0', '100', '0', '2.00')
    """
    size = abs(value)
    if size < NOTHING:
        return "0"
    places = 2 - math.floor(math.log10(size))
    if round(size, places) >= 10 ** (3 - places):  # rounding carried it into the next decade
        places -= 1
    return f"{value:.{max(places, 0)}f}"


def plain(value: float) -> str:
    """`digits` without zeros that say nothing.

    >>> plain(14.0), plain(0.15), plain(2.25)
    ('14', '0.15', '2.25')
    """
    text = digits(value)
    return text.rstrip("0").rstrip(".") if "." in text else text


def shown_unit(unit: str) -> str:
    """A unit as people write it: `uL/L` with its Greek letter, degrees with their sign, a count with none.

    >>> shown_unit("uL/L"), shown_unit("mg/L")
    ('µL/L', 'mg/L')
    """
    return _SIGNS.get(unit, unit)


_SIGNS = {"uL/L": "µL/L", "degC": "°C", "degF": "°F", "count": "", "tablet": "tablets"}


def in_unit(value: float, unit: str) -> str:
    """Grams of salt in kg from a kilogram on; tests and tablets by the piece."""
    if unit == "g" and value >= 1000:
        return f"{digits(value / 1000)} kg"
    if unit in ("test", "tablet"):
        return f"{value:g} {unit}{'s' if value != 1 else ''}"
    if unit == "count":
        return f"{value:g}"
    return f"{digits(value)} {unit}".strip()
