"""The first engine: the chance that a lineage lives, integrated backwards over an hourly grid.

Each parasite is a branching process. With f(t) the chance that one settled on a fish at hour t has a descendant on a
fish at the end, h(s) that of a cyst laid at s, and g(r) that of a cyst which opens at r:

    f(t) = 1 - sum over d of K(d) (1 - h(t + d))        h(s) = 1 from the end on: it never left the fish
    h(s) = sum over e of E(e) g(s + e)                  only while the fish are in the water of s
    g(r) = 1 - exp(-reach * sum over j of w(j) f(r + j))    only while nothing free dies and the fish stay

The number that settle from one cyst is a Poisson number of mean `reach`. Each stage takes longer than a day, so a day
at a time can be worked out, the last first. All three hang only on what comes later: courses that end alike share
their ends, and one that was walked before need not be walked again.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.lib.stride_tricks import as_strided

from pratique.risk.course import Course
from pratique.risk.draws import NO_FADE, Array, Draws
from pratique.risk.grid import DAY, Ends, grid_of, whole
from pratique.risk.kernels import (
    EARLIEST_LEAVING,
    EARLIEST_RELEASE,
    LEAVING,
    OPENING,
    Kernel,
    in_hours,
    kernel_of,
    left_hours,
)

LONGEST_STAY = 40 * DAY
MONTH = 30 * DAY

KEPT = 6
"""Courses of a strain that are kept for those that end like them; a short one is not worth the memory."""

WORTH_KEEPING = 15 * DAY


class Kernels(NamedTuple):
    """At one temperature: leaving the fish, leaving it when met on arrival, and opening; reckoned up to `hours`."""

    hours: int
    leave: Kernel
    left: Kernel
    release: Kernel


class Integrator:
    """One strain, with what its courses share: the kernels of a temperature, and the ends of courses walked before."""

    def __init__(self, draws: Draws) -> None:
        self.draws = draws
        self.weights = _weights(draws)
        self._kernels: dict[tuple[Ends, int], Kernels] = {}
        self._walked: list[_Walk] = []

    def chance_each(self, course: Course) -> Array:
        """By draw, the chance that one parasite on a fish on arrival has a descendant (or itself) on one at the end."""
        walk = _Walk(self, course)
        like = max(self._walked, key=walk.agrees, default=None)
        if like is not None:
            walk.take_over(like)
        if walk.known - walk.grid.start > WORTH_KEEPING:
            self._walked = [walk, *self._walked[: KEPT - 1]]
        return walk.chance()

    def kernels(self, ends: Ends, light: int, hours: int) -> Kernels:
        """At this temperature (degC), for courses of up to so many hours; `light` is the hour it gets light."""
        known = self._kernels.get((ends, light))
        if known is None or known.hours < hours:
            draws, most = self.draws, -(-hours // MONTH) * MONTH
            degrees = (ends[0] + ends[1]) / 2 + draws.warmer * (ends[1] - ends[0]) / 2
            leave = in_hours(draws.stay, degrees, EARLIEST_LEAVING, min(most, LONGEST_STAY))
            left = left_hours(draws.stay, degrees, EARLIEST_LEAVING, LONGEST_STAY)
            release = in_hours(draws.release, degrees, EARLIEST_RELEASE, most)
            known = Kernels(
                most,
                kernel_of(leave, draws.rhythm, light + LEAVING),
                kernel_of(left, draws.rhythm, light + LEAVING),
                kernel_of(release, draws.rhythm, light + OPENING),
            )
            self._kernels[ends, light] = known
        return known


def chance_each(draws: Draws, course: Course) -> Array:
    """As `Integrator.chance_each`, for one course."""
    return Integrator(draws).chance_each(course)


def chance(draws: Draws, course: Course) -> Array:
    """By draw, the chance that any of those on the fish on arrival has a descendant on one at the end."""
    return of_any(draws, chance_each(draws, course))


def of_any(draws: Draws, each: Array) -> Array:
    """By draw, the chance that any of its burden does what one does with the chance `each`."""
    found: Array = -np.expm1(draws.burden * np.log1p(-np.minimum(each, 1 - 1e-15)))
    return found


def _weights(draws: Draws) -> Array:
    """By draw and hour after the hour of opening (at any moment of it), the share of `reach` that settles then."""
    edges = np.arange(int(draws.life.max()) + 3) - 0.5
    life, fade = draws.life[:, None], draws.fade[:, None]
    until = np.minimum(np.maximum(edges, 0.0), life)
    fades = 1 - np.expm1(-until / fade) / np.expm1(-life / fade)
    left = np.where(fade >= NO_FADE, 1 - until / life, fades)
    found: Array = left[:, :-1] - left[:, 1:]
    return found


class _Walk:
    """One course, from its end to its beginning. What is walked already is from the hour `known` on.

    By draw and hour: `settled` is f, `opened` is g, `lost` is 1 - h; `here` is g of the water it is in, until `leaves`.
    """

    def __init__(self, whole_: Integrator, course: Course) -> None:
        self.of, self.course, self.grid = whole_, course, grid_of(course, whole_.draws)
        self.hours, self.known = self.grid.end, self.grid.end
        self.light = whole(course.light)
        self.steady = self.grid.steady()
        self.settled, self.opened, self.lost = np.zeros((3, whole_.draws.count, self.hours + 3 * DAY))
        self.pool, self.leaves, self.here = -1, self.hours, self.opened

    def agrees(self, other: _Walk) -> int:
        """For how many of the last hours the other has what this one needs."""
        if (self.light, self.course.leak) != (other.light, other.course.leak):
            return 0
        return self.grid.agrees(other.grid)

    def take_over(self, other: _Walk) -> None:
        """Those hours from the other."""
        many = self.agrees(other)
        for mine, its in ((self.settled, other.settled), (self.opened, other.opened), (self.lost, other.lost)):
            mine[:, self.hours - many : self.hours] = its[:, other.hours - many : other.hours]
        self.known = self.hours - many

    def kernels(self, hour: int) -> Kernels:
        low, high = (float(end) for end in self.grid.warmth[:, hour])
        return self.of.kernels((low, high), self.light, self.hours)

    def chance(self) -> Array:
        first = self.grid.start
        for day in range((self.known - 1) // DAY, first // DAY - 1, -1):
            self._day(max(day * DAY, first), min((day + 1) * DAY, self.known))
        self.lost[:, :first] = self.lost[:, first, None]  # what would leave before arrival leaves on arrival
        found: Array = 1 - self._sum(self.kernels(first).left, self.lost, first, first + 1, self.hours)[:, 0]
        return np.clip(found, 0.0, 1.0)

    def _day(self, first: int, last: int) -> None:
        runs = self._runs(first, last)
        for low, high in runs:
            self.settled[:, low:high] = 1 - self._sum(self.kernels(low).leave, self.lost, low, high, self.hours)
        for low, high in runs:
            self.opened[:, low:high] = self._open(low, high)
        for low, high in runs:
            self._enter(low, high)
            self.lost[:, low:high] = 1 - self._sum(self.kernels(low).release, self.here, low, high, self.leaves)

    def _runs(self, first: int, last: int) -> list[tuple[int, int]]:
        """The parts of a day in which nothing changes, the last first."""
        found = []
        while first < last:
            found.append((first, min(int(self.steady[first]), last)))
            first = found[-1][1]
        return found[::-1]

    def _enter(self, low: int, high: int) -> None:
        """`here` is g of the water of these hours, zero where the fish are in another."""
        pool = int(self.grid.pool[low])
        if pool != self.pool:
            same = self.grid.pool == pool
            self.pool, self.leaves = pool, int(np.nonzero(same)[0][-1]) + 1
            self.here = np.zeros_like(self.opened)
            self.here[:, : self.hours] = self.opened[:, : self.hours] * same
        self.here[:, low:high] = self.opened[:, low:high]

    def _sum(self, kernel: Kernel, values: Array, low: int, high: int, until: int) -> Array:
        """For each hour from `low` up to `high`: the kernel against the values of the hours after it, up to `until`."""
        length = min(kernel.plain.shape[1], until - low)
        if length <= 0:
            return np.zeros((len(values), high - low))
        found: Array = np.vecdot(kernel.plain[:, None, :length], _windows(values, low, high - low, length))
        return found + self._drawn(kernel, values, low, high, until)

    def _drawn(self, kernel: Kernel, values: Array, low: int, high: int, until: int) -> Array:
        """Those that go to the hours before light: the mean of three hours, once a day."""
        hour, many = low % DAY, high - low
        first = low + kernel.first[hour]
        days = min(kernel.drawn.shape[2], (until - first) // DAY + 2)
        three = [values[:, first + offset :: DAY][:, :days] for offset in (-1, 0, 1)]
        days = min(part.shape[1] for part in three)
        mean = (three[0][:, :days] + three[1][:, :days] + three[2][:, :days]) / 3
        # a later hour of the day has the same hours before light ahead of it, or those of a day later
        turn = min(kernel.first[hour] + DAY + 1, many)
        out = np.empty((len(values), many))
        for skip, part in ((0, slice(0, turn)), (1, slice(turn, many))):
            began = kernel.drawn[:, hour + part.start : hour + part.stop, : days - skip]
            out[:, part] = np.vecdot(began, mean[:, None, skip:])
        return out

    def _open(self, low: int, high: int) -> Array:
        """g for these hours: what comes out settles while the fish are there and nothing free dies."""
        weights, grid = self.of.weights, self.grid
        length = min(weights.shape[1], self.hours - low)
        if int(self.steady[low]) >= min(high + length, self.hours):
            share = float(grid.free[low]) * (self.course.leak if grid.held[low] else 1.0)
            settle = np.vecdot(weights[:, None, :length], _windows(self.settled, low, high - low, length)) * share
        else:
            hours = np.arange(low, high)[:, None] + np.arange(length)[None, :]
            inside = hours < self.hours
            hours = np.minimum(hours, self.hours - 1)
            can = inside & grid.free[hours] & (grid.pool[hours] == grid.pool[low])
            can = np.logical_and.accumulate(can, axis=1)
            under = np.logical_or.accumulate(grid.held[hours], axis=1)
            shares = can * np.where(under, self.course.leak, 1.0)
            settle = np.einsum("pm,im,pim->pi", weights[:, :length], shares, self.settled[:, hours])
        found: Array = -np.expm1(-self.of.draws.reach[:, None] * settle)
        return found


def _windows(values: Array, low: int, many: int, length: int) -> Array:
    """By draw, for each of `many` hours from `low` on, the values of so many hours from it on."""
    row, hour = values.strides
    return as_strided(values[:, low:], (len(values), many, length), (row, hour, hour))
