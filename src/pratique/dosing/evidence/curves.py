"""The curves that readings allow, taken together: what all of them say, and what one more reading would settle."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pratique.dosing.aim import SLACK
from pratique.dosing.slips import LARGE, NEAR, SLIPS
from pratique.figure import Figure
from pratique.water.fit import Comparison, Decay, Reading, compare_models, first_apart, fit_decay

WEEKS = 10
"""Nothing is foretold further ahead than this."""

_HORIZON = WEEKS * 7 * 24


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaving:
    """Hours from the first reading at which the level falls through a floor: most likely, and the ends.

    None: not within ten weeks, or it cannot be told. `began_below`: it was under the floor from the start.
    """

    middle: float | None
    earliest: float | None
    latest: float | None
    began_below: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Settling:
    """One more reading at `hours`: the levels that the two explanations `one` and `other` would then show."""

    hours: float
    one: float
    other: float
    question: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Curves:
    """The curves drawn through the same readings. `chosen` leads; `drawn` are all that cannot be ruled out."""

    points: tuple[Reading, ...]
    chosen: Decay
    drawn: tuple[Decay, ...]
    comparison: Comparison | None

    @property
    def possible(self) -> bool:
        return any(curve.possible for curve in self.drawn)

    @property
    def shows_a_loss(self) -> bool:
        """True where every curve that passes says that something was lost."""
        return all(curve.shows_a_loss for curve in self.drawn)

    @property
    def shows_a_rise(self) -> bool:
        """True where every curve says that the level rose."""
        return all(curve.rate.high < 0 for curve in self.drawn)

    @property
    def steady_passes(self) -> bool:
        """True where one level lies within the errors of all readings."""
        return max(p.level.low for p in self.points) <= min(p.level.high for p in self.points)

    def at(self, hours: float) -> Figure:
        """The level at an hour, its ends those of all curves drawn."""
        found = [curve.at(hours) for curve in self.drawn]
        value, unit = self.chosen.at(hours).value, self.chosen.unit
        return Figure.around(value, unit, *(f.low for f in found), *(f.high for f in found))

    def half_life(self) -> Figure | None:
        """Hours in which half goes, None where no loss is certain."""
        halves = [half for curve in (self.chosen, *self.drawn) if (half := curve.half_life()) is not None]
        if not self.shows_a_loss:
            return None
        return Figure.around(halves[0].value, "h", *(h.low for h in halves), *(h.high for h in halves))

    def leaves(self, floor: float, last: float) -> Leaving:
        """When the level falls through `floor`; `last` is the hour of the last reading."""
        if self.at(0.0).value < floor * (1 - SLACK):
            return Leaving(middle=None, earliest=None, latest=None, began_below=True)
        start = last if self.at(last).value >= floor else 0.0
        return Leaving(
            middle=_falls_below(lambda h: self.at(h).value, floor, start),
            earliest=_falls_below(lambda h: self.at(h).low, floor, start),
            latest=_falls_below(lambda h: self.at(h).high, floor, start),
        )

    @property
    def misfit(self) -> float:
        """By how many errors the nearest curve passes from the reading it misses most."""
        return min(curve.misfit for curve in self.drawn)

    def odd_one(self) -> tuple[int, float]:
        """The reading without which the others lie on the flattest curve: its index, and the level there by that.

        Where no curve passes through the others it is the one that fits least.
        """
        without = [(index, _curve_without(self.points, index)) for index in range(len(self.points))]
        known = [(abs(curve.rate.value), index, curve) for index, curve in without if curve is not None]
        if known:
            _, index, curve = min(known, key=lambda entry: entry[0])
        else:
            gaps = [_errors_off(point, self.chosen.at(point.hours).value) for point in self.points]
            index, curve = gaps.index(max(gaps)), self.chosen
        return index, curve.at(self.points[index].hours).value

    def settling(self, not_before: float) -> Settling | None:
        """The reading that would settle what is open: which curve, or whether anything is lost at all."""
        comparison = self.comparison
        if comparison is not None and not comparison.told and self.shows_a_loss:
            if comparison.settled_at is None:
                return None
            hours = max(comparison.settled_at, not_before)
            first, linear = comparison.first_order.at(hours).value, comparison.linear.at(hours).value
            return Settling(hours=hours, one=first, other=linear, question="model")
        if self.shows_a_loss or self.shows_a_rise:
            return None
        mean = sum(point.level.value for point in self.points) / len(self.points)
        width = max(point.level.high - point.level.low for point in self.points)
        found = first_apart(lambda _: mean, lambda h: self.chosen.at(h).value, self.points[-1].hours, width)
        if found is None:
            return None
        hours = max(found, not_before)
        return Settling(hours=hours, one=mean, other=self.chosen.at(hours).value, question="loss")


def draw_curves(points: Sequence[Reading], *, linear_too: bool) -> Curves:
    """The first order through the readings, and the linear one where it is asked for. ValueError as `fit_decay`."""
    if not linear_too:
        curve = fit_decay(points, "first-order")
        return Curves(points=tuple(points), chosen=curve, drawn=(curve,), comparison=None)
    both = compare_models(points)
    curves = (both.first_order, both.linear)
    if both.told:
        (passes,) = (curve for curve in curves if curve.possible)
        return Curves(points=tuple(points), chosen=passes, drawn=(passes,), comparison=both)
    chosen = both.first_order if both.better == "first-order" else both.linear
    return Curves(points=tuple(points), chosen=chosen, drawn=curves, comparison=both)


def slip_of_reading(point: Reading, expected: float, active: str) -> str:
    """The large slip that would turn the level expected into the one read, within the reading's error, or nothing."""
    level = point.level
    if level.value <= 0 or expected <= 0:
        return ""
    tolerance = NEAR + (level.high - level.low) / 2 / level.value
    ratio = max(level.value / expected, expected / level.value)
    slips = [slip for slip in SLIPS if slip.active in ("", active) and slip.size >= LARGE]
    near = min(slips, key=lambda slip: abs(ratio / slip.size - 1))
    return near.text if abs(ratio / near.size - 1) <= tolerance else ""


def _curve_without(points: Sequence[Reading], index: int) -> Decay | None:
    """The curve through all readings but one, where one passes through all of those."""
    others = [point for place, point in enumerate(points) if place != index]
    try:
        curve = fit_decay(others, "first-order")
    except ValueError:
        return None
    return curve if curve.possible else None


def _errors_off(point: Reading, curve: float) -> float:
    level = point.level
    return abs(curve - level.value) / max(level.high - level.value, 1e-12)


def _falls_below(course: Callable[[float], float], floor: float, start: float) -> float | None:
    """The first hour from `start` at which a course lies under `floor`, to the minute; None within ten weeks."""
    if course(start) < floor:
        return start
    hour = start
    while course(hour + 1) >= floor:
        hour += 1
        if hour - start > _HORIZON:
            return None
    low, high = hour, hour + 1
    while high - low > 1 / 60:
        middle = (low + high) / 2
        low, high = (middle, high) if course(middle) >= floor else (low, middle)
    return high
