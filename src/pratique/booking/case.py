"""The question of a booking in whole numbers: wishes with their ways in, waters, and limits. No fish in here.

Moments are minutes since 1970 in UTC, volumes mL, days counted from 1970 by the room's clock.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol


class Leg(NamedTuple):
    """One stay in one water, until it is dry again after it: any water of `pool` will do."""

    pool: tuple[int, ...]
    start: int
    end: int


class Use(NamedTuple):
    """`amount` taken of a limit at a moment or on a day. With a `leg` it is for each litre of the water of that leg."""

    limit: int
    at: int
    amount: int
    leg: int = -1

    def of(self, volumes: Sequence[int], waters: Sequence[int]) -> int:
        """The whole amount in these waters, rounded up."""
        return self.amount if self.leg < 0 else -(-self.amount * volumes[waters[self.leg]] // 1000)


class Way(NamedTuple):
    """One way in which a wish could be met: `wait` days after its earliest day, with so many `moves` of animals.

    Two wishes may be mixed where their ways have the same `key`: the same day, regimen and stages.
    """

    wait: int
    moves: int
    legs: tuple[Leg, ...]
    uses: tuple[Use, ...] = ()
    key: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A wish with its ways, cheapest first. `priority` 1 comes first. `mixable`: the wishes it may share a water with.

    `least` is the volume (mL) it needs for itself.
    """

    name: str
    priority: int
    ways: tuple[Way, ...]
    mixable: frozenset[int] = frozenset()
    least: int = 0


class Limit(Protocol):
    """Something of which there is only so much."""

    @property
    def name(self) -> str: ...

    def allows(self, load: Mapping[int, int], touched: Sequence[int]) -> bool:
        """True where the amounts of `load` (by moment or day) can be had; only those `touched` have grown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Daily:
    """So much a day, less what is taken already (`base`)."""

    name: str
    most: int
    base: Mapping[int, int] = field(default_factory=dict)

    def room_on(self, day: int) -> int:
        return max(self.most - self.base.get(day, 0), 0)

    def allows(self, load: Mapping[int, int], touched: Sequence[int]) -> bool:
        return all(load[day] <= self.room_on(day) for day in touched)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sets:
    """Sets of gear: each is used at a moment and dry again `lasting` minutes later."""

    name: str
    most: int
    lasting: int
    base: tuple[int, ...] = ()

    def room_at(self, moment: int) -> int:
        wet = sum(1 for used in self.base if used <= moment < used + self.lasting)
        return max(self.most - wet, 0)

    def allows(self, load: Mapping[int, int], touched: Sequence[int]) -> bool:
        """Wet sets are counted where a use begins, of ours or of the base, in the reach of what was touched."""
        first, last = min(touched) - self.lasting, max(touched) + self.lasting
        near = [(at, count) for at, count in load.items() if count and first < at < last]
        starts = {at for at, _ in near} | {at for at in self.base if first < at < last}
        for moment in starts:
            wet = sum(count for at, count in near if at <= moment < at + self.lasting)
            if wet and wet > self.room_at(moment):
                return False
        return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Store:
    """Mixed water: containers that hold `holds`, filled at `per_day`; `stock` stands ready on the `first` day.

    What the base lacks already is not charged to anybody: its demand counts as far as it can be met.
    """

    name: str
    holds: int
    per_day: int
    first: int
    stock: int
    base: Mapping[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        served, level, before = {}, self.stock, self.first
        for day in sorted(self.base):
            level = min(self.holds, level + self.per_day * (day - before))
            served[day] = min(self.base[day], level)
            level, before = level - served[day], day
        object.__setattr__(self, "base", served)

    def allows(self, load: Mapping[int, int], touched: Sequence[int]) -> bool:
        level, before = self.stock, self.first
        for day in sorted(load.keys() | self.base.keys()):
            level = min(self.holds, level + self.per_day * max(day - before, 0)) - self.base.get(day, 0)
            level -= load.get(day, 0)
            before = max(day, before)
            if level < 0:
                return False
        return True


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """Bottles of one medicine, each with its last day (None: no end) and what is in it; `base` is spoken for."""

    name: str
    bottles: tuple[tuple[int | None, int], ...]
    base: Mapping[int, int] = field(default_factory=dict)

    def left_from(self, day: int) -> int:
        """What is left for all that is used on this day or later."""
        good = sum(amount for last, amount in self.bottles if last is None or last >= day)
        return max(good - sum(amount for at, amount in self.base.items() if at >= day), 0)

    def thresholds(self, load: Mapping[int, int]) -> list[int]:
        """The days from which on something may run short: the bottles good until then are nested, so these suffice."""
        ends = {last + 1 for last, _ in self.bottles if last is not None}
        return sorted({*ends, *self.base, *load})

    def allows(self, load: Mapping[int, int], touched: Sequence[int]) -> bool:
        later = 0
        need: dict[int, int] = {}
        for day in reversed(self.thresholds(load)):
            later += load.get(day, 0)
            need[day] = later
        return all(amount <= self.left_from(day) for day, amount in need.items())


class Taken(NamedTuple):
    """A water that somebody has already, from `start` to `end` with the drying."""

    start: int
    end: int
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """The whole question. Waters are numbers; each has a name, a volume (mL), and who has it already."""

    waters: tuple[str, ...]
    volumes: tuple[int, ...]
    taken: tuple[tuple[Taken, ...], ...]
    limits: tuple[Limit, ...]
    wants: tuple[Want, ...]


@dataclass(frozen=True, slots=True)
class Pick:
    """What was chosen for a wish: the number of its way, and the water of each leg. `joins`: the wish it rides with."""

    way: int
    waters: tuple[int, ...]
    joins: int = -1


Score = tuple[tuple[int, ...], int, int]
"""Broken wishes by priority (the first first), days of waiting, moves of animals: compared in that order."""


def score(case: Case, picks: Mapping[int, Pick]) -> Score:
    """How good an answer is; less is better."""
    levels = sorted({want.priority for want in case.wants})
    broken = dict.fromkeys(levels, 0)
    wait = moves = 0
    for number, want in enumerate(case.wants):
        pick = picks.get(number)
        if pick is None:
            broken[want.priority] += 1
        else:
            wait += want.ways[pick.way].wait
            moves += want.ways[pick.way].moves
    return tuple(broken.values()), wait, moves
