"""What readings, an addition or a label's claim prove, beside a dose."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, MaybeQuantity, Moment, Quantity, Range, Source, strict


@strict
class Read(TypedDict):
    """One reading."""

    at: Moment
    level: MaybeQuantity


@strict
class Curves(TypedDict):
    """The curve that fits the readings best; `passes` are those that cannot be ruled out."""

    model: str
    told: bool | None
    loss_is_certain: bool
    rate: MaybeQuantity
    half_life: MaybeQuantity
    passes: bool
    misfit: float


@strict
class FallsBelow(TypedDict):
    """When the level falls below the floor."""

    began_below: bool
    about: MaybeMoment
    earliest: MaybeMoment
    latest: MaybeMoment


@strict
class Settles(TypedDict):
    """The reading that would tell two curves apart: what one and the other would show at that moment."""

    question: str
    at: Moment
    one: float
    other: float


@strict
class Published(TypedDict):
    """How long the medicine is said to last."""

    gone_after: Range | None
    gone_after_repeat: Range | None
    source: Source | None
    says: str | None


@strict
class Level(TypedDict):
    """The level now, and what it rests on."""

    now: MaybeQuantity
    basis: str
    readings: list[Read]
    curves: Curves | None
    floor: float | None
    falls_below: FallsBelow | None
    settles: Settles | None
    published: Published | None


@strict
class Found(TypedDict):
    """The volume that a rise speaks for against the one that was stated."""

    added: MaybeQuantity
    active: MaybeQuantity
    at: Moment
    before: Read
    after: list[Read]
    reckoned: MaybeQuantity
    found: MaybeQuantity
    stated: MaybeQuantity
    gap: float
    agrees: bool
    cause: str
    settled_at: MaybeMoment


@strict
class Claimed(TypedDict):
    """A label's sentence against the strength of the bottle."""

    text: str
    product: str
    dose: MaybeQuantity
    volume: Quantity
    claimed: MaybeQuantity
    gives: MaybeQuantity
    ratio: float | None
    holds: bool | None
    counted: str | None
    slip: str | None
    followed: MaybeQuantity
