"""Why a wish cannot be met: the smallest set of wishes, limits and waters that clash, of which none can be left out.

Found by deletion: whatever can be lifted, one after the other, with the rest still proven impossible, is lifted. Wishes
are lifted first, so the answer names as few of them as it can, and the last of the priorities first.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from pratique.booking.case import Case, Leg, Want
from pratique.booking.solve import HOUSEHOLD, solve

FEW_NODES = 2_000
"""Choices looked at for each thing that is lifted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Numbers of wishes (the one asked for comes first), limits and waters of a case that cannot all be kept.

    With any one of them lifted the others can be kept: a wish that need not come, a limit that is not held, a water
    that takes any number at a time beside who is in it already. `is_smallest` is False where the search could not
    tell for one of them whether it is needed.
    """

    wishes: tuple[int, ...]
    limits: tuple[int, ...]
    waters: tuple[int, ...]
    is_smallest: bool = True


def clash_of(case: Case, wish: int, others: Iterable[int]) -> Clash | None:
    """What stands in the way of `wish` where `others` are to be met as well; None where that is not proven impossible.

    In a best answer that is every broken wish, with those that are met as the others.
    """
    if not case.wants[wish].ways:
        return Clash(wishes=(wish,), limits=(), waters=())
    for near in _growing(case, wish, others):
        kept = _Kept((wish, *near), *_used(case, (wish, *near)))
        if _can_be(case, kept, FEW_NODES) is False:
            return _least(case, kept)
    return None


@dataclass(frozen=True, slots=True)
class _Kept:
    """What has to hold."""

    wishes: tuple[int, ...]
    limits: tuple[int, ...]
    waters: tuple[int, ...]

    def without(self) -> Iterator[tuple[str, int]]:
        """Everything that may be lifted, in the order in which it is tried."""
        yield from (("wishes", number) for number in self.wishes[:0:-1])
        yield from (("limits", number) for number in self.limits)
        yield from (("waters", number) for number in self.waters)

    def lift(self, sort: str, number: int) -> _Kept:
        left = tuple(other for other in getattr(self, sort) if other != number)
        return replace(self, **{sort: left})


def lifted(case: Case, wishes: Sequence[int], limits: Iterable[int], waters: Iterable[int]) -> Case:
    """The case with these wishes alone, all of them alike dear, where only these limits and these waters are kept.

    A water that is not kept is there once more for every stay of every wish, and nobody is in it.
    """
    held, kept = set(limits), set(waters)
    names, volumes, taken = list(case.waters), list(case.volumes), list(case.taken)
    copies: dict[tuple[int, int, int], int] = {}

    def copy_of(water: int, want: int, place: int) -> int:
        key = (case.volumes[water], want, place)
        if key not in copies:
            copies[key] = len(names)
            names.append(f"{case.waters[water]}, freed {len(names)}")
            volumes.append(case.volumes[water])
            taken.append(())
        return copies[key]

    def freed(pool: tuple[int, ...], who: Sequence[int], place: int) -> tuple[int, ...]:
        still = [water for water in pool if water in kept]
        new = (copy_of(water, want, place) for water in pool if water not in kept for want in who)
        return (*still, *dict.fromkeys(new))

    places = {wish: place for place, wish in enumerate(wishes)}
    wants: list[Want] = []
    for wish in wishes:
        want = case.wants[wish]
        partners = [other for other in wishes if other in want.mixable or wish in case.wants[other].mixable]
        ways = tuple(
            way._replace(
                wait=0,
                moves=0,
                uses=tuple(use for use in way.uses if use.limit in held),
                legs=tuple(
                    Leg(freed(leg.pool, (wish, *partners), place), leg.start, leg.end)
                    for place, leg in enumerate(way.legs)
                ),
            )
            for way in want.ways
        )
        mixable = frozenset(places[other] for other in want.mixable if other in places)
        wants.append(Want(name=want.name, priority=1, ways=ways, mixable=mixable, least=want.least))
    return Case(
        waters=tuple(names), volumes=tuple(volumes), taken=tuple(taken), limits=case.limits, wants=tuple(wants)
    )


def all_met(case: Case, nodes: int) -> bool:
    """True where every wish can be met, whatever it waits; False too where the search was given up before it knew."""
    everything = _Kept(tuple(range(len(case.wants))), tuple(range(len(case.limits))), tuple(range(len(case.waters))))
    return _can_be(case, everything, nodes) is True


def _can_be(case: Case, kept: _Kept, nodes: int) -> bool | None:
    """Whether all of it can be kept; None where the search was given up before it knew."""
    solved = solve(lifted(case, kept.wishes, kept.limits, kept.waters), nodes=nodes)
    if not solved.broken:
        return True
    return False if solved.least_broken else None


def _least(case: Case, kept: _Kept) -> Clash:
    """Everything lifted that can be, until what is left has been tried against all the rest that is left."""
    unsure, mixes = False, any(case.wants[wish].mixable for wish in kept.wishes)
    while True:
        before, unsure = kept, False
        for sort, number in before.without():
            less = kept.lift(sort, number)
            can_be = _can_be(case, less, FEW_NODES)
            unsure = unsure or can_be is None
            if can_be is False:
                kept = less
        # one wish may ride with another, which spares limits: so what was needed before may not be so any more
        if kept == before or not mixes:
            return Clash(wishes=kept.wishes, limits=kept.limits, waters=kept.waters, is_smallest=not unsure)


def _growing(case: Case, wish: int, others: Iterable[int]) -> Iterator[tuple[int, ...]]:
    """None of the others, then one, two, four … of them: those that are most in its way first, the rest at the end."""
    pools, first, last = _reach(case, wish)
    mine = {use.limit for way in case.wants[wish].ways for use in way.uses}

    def apart(other: int) -> tuple[int, int, int]:
        theirs, begins, ends = _reach(case, other)
        limits = {use.limit for way in case.wants[other].ways for use in way.uses}
        minutes_shared = min(last, ends) - max(first, begins)
        return (-len(pools & theirs) if minutes_shared > 0 else 0, -len(mine & limits), -minutes_shared)

    near = sorted((other for other in others if case.wants[other].ways), key=lambda other: (*apart(other), other))
    near = [other for other in near if other != wish]
    count = 0
    while count < min(len(near), HOUSEHOLD - 1):
        yield _by_priority(case, near[:count])
        count = max(count * 2, 1)
    yield _by_priority(case, near[: HOUSEHOLD - 1])
    if len(near) >= HOUSEHOLD:
        yield _by_priority(case, near)


def _by_priority(case: Case, wishes: Sequence[int]) -> tuple[int, ...]:
    return tuple(sorted(wishes, key=lambda other: (case.wants[other].priority, other)))


def _reach(case: Case, wish: int) -> tuple[frozenset[int], int, int]:
    """The waters a wish could use, and from when to when."""
    legs = [leg for way in case.wants[wish].ways for leg in way.legs]
    waters = frozenset(water for leg in legs for water in leg.pool)
    return waters, min(leg.start for leg in legs), max(leg.end for leg in legs)


def _used(case: Case, wishes: Sequence[int]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The limits and the waters these wishes could touch."""
    ways = [way for wish in wishes for way in case.wants[wish].ways]
    limits = sorted({use.limit for way in ways for use in way.uses})
    waters = sorted({water for way in ways for leg in way.legs for water in leg.pool})
    return tuple(limits), tuple(waters)
