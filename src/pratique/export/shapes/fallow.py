"""`pratique fallow --json`."""

from __future__ import annotations

from typing import Any, Literal

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, MaybeQuantity, Moment, Quantity, Source, strict


@strict
class InPrint(TypedDict):
    """A figure in print, and the days it ends on: `used`, `warm` (only if warm all the while), `shorter`, `longer`."""

    days: Quantity
    first: Moment
    last: Moment
    part: Literal["used", "warm", "shorter", "longer"]
    note: str | None
    source: Source


@strict
class Agent(TypedDict):
    """One agent; without `end` it has no date, and `why_no_date` says why."""

    pathogen: str
    days: MaybeQuantity
    end: MaybeMoment
    over: bool
    warm_end: MaybeMoment
    in_print: list[InPrint]
    why_no_date: str | None
    source: Source | None


@strict
class Broken(TypedDict):
    """What began the days again, and the days lost by it."""

    at: Moment
    text: str
    lost: Quantity
    entry: str | None


@strict
class Living(TypedDict):
    """Animals without a backbone that are in the water."""

    animal: str
    count: int
    tank: str


@strict
class Entry(TypedDict):
    """A hold of corals, snails and rock: in `by` then, the end stays; now, and the end is `end_if_now`."""

    held: Quantity
    by: MaybeMoment
    end_if_now: MaybeMoment
    usable: bool
    warm: MaybeQuantity
    source: Source


@strict
class FishFound(TypedDict):
    """What a fish that is found and taken out now would cost."""

    lost: Quantity
    end: MaybeMoment


@strict
class Result(TypedDict):
    """The whole water; `basis` is `log`, `said` or `if`. `fish` still in it make every date a condition."""

    tank: str
    water: str
    tanks: list[str]
    basis: Literal["log", "said", "if"]
    began: Moment
    days: Quantity
    fish: list[str]
    end: MaybeMoment
    ends_with: str | None
    agents: list[Agent]
    breaks: list[Broken]
    animals: list[Living]
    may_come_in: list[Entry]
    fish_found: FishFound
    risk: Any
