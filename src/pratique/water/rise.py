"""What a dose tells about the water it went into: the net volume, or a loss, and which of the two.

A reading below the level that was reckoned has two explanations: more water than stated, or something taken away.
The first leaves the level where it is, the second lets it fall further. One reading cannot tell them apart.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from pratique.figure import Figure
from pratique.water import bars
from pratique.water.fit import Decay, Reading, first_apart, fit_decay

Cause = Literal["agrees", "volume", "loss", "either", "neither"]


@dataclass(frozen=True, slots=True, kw_only=True)
class VolumeCheck:
    """The volume a rise speaks for beside the stated one (L); `gap` is found over stated, less one.

    `agrees`: the two ranges meet.
    """

    found: Figure
    stated: Figure
    gap: float
    agrees: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Why the readings after a dose are what they are.

    `agrees`: the stated volume without any loss passes within all errors. `volume`: only another volume does;
    `loss`: only the stated volume with a loss does; `either`, `neither`: both, none. `reckoned` is the level (mg/L)
    the dose should have made, `volume` (L) what the readings mean without a loss, `loss` the curve from `reckoned`
    through the readings. `settled_at`: the hour of one more reading that would settle `either`, None if none would
    within ten weeks.
    """

    cause: Cause
    reckoned: Figure
    volume: Figure | None
    loss: Decay | None
    settled_at: float | None


def volume_from_rise(amount: Figure, before: Figure, after: Figure) -> Figure:
    """Net volume in L: `amount` (mg) over the rise from `before` to `after` (mg/L).

    ValueError where the rise is not larger than the errors of the two readings. Source: arithmetic.

    >>> volume_from_rise(*(Figure.exact(n, "mg/L") for n in (50, 0.1, 0.6))).value
    100.0
    """
    least, most = after.low - before.high, after.high - before.low
    if least <= 0 or amount.low <= 0:
        raise ValueError("the rise is not larger than the errors of the two readings: no volume follows from it")
    value = amount.value / (after.value - before.value)
    return Figure.around(value, "L", amount.low / most, amount.high / least)


def check_volume(found: Figure, stated: Figure) -> VolumeCheck:
    """Compare two volumes in L. ValueError where the stated one is not above zero."""
    if stated.value <= 0:
        raise ValueError("a stated volume is above zero")
    meet = found.low <= stated.high and stated.low <= found.high
    return VolumeCheck(found=found, stated=stated, gap=found.value / stated.value - 1, agrees=meet)


def level_reckoned(amount: Figure, volume: Figure, before: Figure) -> Figure:
    """mg/L that `amount` (mg) should make in `volume` (L) on top of `before`. ValueError at no volume."""
    if volume.low <= 0:
        raise ValueError("a level needs a volume above zero")
    rise = Figure.around(amount.value / volume.value, before.unit, amount.low / volume.high, amount.high / volume.low)
    return rise.plus(before)


def explain_rise(amount: Figure, stated: Figure, before: Figure, readings: Sequence[Reading]) -> Explanation:
    """Explain readings at hours after a dose of `amount` (mg) into `stated` L at `before` (mg/L).

    ValueError without readings, at hours before the dose, or as `level_reckoned`.
    """
    if not readings or any(r.hours <= 0 for r in readings):
        raise ValueError("an explanation needs a reading after the dose")
    reckoned = level_reckoned(amount, stated, before)
    lows, highs = [r.level.low for r in readings], [r.level.high for r in readings]
    steady = max(lows) <= min(highs)
    volume = _volume_if_steady(amount, before, readings) if steady else None
    start = Reading(hours=0.0, level=reckoned)
    cause = _cause(
        agrees=steady and max(*lows, reckoned.low) <= min(*highs, reckoned.high),
        by_volume=volume is not None,
        by_loss=bars.line_exists([_log_bar(r) for r in (start, *readings)], falling=True),
    )
    loss = _loss(start, readings) if cause in ("loss", "either", "neither") else None
    return Explanation(
        cause=cause,
        reckoned=reckoned,
        volume=volume,
        loss=loss,
        settled_at=_settled_at(readings, loss) if cause == "either" else None,
    )


def _cause(*, agrees: bool, by_volume: bool, by_loss: bool) -> Cause:
    if agrees:
        return "agrees"
    if by_volume and by_loss:
        return "either"
    if by_volume:
        return "volume"
    return "loss" if by_loss else "neither"


def _volume_if_steady(amount: Figure, before: Figure, readings: Sequence[Reading]) -> Figure | None:
    """The volume that one level within all readings speaks for; None where it need not be a rise."""
    ends = max(r.level.low for r in readings), min(r.level.high for r in readings)
    level = Figure.around(_mean(readings), before.unit, *ends)
    try:
        return volume_from_rise(amount, before, level)
    except ValueError:
        return None


def _mean(readings: Sequence[Reading]) -> float:
    return sum(r.level.value for r in readings) / len(readings)


def _log_bar(reading: Reading) -> bars.Bar:
    value, low, high = (
        math.log(end) if end > 0 else -math.inf for end in (reading.level.value, reading.level.low, reading.level.high)
    )
    return bars.Bar(reading.hours, value, low, high)


def _loss(start: Reading, readings: Sequence[Reading]) -> Decay | None:
    """The curve through the level reckoned and the readings; None where they are no different from zero."""
    if start.level.is_exact:  # a curve weighs every point by its error
        value = start.level.value
        start = Reading(hours=start.hours, level=Figure.around(value, "mg/L", value * 0.999, value * 1.001))
    try:
        return fit_decay([start, *readings], "first-order")
    except ValueError:
        return None


def _settled_at(readings: Sequence[Reading], loss: Decay | None) -> float | None:
    if loss is None or loss.rate.value <= 0:
        return None
    steady, width = _mean(readings), max(r.level.high - r.level.low for r in readings)
    last = max(r.hours for r in readings)
    return first_apart(lambda _: steady, lambda hours: loss.at(hours).value, last, width)
