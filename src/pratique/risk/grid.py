"""A course on an hourly grid: which water in each hour, what can live in it, how warm it is.

Indices are hours from local midnight of the day it begins, and FRONT more, so that the hours before light that lie
before the arrival have a place. Moments are moved by half an hour at most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pratique.risk.course import Course
from pratique.risk.draws import Draws

DAY = 24
FRONT = 2 * DAY

Ends = tuple[float, float]


def whole(hour: float) -> int:
    """The nearest hour of the grid; halves always up, so that a course of half hours keeps its lengths."""
    return math.floor(hour + 0.5)


@dataclass(frozen=True, slots=True)
class Grid:
    """A course by the hour: `pool` of each, numbered from the end, -1 before arrival; `free` where what is free can
    live, `held` where it is under a drug; `warmth` the ends of the temperature (degC); `start` and `end`."""

    pool: npt.NDArray[np.int64]
    free: npt.NDArray[np.bool_]
    held: npt.NDArray[np.bool_]
    warmth: npt.NDArray[np.float64]
    start: int
    end: int

    def agrees(self, other: Grid) -> int:
        """For how many of their last hours two courses are the same: 0 unless they end at the same hour of the day."""
        if self.end % DAY != other.end % DAY:
            return 0
        most = min(self.end - self.start, other.end - other.start)
        differ = np.zeros(most, dtype=bool)
        for mine, its in ((self.pool, other.pool), (self.free, other.free), (self.held, other.held)):
            differ |= mine[self.end - most :] != its[other.end - most :]
        differ |= (self.warmth[:, self.end - most :] != other.warmth[:, other.end - most :]).any(axis=0)
        found = np.nonzero(differ)[0]
        return most - (int(found[-1]) + 1 if len(found) else 0)

    def steady(self) -> npt.NDArray[np.int64]:
        """For each hour, the hour until which water, temperature and what is free are as in it."""
        changes = np.zeros(self.end + 1, dtype=bool)
        for values in (self.pool, self.free, self.held, *self.warmth):
            changes[1:-1] |= values[1:] != values[:-1]
        changes[-1] = True
        edges = np.nonzero(changes)[0]
        found: npt.NDArray[np.int64] = edges[np.searchsorted(edges, np.arange(self.end), side="right")]
        return found


def kills_at(draws: Draws) -> tuple[float | None, float | None]:
    """g/kg at or below which cysts die, and below which nothing comes out; None where it is not known to."""
    cyst, emerge = draws.strain.number("kill_cyst_salinity"), draws.strain.number("emerge_salinity")
    return (cyst.value if cyst else None, emerge.value if emerge else None)


def grid_of(course: Course, draws: Draws) -> Grid:
    """The hours of a course for one strain: low salinity that kills its cysts makes a new pool of the water."""

    def at(hour: float) -> int:
        return whole(hour) + FRONT

    start, end = at(course.start), at(course.end)
    pool = np.full(end, -1)
    warmth = np.zeros((2, end))
    for span in course.spans:
        pool[at(span.start) : at(span.end)] = span.pool
        warmth[:, at(span.start) : at(span.end)] = ((span.low,), (span.high,))
    free = np.ones(end, dtype=bool)
    held = np.zeros(end, dtype=bool)
    for start_held, end_held in course.held:
        held[at(start_held) : at(end_held)] = True
    cyst, emerge = kills_at(draws)
    for low in course.low:
        first, last = at(low.start), max(at(low.end), at(low.start) + 1)
        if cyst is not None and low.salinity <= cyst:
            pool[first:] += 1000
            pool[last:] += 1000
        if emerge is not None and low.salinity < emerge:
            free[first:last] = False
    pool[start:] = _from_end(pool[start:])
    return Grid(pool, free, held, warmth, start, end)


def _from_end(pool: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """The pools numbered as they are met from the end back: courses with the same end have the same numbers in it."""
    _, first, which = np.unique(pool[::-1], return_index=True, return_inverse=True)
    found: npt.NDArray[np.int64] = np.argsort(np.argsort(first))[which][::-1]
    return found
