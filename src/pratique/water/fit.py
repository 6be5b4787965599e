"""How fast a level falls, from readings: first order (a share of what is left) or linear (so much an hour).

The readings belong to one stretch in which nothing was added and no water was changed. Each curve is a straight
line through levels or their logarithms by least squares, every reading weighed by its error. The ends are worst
cases: every reading at its full error, in whatever way hurts most. So where the true course follows the model and
every reading is true within its error, the truth lies between the ends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from pratique.figure import Figure
from pratique.water import bars

Model = Literal["first-order", "linear"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A level with the ends of its error, `hours` after any one moment."""

    hours: float
    level: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Decay:
    """One fitted curve.

    `rate`: share lost an hour (unit 1/h) or units lost an hour; below zero the level rose. `start`: level at hour 0.
    `possible`: some curve of this kind passes within the error of every reading. `misfit`: the largest distance of
    a reading from the fitted curve, in errors; above 1 all ends are widened by it.
    """

    model: Model
    unit: str
    rate: Figure
    start: Figure
    possible: bool
    misfit: float
    line: bars.Line

    def at(self, hours: float) -> Figure:
        """The level at an hour, before, between or after the readings."""
        return _level(self.model, self.line.at(hours), self.unit)

    @property
    def shows_a_loss(self) -> bool:
        return self.rate.low > 0

    def half_life(self) -> Figure | None:
        """Hours in which half goes (linear: half of the level at hour 0). None where no loss is certain."""
        if not self.shows_a_loss:
            return None
        rate = self.rate
        if self.model == "first-order":
            return Figure.around(math.log(2) / rate.value, "h", math.log(2) / rate.high, math.log(2) / rate.low)
        half = self.start.times(0.5)
        return Figure.around(half.value / rate.value, "h", half.low / rate.high, half.high / rate.low)


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Both curves, the one that lies closer, and whether the readings tell them apart.

    `told`: just one of the two can pass within all errors. `settled_at`: the hour from which the two differ by more
    than a reading's error both ways, None where that is beyond ten weeks.
    """

    first_order: Decay
    linear: Decay
    better: Model
    told: bool
    settled_at: float | None


def fit_decay(readings: Sequence[Reading], model: Model) -> Decay:
    """Fit one curve. ValueError for fewer than two readings at different hours, for a reading without an error,
    and for first order where fewer than two readings differ from zero by more than their error.
    """
    _refuse_unfit(readings)
    logarithmic = model == "first-order"
    used = [r for r in readings if not logarithmic or r.level.low > 0]
    if len({r.hours for r in used}) < 2:
        raise ValueError("fewer than two readings differ from zero by more than their error: no rate can be told")
    line = bars.fit_line([_bar(r, logarithmic) for r in used])
    unit = readings[0].level.unit
    misfit = max(_distance(r, _level(model, line.at(r.hours), unit).value) for r in readings)
    line = line.widened(max(misfit, 1.0))
    slope = line.slope()
    return Decay(
        model=model,
        unit=unit,
        rate=Figure(value=-slope[0], unit="1/h" if logarithmic else f"{unit} per h", low=-slope[2], high=-slope[1]),
        start=_level(model, line.at(0.0), unit),
        possible=bars.line_exists([_bar(r, logarithmic) for r in readings]),
        misfit=misfit,
        line=line,
    )


def compare_models(readings: Sequence[Reading]) -> Comparison:
    """Fit both models to the same readings. ValueError as `fit_decay`."""
    first, linear = fit_decay(readings, "first-order"), fit_decay(readings, "linear")
    width = max((r.level.high - r.level.low) for r in readings)
    last = max(r.hours for r in readings)
    return Comparison(
        first_order=first,
        linear=linear,
        better="first-order" if first.misfit <= linear.misfit else "linear",
        told=first.possible != linear.possible,
        settled_at=first_apart(lambda h: first.at(h).value, lambda h: linear.at(h).value, last, width),
    )


def first_apart(
    one: Callable[[float], float], other: Callable[[float], float], after: float, width: float
) -> float | None:
    """The first whole hour after `after` at which two courses differ by more than `width`, within ten weeks."""
    begin = math.floor(after) + 1
    return next((float(h) for h in range(begin, begin + 70 * 24) if abs(one(h) - other(h)) > width), None)


def _refuse_unfit(readings: Sequence[Reading]) -> None:
    if len({r.hours for r in readings}) < 2:
        raise ValueError("a rate needs two readings at different hours")
    if any(not r.level.low < r.level.high for r in readings):
        raise ValueError("a reading without an error cannot be weighed: say how far off the kit may be")
    if any(not r.level.low <= r.level.value <= r.level.high or r.level.value < 0 for r in readings):
        raise ValueError("a reading below zero or outside its own error")


def _bar(reading: Reading, logarithmic: bool) -> bars.Bar:
    level = reading.level
    if not logarithmic:
        return bars.Bar(reading.hours, level.value, level.low, level.high)
    value, low, high = (math.log(end) if end > 0 else -math.inf for end in (level.value, level.low, level.high))
    return bars.Bar(reading.hours, value, low, high)


def _level(model: Model, ends: tuple[float, float, float], unit: str) -> Figure:
    if model == "first-order":
        value, low, high = (math.exp(min(end, 700.0)) for end in ends)
    else:
        value, low, high = (max(end, 0.0) for end in ends)
    return Figure(value=value, unit=unit, low=low, high=high)


def _distance(reading: Reading, curve: float) -> float:
    """How far the curve passes from a reading, in errors of that side."""
    level = reading.level
    error = level.high - level.value if curve > level.value else level.value - level.low
    gap = abs(curve - level.value)
    return 0.0 if gap <= 1e-12 * max(curve, level.value) else gap / max(error, 1e-12 * level.high)
