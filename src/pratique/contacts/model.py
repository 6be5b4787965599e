"""Contacts between waters, and what a trace of them answers: plain data. Moments are in the zone of the room."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from pratique.history.events import Stay
from pratique.problem import Problem

Level = Literal["direct", "wet", "possible"]
LEVELS: tuple[Level, ...] = ("direct", "wet", "possible")
"""How strongly, the strongest first: the same water or a fish; something wet; hands, drops, or what nobody noted."""

Way = Literal[
    "fish", "animal", "water", "thing", "gear", "hands", "spray", "set", "unnamed", "arrival",
]  # fmt: skip
"""`animal` has no backbone; `thing` is rock, sand, media; `set` is gear whose uses nobody wrote down; `unnamed` is
something carried from nobody knows where."""

NodeKind = Literal["water", "gear", "hands", "outside"]
Node = tuple[NodeKind, str]
"""Whatever can carry something on."""


@dataclass(frozen=True, slots=True)
class Contact:
    """Something could pass from `from_` to `to` at one moment; `from_` is None where any water may be meant."""

    at: dt.datetime
    from_: Node | None
    to: Node
    way: Way
    level: Level
    what: str = ""
    entry_id: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """`dry`: no water is left in it. `wet`: there is again. `end`: whatever was in it has died, and `why`."""

    at: dt.datetime
    node: Node
    what: Literal["dry", "wet", "end"]
    why: str = ""
    entry_id: str = ""


Item = Contact | Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class Nearby:
    """Two waters between which something may pass all the while that both hold water."""

    one: str
    other: str
    way: Way
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """Every contact in order of time, and who stands near whom."""

    items: tuple[Item, ...]
    waters: tuple[Node, ...]
    near: Mapping[Node, tuple[tuple[Node, Nearby], ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Hop:
    """One step of a path from water to water, with the carriers between them in words."""

    from_: str
    to: str
    at: dt.datetime
    way: Way
    level: Level
    text: str
    entry_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockEffect:
    """What an exposure at `at` does to one clock. `cost` in days is None where no date hangs on it.

    `counted`: the plan counts it already; where it does not, it is the keeper's to decide.
    """

    batch: str
    clock: str
    at: dt.datetime
    cost: float | None
    counted: bool
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldItem:
    """Something without a spine, or a thing, that may not go elsewhere yet. Without `until` the reason is in `says`."""

    what: str
    water: str
    since: dt.datetime
    until: dt.datetime | None
    until_warm: dt.datetime | None
    waits: bool
    says: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ToClean:
    """A set of gear or an empty tank that has to be disinfected and dried before it is used elsewhere."""

    what: str
    kind: Literal["gear", "tank"]
    level: Level
    since: dt.datetime
    ready: dt.datetime
    says: str
    commands: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """A water that was exposed: since when, how strongly, by which path; `until` is when what was in it had died.

    `last` is the latest contact that counts; `goes_on` where that lasts, as drops do. `here` are the animals in it now,
    `drops` what goes on from exposed waters near it, beside the path that counts.
    """

    water: str
    tanks: tuple[str, ...]
    level: Level
    since: dt.datetime
    last: dt.datetime
    goes_on: bool
    until: dt.datetime | None
    ended: str
    path: tuple[Hop, ...]
    latest: Hop | None
    here: tuple[Stay, ...]
    drops: tuple[Nearby, ...] = ()
    is_origin: bool = False
    clocks: tuple[ClockEffect, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A water, or animals from outside, from which it could have come; `latest` is the last moment for that."""

    name: str
    kind: Literal["water", "outside"]
    level: Level
    latest: dt.datetime
    path: tuple[Hop, ...]
    says: str = ""
    signs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Unexposed:
    """A water that was not reached, its animals, and why not."""

    water: str
    tanks: tuple[str, ...]
    here: tuple[Stay, ...]
    why: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """What was asked about: `seeds` are the nodes that carried it, each from the moment on that counts."""

    name: str
    kind: Literal["water", "batch", "animal", "gear"]
    title: str
    seeds: tuple[tuple[Node, dt.datetime], ...]
    targets: tuple[tuple[Node, dt.datetime], ...]
    waters: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """The whole answer. Contacts count from `since` on; what it came from is looked for up to `seen`."""

    origin: Origin
    agent: str
    at: dt.datetime
    since: dt.datetime
    since_why: str
    seen: dt.datetime
    seen_why: str
    from_log: bool
    reached: tuple[Reached, ...]
    sources: tuple[Source, ...]
    unexposed: tuple[Unexposed, ...]
    held: tuple[HeldItem, ...]
    to_clean: tuple[ToClean, ...]
    notes: tuple[str, ...]
    problems: tuple[Problem, ...] = ()

    @property
    def exposed(self) -> tuple[Reached, ...]:
        """Those still exposed at the moment asked about."""
        return tuple(found for found in self.reached if found.until is None)
