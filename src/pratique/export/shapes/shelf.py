"""`pratique shelf --json`."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypedDict

from pratique.export.shapes.common import Day, MaybeMoment, MaybeQuantity, Moment, Quantity, Source, strict


@strict
class Use(TypedDict):
    """One coming task and what it takes; without `amount` only a reading on the day can say."""

    at: Moment
    task: str
    tank: str
    amount: MaybeQuantity


@strict
class Cost(TypedDict):
    """Money as text, in the keeper's word for it."""

    money: str
    currency: str


@strict
class Line(TypedDict):
    """One supply against the plan. `short` is what is lacking of `need`, `left` what it leaves."""

    kind: Literal["product", "salt", "test"]
    name: str
    what: str | None
    missing: bool
    have: MaybeQuantity
    need: Quantity
    short: MaybeQuantity
    left: MaybeQuantity
    by_reading: int
    expires: Day | None
    needed_after_expiry: Quantity
    first_use: MaybeMoment
    runs_out: MaybeMoment
    buy_by: Day | None
    packs: int | None
    cost: Cost | None
    uses: list[Use]


@strict
class Wanted(TypedDict):
    """One thing that a first response would need tonight; `serves` is the entry of the room file that is there."""

    kind: str
    what: str
    why: str
    treatment: str | None
    enough: bool
    need: MaybeQuantity
    have: MaybeQuantity
    short: MaybeQuantity
    serves: str | None
    waters: list[str]
    pathogens: list[str]
    buy: str | None


@strict
class Mixed(TypedDict):
    """Mixed water; `in_use` says what else its container is wanted for."""

    container: str | None
    volume: Quantity
    salinity: MaybeQuantity
    age: MaybeQuantity
    in_use: str | None
    changed_since: Quantity


@strict
class KitLine(TypedDict):
    """One thing of the emergency kit; `there` is null where a room file does not list such things."""

    id: str
    what: str
    why: str
    amount: MaybeQuantity
    there: bool | None
    serves: str | None
    source: Source


@strict
class Result(TypedDict):
    """The shelf; `can_answer_tonight` is null where no water has fish."""

    until: MaybeMoment
    delivery: MaybeQuantity
    plan: list[Line]
    tonight: list[Wanted]
    can_answer_tonight: bool | None
    mixed_water: list[Mixed]
    syringes: list[str]
    kit: list[KitLine]
    cost: dict[str, str]
