"""The change that holds a level, and a series of changes from the mixed water there is.

Volumes in L, levels in any one unit, shares 0 to 1; well mixed, nothing lost. One change is `dilution`'s matter.
Source: arithmetic.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

LimitedBy = Literal["", "step", "litres", "stored water"]

_MOST_CHANGES = 400
"""A series that has not arrived after so many is given up as one that never does."""

_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change of a series: hours after the first, litres taken out and put back, the level after it.

    `limited_by` says what kept it from going all the way: the step or the litres of one change, or the stored water.
    """

    hours: float
    litres: float
    after: float
    limited_by: LimitedBy = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How fast a series may go: hours between changes, the most one may do, the water ready for each 24 h.

    `step` is in the unit of the level, `litres` the most one change may take, `per_day` what is mixed for each
    24 hours from the first change; what is left of a day is not carried over.
    """

    every: float = 24.0
    step: float = math.inf
    litres: float = math.inf
    per_day: float = math.inf

    def __post_init__(self) -> None:
        if min(self.every, self.step, self.litres, self.per_day) <= 0:
            raise ValueError("a pace needs hours, a step and litres above zero")


def share_to_hold(peak: float, gain: float) -> float:
    """The share of each change that keeps a level rising by `gain` between changes from passing `peak`.

    ValueError where even all of the water is too little.

    >>> share_to_hold(20, 10)
    0.5
    """
    if gain < 0 or peak <= 0 or gain > peak:
        raise ValueError(f"no change keeps a gain of {gain} below {peak}")
    return gain / peak


def to_put_back(level: float, litres: float) -> float:
    """mg to put into `litres` of new water so that a change leaves `level` (mg/L) as it is. None for a top-off.

    >>> to_put_back(0.4, 120 * 0.25)
    12.0
    """
    return level * litres


def stepwise(
    start: float,
    end: float,
    *,
    needs: Callable[[float, float], float],
    gives: Callable[[float, float], float],
    pace: Pace,
) -> tuple[Change, ...]:
    """Go from `start` to `end` as fast as `pace` allows. `needs` is litres from one level to another, `gives` the
    level after litres. ValueError where it never arrives.
    """
    found: list[Change] = []
    now, left, day = start, pace.per_day, 0
    for index in range(_MOST_CHANGES):
        if math.isclose(now, end, rel_tol=_NEAR, abs_tol=_NEAR):
            return tuple(found)
        hours = index * pace.every
        if int(hours / 24 + _NEAR) > day:
            day, left = int(hours / 24 + _NEAR), pace.per_day
        if min(pace.litres, left) <= _NEAR:
            continue
        goal, limit = _goal(now, end, pace.step)
        litres = needs(now, goal)
        if litres > min(pace.litres, left) * (1 + _NEAR):
            litres, limit = (left, "stored water") if left < pace.litres else (pace.litres, "litres")
            goal = gives(now, litres)
        found.append(Change(hours=hours, litres=litres, after=goal, limited_by=limit))
        now, left = goal, left - litres
    raise ValueError(f"{end:g} is not reached within {_MOST_CHANGES} changes: it is at {now:g} by then")


def _goal(now: float, end: float, step: float) -> tuple[float, LimitedBy]:
    if abs(end - now) <= step * (1 + _NEAR):
        return end, ""
    return now + math.copysign(step, end - now), "step"
