"""A bound no answer can beat: each water-day has a price, and every wish takes the way that is cheapest at them.

Whatever the prices are, the sum is a bound (Lagrange): what is taken twice is paid twice, and what is left is paid
back. Prices are raised where too much is taken and lowered where too little is, a fixed number of times.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pratique.booking.case import Case, Daily, Sets, Shelf, Use, Way

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

MOST_INSTANTS = 1500
"""Moments at which the waters are counted; each is a valid limit, so leaving some out only loosens the bound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """`value` is the bound; with the prices that gave it, what each way of each wish costs, and what is paid back."""

    value: float
    priced: tuple[Floats, ...]
    back: float


class Prices:
    """The case as arrays. `costs` are those of the ways, `broken` that of meeting no wish, in one scale."""

    def __init__(self, case: Case, wants: Sequence[int], costs: Sequence[Sequence[float]], broken: Sequence[float]):
        self._broken = np.array(broken, dtype=float)
        ways = [(place, way) for place, want in enumerate(wants) for way in case.wants[want].ways]
        self._owner = np.array([place for place, _ in ways], dtype=np.int64)
        self._costs = np.array([cost for each in costs for cost in each], dtype=float)
        self._free = np.array([bool(case.wants[want].mixable) for want in wants], dtype=bool)
        self._starts = np.searchsorted(self._owner, np.arange(len(wants)))
        self._sizes = np.bincount(self._owner, minlength=len(wants)) if ways else np.zeros(len(wants), dtype=np.int64)
        self._lay_out_waters(case, [way for _, way in ways])
        self._lay_out_limits(case, [way for _, way in ways])

    def _lay_out_waters(self, case: Case, ways: Sequence[Way]) -> None:
        pools = {leg.pool: None for way in ways for leg in way.legs}
        numbers = {pool: number for number, pool in enumerate(pools)}
        member: dict[int, list[int]] = {}
        for pool, number in numbers.items():
            for water in pool:
                member.setdefault(water, []).append(number)
        kinds: dict[tuple[int, ...], int] = {}
        kind_of = {water: kinds.setdefault(tuple(found), len(kinds)) for water, found in member.items()}
        starts = sorted({leg.start for way in ways for leg in way.legs})
        step = max(1, -(-len(starts) // MOST_INSTANTS))
        self._instants = np.array(starts[::step], dtype=np.int64)
        self._capacity = np.zeros((len(kinds), len(self._instants)))
        for water, kind in kind_of.items():
            open_ = np.ones(len(self._instants))
            for stay in case.taken[water]:
                open_[np.searchsorted(self._instants, stay.start) : np.searchsorted(self._instants, stay.end)] = 0.0
            self._capacity[kind] += open_
        self._pool_kinds = [sorted({kind_of[water] for water in pool}) for pool in pools]
        legs = [(place, leg) for place, way in enumerate(ways) for leg in way.legs]
        self._leg_way = np.array([place for place, _ in legs], dtype=np.int64)
        self._from = np.searchsorted(self._instants, [leg.start for _, leg in legs]).astype(np.int64)
        self._to = np.searchsorted(self._instants, [leg.end for _, leg in legs]).astype(np.int64)
        pool_of = np.array([numbers[leg.pool] for _, leg in legs], dtype=np.int64)
        self._of_pool = [np.flatnonzero(pool_of == number) for number in range(len(pools))]

    def _lay_out_limits(self, case: Case, ways: Sequence[Way]) -> None:
        """Days of work, sets in use, and what a shelf has left: each a sum that may not pass its row."""
        rows: dict[tuple[int, int], int] = {}
        room: list[float] = []
        entries: list[tuple[int, int, float]] = []
        points = _points(case, ways)

        def row(limit: int, at: int, most: int) -> int:
            if (limit, at) not in rows:
                rows[(limit, at)] = len(room)
                room.append(float(most))
            return rows[(limit, at)]

        for place, way in enumerate(ways):
            for use in way.uses:
                limit, amount = case.limits[use.limit], float(_least(case, way, use))
                if isinstance(limit, Daily):
                    entries.append((place, row(use.limit, use.at, limit.room_on(use.at)), amount))
                elif isinstance(limit, Sets):
                    wet = _between(points[use.limit], use.at, use.at + limit.lasting)
                    entries += [(place, row(use.limit, at, limit.room_at(at)), amount) for at in wet]
                elif isinstance(limit, Shelf):
                    before = _between(points[use.limit], -(10**9), use.at + 1)
                    entries += [(place, row(use.limit, at, limit.left_from(at)), amount) for at in before]
        self._row_way = np.array([entry[0] for entry in entries], dtype=np.int64)
        self._row = np.array([entry[1] for entry in entries], dtype=np.int64)
        scale = np.maximum(np.array(room), 1.0) if room else np.ones(0)
        self._amount = np.array([entry[2] for entry in entries]) / (scale[self._row] if entries else 1.0)
        self._room = np.array(room) / scale if room else np.zeros(0)

    def best(self, answer: float, rounds: int) -> Bound:
        """The best bound of so many rounds; `answer` is what the best known answer costs."""
        waters, limits = np.zeros_like(self._capacity), np.zeros_like(self._room)
        best: Bound | None = None
        pace, stale = 1.0, 0
        for _ in range(rounds):
            value, priced, back, slack_waters, slack_limits = self._at(waters, limits)
            if best is None or value > best.value + 1e-9:
                best, stale = Bound(value=value, priced=self._split(priced), back=back), 0
            else:
                stale += 1
                if stale >= 8:
                    pace, stale = pace / 2, 0
            norm = float((slack_waters**2).sum() + (slack_limits**2).sum())
            if norm < 1e-12 or answer - best.value < 1e-9 or pace < 1e-3:
                break
            step = pace * max(answer - value, 1e-6) / norm
            waters = np.maximum(waters + step * slack_waters, 0.0)
            limits = np.maximum(limits + step * slack_limits, 0.0)
        assert best is not None
        return best

    def _split(self, priced: Floats) -> tuple[Floats, ...]:
        ends = self._starts + self._sizes
        return tuple(priced[start:end].copy() for start, end in zip(self._starts, ends, strict=True))

    def _at(self, waters: Floats, limits: Floats) -> tuple[float, Floats, float, Floats, Floats]:
        """The bound at these prices, and how far each limit is passed by what the wishes take."""
        sums = np.zeros((waters.shape[0], waters.shape[1] + 1))
        np.cumsum(waters, axis=1, out=sums[:, 1:])
        legs, kinds = np.zeros(len(self._leg_way)), np.zeros(len(self._leg_way), dtype=np.int64)
        for chosen, members in zip(self._of_pool, self._pool_kinds, strict=True):
            rows = np.array(members, dtype=np.int64)[:, None]
            prices = sums[rows, self._to[chosen]] - sums[rows, self._from[chosen]]
            which = prices.argmin(axis=0)
            legs[chosen] = prices[which, np.arange(len(chosen))]
            kinds[chosen] = np.array(members)[which]
        count = len(self._costs)
        priced: Floats = self._costs + np.bincount(self._leg_way, legs, minlength=count)
        if len(self._row):
            priced = priced + np.bincount(self._row_way, self._amount * limits[self._row], minlength=count)
        free = self._free[self._owner] if count else np.zeros(0, dtype=bool)
        priced = np.where(free, self._costs, priced)
        back = float((waters * self._capacity).sum() + (limits * self._room).sum())
        total, taken = -back, np.zeros(count, dtype=bool)
        for place, (start, size) in enumerate(zip(self._starts, self._sizes, strict=True)):
            least = int(priced[start : start + size].argmin()) if size else -1
            if size and priced[start + least] < self._broken[place]:
                total += float(priced[start + least])
                taken[start + least] = not self._free[place]
            else:
                total += float(self._broken[place])
        return total, priced, back, self._used(taken, kinds) - self._capacity, self._loaded(taken) - self._room

    def _used(self, taken: npt.NDArray[np.bool_], kinds: Ints) -> Floats:
        change = np.zeros((self._capacity.shape[0], self._capacity.shape[1] + 1))
        mine = np.flatnonzero(taken[self._leg_way]) if len(self._leg_way) else np.zeros(0, dtype=np.int64)
        np.add.at(change, (kinds[mine], self._from[mine]), 1.0)
        np.add.at(change, (kinds[mine], self._to[mine]), -1.0)
        used: Floats = np.cumsum(change, axis=1)[:, :-1]
        return used

    def _loaded(self, taken: npt.NDArray[np.bool_]) -> Floats:
        if not len(self._row):
            return np.zeros_like(self._room)
        mine = taken[self._row_way]
        return np.bincount(self._row[mine], self._amount[mine], minlength=len(self._room)).astype(float)


def _least(case: Case, way: Way, use: Use) -> int:
    if use.leg < 0:
        return use.amount
    return use.amount * min(case.volumes[water] for water in way.legs[use.leg].pool) // 1000


def _points(case: Case, ways: Sequence[Way]) -> Mapping[int, list[int]]:
    """Per limit the moments at which it is looked at, at most so many."""
    found: dict[int, set[int]] = {}
    for way in ways:
        for use in way.uses:
            if isinstance(case.limits[use.limit], Sets | Shelf):
                found.setdefault(use.limit, set()).add(use.at)
    kept = {}
    for number, points in found.items():
        limit = case.limits[number]
        extra = {last + 1 for last, _ in limit.bottles if last is not None} if isinstance(limit, Shelf) else set()
        ordered = sorted(points)
        step = max(1, -(-len(ordered) // 60)) if isinstance(limit, Shelf) else max(1, -(-len(ordered) // MOST_INSTANTS))
        kept[number] = sorted({*ordered[::step], *extra, *ordered[:1]})
    return kept


def _between(points: Sequence[int], first: int, last: int) -> Sequence[int]:
    return points[bisect_left(points, first) : bisect_left(points, last)]
