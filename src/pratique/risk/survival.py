"""The first engine: the chance that a lineage lives, integrated backwards over an hourly grid.

Each parasite is a branching process. With f(t) the chance that one settled on a fish at hour t has a descendant on a
fish at the end, h(s) that of a cyst laid at s, and g(r) that of a cyst which opens at r:

    f(t) = 1 - sum over d of K(d) (1 - h(t + d))        h(s) = 1 from the end on: it never left the fish
    h(s) = sum over e of E(e) g(s + e)                  only while the fish are in the water of s
    g(r) = 1 - exp(-reach * sum over j of w(j) f(r + j))    only while nothing free dies and the fish stay

The number that settle from one cyst is a Poisson number of mean `reach`. Each stage takes longer than a day, so a day
at a time can be worked out, the last first. The grid moves the moments of a course by half an hour at most.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pratique.risk.course import Course
from pratique.risk.draws import NO_FADE, Array, Draws
from pratique.risk.kernels import EARLIEST_LEAVING, EARLIEST_RELEASE, Kernel, in_hours, kernel_of, left_hours

LEAVING = -1.5
"""The middle of the last 3 hours of darkness, from the hour it gets light."""

OPENING = -4.5
"""The middle of the hours 6 to 3 before it gets light."""

DAY = 24
LONGEST_STAY = 40 * DAY


def whole(hour: float) -> int:
    """The nearest hour of the grid; halves always up, so that a course of half hours keeps its lengths."""
    return math.floor(hour + 0.5)


@dataclass(frozen=True, slots=True)
class Grid:
    """A course by the hour: `pool` of each, -1 before arrival; `free` where what is free can live, `held` where it is
    under a drug; `start` and `end`."""

    pool: npt.NDArray[np.int64]
    free: npt.NDArray[np.bool_]
    held: npt.NDArray[np.bool_]
    start: int
    end: int


def kills_at(draws: Draws) -> tuple[float | None, float | None]:
    """g/kg at or below which cysts die, and below which nothing comes out; None where it is not known to."""
    cyst, emerge = draws.strain.number("kill_cyst_salinity"), draws.strain.number("emerge_salinity")
    return (cyst.value if cyst else None, emerge.value if emerge else None)


def grid_of(course: Course, draws: Draws) -> Grid:
    """The hours of a course for one strain: low salinity that kills its cysts makes a new pool of the water."""
    start, end = whole(course.start), whole(course.end)
    pool = np.full(end, -1)
    for span in course.spans:
        pool[whole(span.start) : whole(span.end)] = span.pool
    free = np.ones(end, dtype=bool)
    held = np.zeros(end, dtype=bool)
    for start_held, end_held in course.held:
        held[whole(start_held) : whole(end_held)] = True
    cyst, emerge = kills_at(draws)
    for low in course.low:
        first, last = whole(low.start), max(whole(low.end), whole(low.start) + 1)
        if cyst is not None and low.salinity <= cyst:
            pool[first:] += 1000
            pool[last:] += 1000
        if emerge is not None and low.salinity < emerge:
            free[first:last] = False
    return Grid(pool, free, held, start, end)


def chance_each(draws: Draws, course: Course) -> Array:
    """By draw, the chance that one parasite on a fish on arrival has a descendant (or itself) on one at the end."""
    return _Backwards(draws, course).chance()


def chance(draws: Draws, course: Course) -> Array:
    """By draw, the chance that any of those on the fish on arrival has."""
    each = chance_each(draws, course)
    found: Array = -np.expm1(draws.burden * np.log1p(-np.minimum(each, 1 - 1e-15)))
    return found


class _Backwards:
    """One integration, from the end to the beginning."""

    def __init__(self, draws: Draws, course: Course) -> None:
        self.draws, self.course, self.grid = draws, course, grid_of(course, draws)
        self.hours = self.grid.end
        padded = -(-self.hours // DAY) * DAY + DAY
        self.settled = np.zeros((draws.count, padded))
        self.opened = np.zeros((draws.count, padded))
        self.lost = np.zeros((draws.count, padded))  # 1 - h: a cyst laid at that hour leaves nothing
        self.weights = self._weights()
        self._kernels: dict[tuple[float, float], tuple[Kernel, Kernel]] = {}
        self.warmth = self._warmth()

    def _warmth(self) -> list[tuple[float, float]]:
        """The temperature of each hour: that of its span."""
        found = [(0.0, 0.0)] * self.hours
        for span in self.course.spans:
            first, last = whole(span.start), whole(span.end)
            found[first:last] = [(span.low, span.high)] * (last - first)
        return found

    def _weights(self) -> Array:
        """By draw and hour after the hour of opening (at any moment of it), the share of `reach` that settles then."""
        edges = np.arange(int(self.draws.life.max()) + 3) - 0.5
        life, fade = self.draws.life[:, None], self.draws.fade[:, None]
        until = np.minimum(np.maximum(edges, 0.0), life)
        fades = 1 - np.expm1(-until / fade) / np.expm1(-life / fade)
        left = np.where(fade >= NO_FADE, 1 - until / life, fades)
        found: Array = left[:, :-1] - left[:, 1:]
        return found

    def temperature(self, ends: tuple[float, float]) -> Array:
        """By draw (degC)."""
        found: Array = (ends[0] + ends[1]) / 2 + self.draws.warmer * (ends[1] - ends[0]) / 2
        return found

    def kernels(self, ends: tuple[float, float]) -> tuple[Kernel, Kernel]:
        """Leaving and opening at this temperature."""
        if ends not in self._kernels:
            draws, degrees, light = self.draws, self.temperature(ends), whole(self.course.light)
            leave = in_hours(draws.stay, degrees, EARLIEST_LEAVING, min(self.hours, LONGEST_STAY))
            release = in_hours(draws.release, degrees, EARLIEST_RELEASE, self.hours)
            self._kernels[ends] = (
                kernel_of(leave, draws.rhythm, light + LEAVING),
                kernel_of(release, draws.rhythm, light + OPENING),
            )
        return self._kernels[ends]

    def chance(self) -> Array:
        for day in range((self.hours - 1) // DAY, self.grid.start // DAY - 1, -1):
            self._day(day * DAY)
        first = whole(self.course.start)
        degrees = self.temperature(self.warmth[first])
        stay = left_hours(self.draws.stay, degrees, EARLIEST_LEAVING, LONGEST_STAY)
        kernel = kernel_of(stay, self.draws.rhythm, whole(self.course.light) + LEAVING)
        self.lost[:, :first] = self.lost[:, first, None]  # what would leave before arrival leaves on arrival
        found: Array = 1 - self._sum(kernel, self.lost, first, first + 1, self.hours)[:, 0]
        return np.clip(found, 0.0, 1.0)

    def _day(self, start: int) -> None:
        first, last = max(start, self.grid.start), min(start + DAY, self.hours)
        runs = list(self._runs(first, last))
        for low, high in runs:
            leave = self.kernels(self.warmth[low])[0]
            self.settled[:, low:high] = 1 - self._sum(leave, self.lost, low, high, self.hours)
        self._open(first, last)
        for low, high in runs:
            release = self.kernels(self.warmth[low])[1]
            same = np.nonzero(self.grid.pool == self.grid.pool[low])[0]
            until = int(same[-1]) + 1
            opened = self.opened * _mask(self.grid.pool, self.grid.pool[low], self.opened.shape[1])
            self.lost[:, low:high] = 1 - self._sum(release, opened, low, high, until)

    def _runs(self, first: int, last: int) -> list[tuple[int, int]]:
        """The parts of a day in one pool, at one temperature."""
        edges = [first]
        for hour in range(first + 1, last):
            if self.grid.pool[hour] != self.grid.pool[hour - 1] or self.warmth[hour] != self.warmth[hour - 1]:
                edges.append(hour)
        return list(zip(edges, [*edges[1:], last], strict=True))

    def _sum(self, kernel: Kernel, values: Array, low: int, high: int, until: int) -> Array:
        """For each hour from `low` up to `high`: the kernel against the values of the hours after it, up to `until`."""
        many = high - low
        window = np.zeros((self.draws.count, max(until - low, 0) + many + 1))
        window[:, : max(until - low, 0)] = values[:, low:until]
        length = min(kernel.plain.shape[1], until - low)
        if length <= 0:
            return np.zeros((self.draws.count, many))
        seen = np.lib.stride_tricks.sliding_window_view(window, length, axis=1)[:, :many]
        found: Array = np.einsum("pm,pim->pi", kernel.plain[:, :length], seen)
        return found + self._drawn(kernel, values, low, high, until)

    def _drawn(self, kernel: Kernel, values: Array, low: int, high: int, until: int) -> Array:
        """Those that go to the hours before light: the mean of three hours, once a day."""
        hour = low % DAY
        first = low + kernel.first[hour]
        days = min(kernel.drawn.shape[2], (until - first) // DAY + 2)
        at = first + DAY * np.arange(days)[:, None] + np.array([-1, 0, 1])
        inside = (at < until) & (at >= 0)
        found = values[:, np.clip(at, 0, values.shape[1] - 1)] * inside
        day: Array = found.mean(axis=2)
        # a later hour of the day has the same hours before light ahead of it, or those of a day later
        turns = [(low + n + kernel.first[(hour + n) % DAY] - first) // DAY for n in range(high - low)]
        turn = next((n for n, skip in enumerate(turns) if skip), high - low)
        out = np.empty((self.draws.count, high - low))
        for skip, part in ((0, slice(0, turn)), (1, slice(turn, high - low))):
            began = kernel.drawn[:, hour + part.start : hour + part.stop, : days - skip]
            out[:, part] = np.einsum("pij,pj->pi", began, day[:, skip:])
        return out

    def _open(self, first: int, last: int) -> None:
        """g for these hours: what comes out settles while the fish are there and nothing free dies."""
        length = min(self.weights.shape[1], self.hours - first)
        hours = np.arange(first, last)[:, None] + np.arange(length)[None, :]
        inside = hours < self.hours
        hours = np.minimum(hours, self.hours - 1)
        can = inside & self.grid.free[hours] & (self.grid.pool[hours] == self.grid.pool[first:last, None])
        can = np.logical_and.accumulate(can, axis=1)
        under = np.logical_or.accumulate(self.grid.held[hours], axis=1)
        weights = self.weights[:, None, :length] * (can * np.where(under, self.course.leak, 1.0))[None, :, :]
        settle = np.einsum("pim,pim->pi", weights, self.settled[:, hours])
        self.opened[:, first:last] = -np.expm1(-self.draws.reach[:, None] * settle)


def _mask(pool: npt.NDArray[np.int64], wanted: np.int64, length: int) -> npt.NDArray[np.bool_]:
    found = np.zeros(length, dtype=bool)
    found[: len(pool)] = pool == wanted
    return found
