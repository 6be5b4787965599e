"""Whether wishes can come on given days together: ways are chosen for them, then waters, with the fewest moves.

Ways come first, held against the limits and against a count: at no moment may more stays ask for waters than can be
matched to them. Only then is each stay given its water, in order of time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from pratique.booking.case import Case, Leg, Pick, Shelf, Way

Ways = Sequence[int]
"""The numbers of the ways of one wish on one day, the fewest moves first."""

Loads = dict[int, dict[int, int]]
"""Per limit what is taken of it, by moment or day."""

MOST_STEPS = 20_000


class GivenUpError(Exception):
    """More was tried than a booking is worth: what cannot be told is not claimed."""


@dataclass(slots=True)
class _Stay:
    """A leg that needs a water; `pool` are those free for it beside what was there already."""

    want: int
    leg: int
    start: int
    end: int
    pool: tuple[int, ...]


@dataclass(slots=True)
class _Chosen:
    """What is chosen so far: the way of each wish, whom it rides with, the stays, and what they take of the limits."""

    ways: dict[int, int] = field(default_factory=dict)
    rides: dict[int, int] = field(default_factory=dict)
    stays: list[_Stay] = field(default_factory=list)
    load: Loads = field(default_factory=dict)


class Fitting:
    """Places wishes whose days are chosen. One search at a time."""

    def __init__(self, case: Case, wants: Sequence[int]) -> None:
        self._case = case
        self._tight = [number for number in range(len(case.limits)) if not _never_short(case, wants, number)]
        self._steps = 0
        self._pools: dict[Leg, tuple[int, ...]] = {}
        self._flat: dict[tuple[int, int], Loads] = {}
        self._kinds = kinds_of(case)

    def place(self, wanted: Mapping[int, Ways], below: int | None = None) -> dict[int, Pick] | None:
        """Any placement of these wishes, with fewer than `below` moves; None where there is none."""
        wants = self._case.wants
        order = sorted(wanted, key=lambda w: (wants[w].ways[wanted[w][0]].legs[0].start, w))
        least = [min(wants[w].ways[n].moves for n in wanted[w]) for w in order]
        rest = [sum(least[at:]) for at in range(len(order) + 1)]
        self._steps = 0
        return self._choose(order, wanted, 0, 0, below, rest, _Chosen())

    def fewest_moves(self, wanted: Mapping[int, Ways], below: int) -> tuple[dict[int, Pick], int] | None:
        """The placement with the fewest moves, if fewer than `below`."""
        best: tuple[dict[int, Pick], int] | None = None
        while (found := self.place(wanted, below)) is not None:
            below = sum(self._case.wants[w].ways[pick.way].moves for w, pick in found.items())
            best = (found, below)
        return best

    def _step(self) -> None:
        self._steps += 1
        if self._steps > MOST_STEPS:
            raise GivenUpError

    def _choose(
        self, order: Sequence[int], wanted: Mapping[int, Ways], at: int, moves: int, below: int | None,
        rest: Sequence[int], chosen: _Chosen,
    ) -> dict[int, Pick] | None:  # fmt: skip
        """A way for each wish from `at` on, and then waters for them all."""
        if below is not None and moves + rest[at] >= below:
            return None
        if at == len(order):
            stays = sorted(chosen.stays, key=lambda stay: (stay.start, stay.end, stay.want, stay.leg))
            return self._waters(chosen, stays, 0, {}, {})
        w = order[at]
        for number in wanted[w]:
            more = moves + self._case.wants[w].ways[number].moves
            for longer in self._longer(chosen, w, number):
                self._step()
                found = self._choose(order, wanted, at + 1, more, below, rest, longer)
                if found is not None:
                    return found
        return None

    def _longer(self, chosen: _Chosen, w: int, number: int) -> Iterator[_Chosen]:
        """The wish added by this way: riding with another, or in waters of its own."""
        way = self._case.wants[w].ways[number]
        for other in self._rides(chosen, w, way):
            stays = self._shared(chosen, w, way, other)
            if stays is not None:
                yield _Chosen({**chosen.ways, w: number}, {**chosen.rides, w: other}, stays, chosen.load)
        load = self._added(chosen.load, w, number)
        if load is None:
            return
        mine = [_Stay(w, leg, stay.start, stay.end, self._free(stay)) for leg, stay in enumerate(way.legs)]
        stays = [*chosen.stays, *mine]
        if all(stay.pool for stay in mine) and _can_match(stays, mine):
            yield _Chosen({**chosen.ways, w: number}, chosen.rides, stays, load)

    def _rides(self, chosen: _Chosen, w: int, way: Way) -> Iterator[int]:
        """The wishes it could ride with: two to a water at most."""
        wants, ridden = self._case.wants, set(chosen.rides.values())
        for other in sorted(wants[w].mixable & chosen.ways.keys()) if way.key >= 0 else ():
            is_free = other not in chosen.rides and other not in ridden
            if is_free and wants[other].ways[chosen.ways[other]].key == way.key:
                yield other

    def _shared(self, chosen: _Chosen, w: int, way: Way, other: int) -> list[_Stay] | None:
        """The stays with those of `other` in waters that do for both; None where one finds none."""
        need = self._case.wants[w].least + self._case.wants[other].least
        stays, changed = [], []
        for stay in chosen.stays:
            if stay.want == other:
                mine = way.legs[stay.leg].pool
                pool = tuple(n for n in stay.pool if n in mine and self._case.volumes[n] >= need)
                stay = _Stay(stay.want, stay.leg, stay.start, stay.end, pool)
                changed.append(stay)
            stays.append(stay)
        return stays if all(stay.pool for stay in changed) and _can_match(stays, changed) else None

    def _added(self, load: Loads, w: int, number: int) -> Loads | None:
        """The load with this way, as if each leg had its smallest water; None where a limit is passed."""
        extra = self._least_load(w, number)
        for limit, more in extra.items():
            if not self._case.limits[limit].allows(load.get(limit, {}), more):
                return None
        return _plus(load, extra)

    def _least_load(self, w: int, number: int) -> Loads:
        key = (w, number)
        if key not in self._flat:
            way = self._case.wants[w].ways[number]
            litres = [min(self._case.volumes[n] for n in leg.pool) for leg in way.legs]
            found: Loads = {}
            for use in way.uses:
                if use.limit in self._tight and (amount := use.of(litres)):
                    mine = found.setdefault(use.limit, {})
                    mine[use.at] = mine.get(use.at, 0) + amount
            self._flat[key] = found
        return self._flat[key]

    def _free(self, leg: Leg) -> tuple[int, ...]:
        """The waters of a leg that nobody has already at any time of it."""
        if leg not in self._pools:
            taken = self._case.taken
            self._pools[leg] = tuple(
                n for n in leg.pool if not any(t.start < leg.end and leg.start < t.end for t in taken[n])
            )
        return self._pools[leg]

    def _waters(
        self, chosen: _Chosen, stays: Sequence[_Stay], at: int, given: dict[tuple[int, int], int], until: dict[int, int]
    ) -> dict[int, Pick] | None:
        """A water for each stay from `at` on. In order of time a water is free where its last stay has ended."""
        if at == len(stays):
            return self._picks(chosen, given)
        stay, seen = stays[at], set()
        for water in sorted(stay.pool, key=lambda n: (-until.get(n, 0), stay.pool.index(n))):
            ends = until.get(water, 0)
            alike = (self._kinds[water], ends)
            if ends > stay.start or alike in seen:
                continue
            seen.add(alike)
            self._step()
            more = self._with_volume(chosen, stay, water)
            if more is None:
                continue
            now = {**given, (stay.want, stay.leg): water}
            found = self._waters(more, stays, at + 1, now, {**until, water: stay.end})
            if found is not None:
                return found
        return None

    def _with_volume(self, chosen: _Chosen, stay: _Stay, water: int) -> _Chosen | None:
        """The load where this stay is in a water larger than the smallest it was reckoned with."""
        way = self._case.wants[stay.want].ways[chosen.ways[stay.want]]
        volumes = self._case.volumes
        least = min(volumes[n] for n in way.legs[stay.leg].pool)
        if volumes[water] == least:
            return chosen
        extra: Loads = {}
        for use in way.uses:
            if use.leg == stay.leg and use.limit in self._tight:
                small, real = -(-use.amount * least // 1000), -(-use.amount * volumes[water] // 1000)
                if real > small:
                    mine = extra.setdefault(use.limit, {})
                    mine[use.at] = mine.get(use.at, 0) + real - small
        for limit, more in extra.items():
            if not self._case.limits[limit].allows(chosen.load.get(limit, {}), more):
                return None
        return _Chosen(chosen.ways, chosen.rides, chosen.stays, _plus(chosen.load, extra)) if extra else chosen

    def _picks(self, chosen: _Chosen, given: Mapping[tuple[int, int], int]) -> dict[int, Pick]:
        found: dict[int, Pick] = {}
        for w, number in sorted(chosen.ways.items(), key=lambda entry: entry[0] in chosen.rides):
            other = chosen.rides.get(w, -1)
            if other >= 0:
                found[w] = Pick(number, found[other].waters, other)
            else:
                count = len(self._case.wants[w].ways[number].legs)
                found[w] = Pick(number, tuple(given[w, leg] for leg in range(count)))
        return found


def _plus(load: Loads, extra: Loads) -> Loads:
    found = dict(load)
    for limit, more in extra.items():
        mine = dict(found.get(limit, {}))
        for at, amount in more.items():
            mine[at] = mine.get(at, 0) + amount
        found[limit] = mine
    return found


def _can_match(stays: Sequence[_Stay], new: Sequence[_Stay]) -> bool:
    """False where at the beginning of some stay more waters are asked for than there are, by the new ones too."""
    for moment in {stay.start for stay in stays}:
        if any(stay.start <= moment < stay.end for stay in new):
            there = [stay.pool for stay in stays if stay.start <= moment < stay.end]
            if not _matched(there):
                return False
    return True


def _matched(pools: Sequence[tuple[int, ...]]) -> bool:
    """Whether each of these can have a water of its own (a matching, found by paths that free a water)."""
    owner: dict[int, int] = {}

    def give(number: int, tried: set[int]) -> bool:
        for water in pools[number]:
            if water not in tried:
                tried.add(water)
                if water not in owner or give(owner[water], tried):
                    owner[water] = number
                    return True
        return False

    return all(give(number, set()) for number in range(len(pools)))


def _never_short(case: Case, wants: Sequence[int], number: int) -> bool:
    """True for a shelf that holds enough for every wish at its dearest way in its largest waters."""
    limit = case.limits[number]
    if not isinstance(limit, Shelf):
        return False
    total = 0
    for w in wants:
        dearest = 0
        for way in case.wants[w].ways:
            litres = [max(case.volumes[n] for n in leg.pool) for leg in way.legs]
            dearest = max(dearest, sum(use.of(litres) for use in way.uses if use.limit == number))
        total += dearest
    last = max((use.at for w in wants for way in case.wants[w].ways for use in way.uses), default=0)
    return all(total <= limit.left_from(day) for day in (*limit.thresholds({}), last))


def kinds_of(case: Case) -> list[object]:
    """Waters that stand in the same pools, have the same stays already and are as large are of one kind."""
    pools = sorted({leg.pool for want in case.wants for way in want.ways for leg in way.legs})
    members: list[list[int]] = [[] for _ in case.waters]
    for number, pool in enumerate(pools):
        for water in pool:
            members[water].append(number)
    return [(tuple(members[n]), case.volumes[n], case.taken[n]) for n in range(len(case.waters))]
