"""`pratique trace --json`."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, MaybeQuantity, Moment, strict

Strength = Literal["direct", "wet", "possible"]


@strict
class Asked(TypedDict):
    """What was asked about, and the waters it is in."""

    name: str
    kind: str
    waters: list[str]


@strict
class Stay(TypedDict):
    """Animals of one name in one tank."""

    animal: str
    count: int
    batch: str | None
    tank: str


Hop = TypedDict(
    "Hop",
    {"from": str, "to": str, "at": Moment, "by": str, "strength": Strength, "text": str, "entry": str | None},
)
Hop.__doc__ = "One contact: from which water to which, when and by what way."
strict(Hop)


@strict
class Effect(TypedDict):
    """What a contact did to a clock; `cost` is what counted before it."""

    batch: str | None
    clock: str
    at: Moment
    cost: MaybeQuantity
    counted: bool | float | str | None
    text: str


@strict
class Exposed(TypedDict):
    """A water that may have it: since when, how strongly, by what path."""

    water: str
    tanks: list[str]
    asked: bool
    strength: Strength
    since: Moment
    last: Moment
    goes_on: bool
    until: MaybeMoment
    ended: str | None
    path: list[Hop]
    near: list[str]
    latest: Hop | None
    animals: list[Stay]
    clocks: list[Effect]


@strict
class Unexposed(TypedDict):
    """A water that was not reached, and why not."""

    water: str
    tanks: list[str]
    animals: list[Stay]
    why: list[str]


@strict
class Origin(TypedDict):
    """Where it may have come from."""

    name: str
    kind: str
    strength: Strength
    latest: Moment
    path: list[Hop]
    text: str | None
    signs: list[str]


@strict
class Held(TypedDict):
    """What has to be kept from other waters, and until when."""

    what: str
    water: str
    since: Moment
    until: MaybeMoment
    until_warm: MaybeMoment
    begins_when_taken_out: bool
    text: str
    source: str | None


@strict
class ToDisinfect(TypedDict):
    """What to disinfect, how, and when it may be used again."""

    what: str
    kind: str
    strength: Strength
    since: Moment
    ready: Moment
    text: str
    commands: list[str]


@strict
class Result(TypedDict):
    """Who has been exposed, and what follows. `strength`: same water or a fish moved, wet gear, or only possible."""

    asked: Asked
    agent: str | None
    since: Moment
    since_why: str
    seen: Moment
    seen_why: str
    from_log: bool
    exposed: list[Exposed]
    not_exposed: list[Unexposed]
    sources: list[Origin]
    held: list[Held]
    to_disinfect: list[ToDisinfect]
    notes: list[str]
