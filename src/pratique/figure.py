"""A computed number that can say where it came from: value, ends, and the steps of its working as data."""

from __future__ import annotations

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

    @property
    def is_exact(self) -> bool:
        return self.low == self.high

    def times(self, factor: float, unit: str | None = None) -> Figure:
        return Figure(value=self.value * factor, unit=unit or self.unit, low=self.low * factor, high=self.high * factor)


def digits(value: float) -> str:
    """Three figures, never an exponent, no trailing noise: 0.175, 12.4, 620.

    >>> digits(12.449), digits(620.0), digits(0.1751), digits(1514.16)
    ('12.4', '620', '0.175', '1514')
    """
    size = abs(value)
    if size == 0:
        return "0"
    if size >= 100:
        return f"{value:.0f}"
    if size >= 10:
        return f"{value:.1f}"
    if size >= 1:
        return f"{value:.2f}"
    places = 3
    while size < 0.1 and places < 9:
        size *= 10
        places += 1
    return f"{value:.{places}f}"
