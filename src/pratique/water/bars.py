"""Straight lines through error bars: least squares with worst-case ends, and whether any line passes them all."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import NamedTuple

_SLACK = 1e-9


class Bar(NamedTuple):
    """A value at `x` with the ends of its error; `low` may be minus infinity."""

    x: float
    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A weighted least-squares line. Every answer is (value, low, high), the ends at the full error of every bar.

    Each bar pulls the answer by a weight that hangs only on where the bars stand, so the worst case is a sum.
    """

    bars: tuple[Bar, ...]
    weights: tuple[float, ...]
    stretch: float = 1.0

    def at(self, x: float) -> tuple[float, float, float]:
        """The line at `x`."""
        middle, spread = self._centre()
        total = sum(self.weights)
        return self._ends([w * (1 / total + (x - middle) * (bar.x - middle) / spread) for w, bar in self._pairs()])

    def slope(self) -> tuple[float, float, float]:
        """The rise for each unit of x."""
        middle, spread = self._centre()
        return self._ends([w * (bar.x - middle) / spread for w, bar in self._pairs()])

    def widened(self, factor: float) -> Line:
        """The same line, its ends further out by `factor`."""
        return replace(self, stretch=self.stretch * factor)

    def _pairs(self) -> Iterator[tuple[float, Bar]]:
        return zip(self.weights, self.bars, strict=True)

    def _centre(self) -> tuple[float, float]:
        middle = sum(w * bar.x for w, bar in self._pairs()) / sum(self.weights)
        return middle, sum(w * (bar.x - middle) ** 2 for w, bar in self._pairs())

    def _ends(self, pulls: Sequence[float]) -> tuple[float, float, float]:
        value = low = high = 0.0
        for pull, bar in zip(pulls, self.bars, strict=True):
            value += pull * bar.value
            up, down = pull * (bar.high - bar.value), pull * (bar.low - bar.value)
            low, high = low + min(up, down), high + max(up, down)
        return value, value + low * self.stretch, value + high * self.stretch


def fit_line(bars: Sequence[Bar]) -> Line:
    """Least squares, each bar weighed by one over its error squared. ValueError for fewer than two places."""
    if len({bar.x for bar in bars}) < 2:
        raise ValueError("a line needs two places")
    return Line(bars=tuple(bars), weights=tuple(4 / (bar.high - bar.low) ** 2 for bar in bars))


def line_exists(bars: Sequence[Bar], *, falling: bool = False) -> bool:
    """Whether some line (`falling`: level or falling) passes within every bar.

    If one does, one passes through two ends of bars, or is level at an end: only those are tried.
    """
    ends = [(bar.x, end) for bar in bars for end in (bar.low, bar.high) if math.isfinite(end)]
    if any(_passes(bars, 0.0, end, 0.0) for _, end in ends):
        return True
    for (x, y), (other_x, other_y) in combinations(ends, 2):
        if x == other_x:
            continue
        slope = (other_y - y) / (other_x - x)
        if (slope <= 0 or not falling) and _passes(bars, x, y, slope):
            return True
    return False


def _passes(bars: Sequence[Bar], x: float, y: float, slope: float) -> bool:
    for bar in bars:
        height = y + slope * (bar.x - x)
        slack = _SLACK * max(1.0, abs(bar.high))
        if not bar.low - slack <= height <= bar.high + slack:
            return False
    return True
