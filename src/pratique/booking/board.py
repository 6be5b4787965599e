"""What is booked while an answer is sought: put a way in, take it out again, ask whether one would fit."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator, Sequence

from pratique.booking.case import Case, Leg, Pick, Taken, Way

Amounts = tuple[tuple[int, tuple[tuple[int, int], ...]], ...]
"""By the number of a limit: what is taken of it, by moment or day."""


class Board:
    """The waters and limits of a case with some wishes picked."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.busy: list[list[Taken]] = [merged(taken) for taken in case.taken]
        self.load: list[dict[int, int]] = [{} for _ in case.limits]
        self.picks: dict[int, Pick] = {}
        self._kinds = _kinds(case)
        self._known: dict[tuple[int, tuple[int, ...] | None], Amounts] = {}

    def is_free(self, water: int, start: int, end: int) -> bool:
        """True where nobody has the water at any moment of [start, end)."""
        stays = self.busy[water]
        at = bisect_left(stays, (end,))
        # stays before `at` begin before `end`; those of one water do not overlap, so the last of them ends last
        return at == 0 or stays[at - 1].end <= start

    def could(self, way: Way) -> bool:
        """A quick look: True unless some leg finds no water at all, or a limit is passed whatever water is taken."""
        for pool, start, end in way.legs:
            if not any(self.is_free(water, start, end) for water in pool):
                return False
        return self.limits_allow(way, None)

    def limits_allow(self, way: Way, waters: Sequence[int] | None) -> bool:
        """True where no limit is passed with this way on top; without `waters` as if each leg had its smallest."""
        for limit, amounts in self._amounts(way, waters):
            load = self.load[limit]
            _add(load, amounts, 1)
            fine = self.case.limits[limit].allows(load, [at for at, _ in amounts])
            _add(load, amounts, -1)
            if not fine:
                return False
        return True

    def places(self, way: Way) -> Iterator[tuple[int, ...]]:
        """Every choice of waters for the legs of a way that differs in more than names."""
        yield from self._fill(way.legs, [])

    def _fill(self, legs: tuple[Leg, ...], chosen: list[int]) -> Iterator[tuple[int, ...]]:
        if len(chosen) == len(legs):
            yield tuple(chosen)
            return
        pool, start, end = legs[len(chosen)]
        seen: set[object] = set()
        for water in pool:
            if not self.is_free(water, start, end):
                continue
            if any(
                other == water and leg.start < end and start < leg.end
                for other, leg in zip(chosen, legs, strict=False)
            ):
                continue
            alike = (self._kinds[water], tuple(self.busy[water]), water in chosen)
            if alike in seen:
                continue
            seen.add(alike)
            chosen.append(water)
            yield from self._fill(legs, chosen)
            chosen.pop()

    def tightest(self, way: Way) -> tuple[int, ...] | None:
        """Waters for the legs, each the one whose last stay ended latest before; None where a leg finds none."""
        chosen: list[int] = []
        for pool, start, end in way.legs:
            best, latest, is_shut = -1, -1, True
            for water in pool:
                stays = self.busy[water]
                at = bisect_left(stays, (end,))
                before = stays[at - 1].end if at else 0
                if before > start:
                    continue
                is_shut = False
                if before <= latest:
                    continue
                if any(
                    other == water and leg.start < end and start < leg.end
                    for other, leg in zip(chosen, way.legs, strict=False)
                ):
                    continue
                best, latest = water, before
            if is_shut:
                return None
            if best < 0:
                return next(self._fill(way.legs, []), None)
            chosen.append(best)
        return tuple(chosen)

    def put(self, want: int, pick: Pick) -> None:
        """Books a way; one that joins another wish takes nothing of its own."""
        self.picks[want] = pick
        if pick.joins >= 0:
            return
        self.occupy(self.case.wants[want].ways[pick.way], pick.waters, self.case.wants[want].name)

    def occupy(self, way: Way, waters: Sequence[int], who: str) -> None:
        """Takes these waters and all that the way uses, whoever it is for."""
        for (_, start, end), water in zip(way.legs, waters, strict=True):
            insort(self.busy[water], Taken(start, end, who))
        self._load(way, waters, 1)

    def take(self, want: int) -> Pick:
        """Takes a wish out again."""
        pick = self.picks.pop(want)
        if pick.joins < 0:
            way = self.case.wants[want].ways[pick.way]
            for (_, start, end), water in zip(way.legs, pick.waters, strict=True):
                self.busy[water].remove(Taken(start, end, self.case.wants[want].name))
            self._load(way, pick.waters, -1)
        return pick

    def joins(self, want: int, way: Way) -> Iterator[int]:
        """The wishes already picked that this one could ride with on this way: two to a water at most."""
        mine = self.case.wants[want]
        if way.key < 0:
            return
        ridden = {pick.joins for pick in self.picks.values()}
        for other in sorted(mine.mixable & self.picks.keys()):
            pick, theirs = self.picks[other], self.case.wants[other]
            if pick.joins >= 0 or other in ridden or theirs.ways[pick.way].key != way.key:
                continue
            if all(self.case.volumes[water] >= mine.least + theirs.least for water in pick.waters) and all(
                water in leg.pool for water, leg in zip(pick.waters, way.legs, strict=True)
            ):
                yield other

    def _amounts(self, way: Way, waters: Sequence[int] | None) -> Amounts:
        """What a way takes of each limit in these waters. Ways live as long as the case, so `id` tells them apart."""
        places = None if waters is None else tuple(waters)
        key = (id(way), places)
        found = self._known.get(key)
        if found is None:
            volumes = self.case.volumes
            waters = places or tuple(min(leg.pool, key=lambda water: volumes[water]) for leg in way.legs)
            totals: dict[int, dict[int, int]] = {}
            for use in way.uses:
                load = totals.setdefault(use.limit, {})
                load[use.at] = load.get(use.at, 0) + use.of(volumes, waters)
            found = self._known[key] = tuple((limit, tuple(load.items())) for limit, load in totals.items())
        return found

    def _load(self, way: Way, waters: Sequence[int], sign: int) -> None:
        for limit, amounts in self._amounts(way, waters):
            _add(self.load[limit], amounts, sign)


def _add(load: dict[int, int], amounts: Iterable[tuple[int, int]], sign: int) -> None:
    for at, amount in amounts:
        grown = load.get(at, 0) + sign * amount
        if grown:
            load[at] = grown
        else:
            load.pop(at, None)


def merged(stays: Sequence[Taken]) -> list[Taken]:
    """The stays in order of time, those that overlap made one."""
    found: list[Taken] = []
    for stay in sorted(stays):
        if found and stay.start < found[-1].end:
            last = found.pop()
            stay = Taken(last.start, max(last.end, stay.end), last.who)
        found.append(stay)
    return found


def _kinds(case: Case) -> list[int]:
    """Waters that stand in the same pools, and are as large where that counts, are of one kind."""
    pools = {leg.pool for want in case.wants for way in want.ways for leg in way.legs}
    sized = any(use.leg >= 0 for want in case.wants for way in want.ways for use in way.uses)
    sized = sized or any(want.mixable for want in case.wants)
    members: list[list[int]] = [[] for _ in case.waters]
    for number, pool in enumerate(sorted(pools)):
        for water in pool:
            members[water].append(number)
    marks: dict[tuple[object, ...], int] = {}
    return [
        marks.setdefault((tuple(found), case.volumes[water] if sized else 0), len(marks))
        for water, found in enumerate(members)
    ]
