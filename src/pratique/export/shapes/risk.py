"""`pratique risk --json`: of a plan, or of a water without fish. Every chance is a range from 0 to 1."""

from __future__ import annotations

from typing import NotRequired, TypeAlias

from typing_extensions import TypedDict

from pratique.export.shapes.common import Moment, Quantity, strict


@strict
class Strain(TypedDict):
    """The chance with one strain of the parasite."""

    strain: str
    title: str
    low: float
    middle: float
    high: float


Chance = TypedDict("Chance", {"low": float, "high": float, "is": str, "strains": list[Strain]})
Chance.__doc__ = "A range without a middle: strains are not averaged."
strict(Chance)


@strict
class Limit(TypedDict):
    """What the model does not know; the source is null where it is about this plan alone."""

    text: str
    source: str | None
    where: str | None
    confidence: str | None


@strict
class Price(TypedDict):
    """What the plan costs: moves, days in one water, days in all."""

    moves: int
    days_held: Quantity
    days: Quantity


@strict
class Point(TypedDict):
    """One point of a curve: by the `day`, or by the hours a move comes `late`."""

    day: NotRequired[Quantity]
    late: NotRequired[Quantity]
    low: float
    high: float
    tank: str | None


Weight = TypedDict(
    "Weight", {"what": str, "strain": str | None, "from": str, "chance": float, "to": str, "chance_then": float}
)
Weight.__doc__ = "How far the chance hangs on one figure, by the strain it moves most: at one end, and at the other."
strict(Weight)


@strict
class Tried(TypedDict):
    """Another plan, its chance and its price."""

    what: str
    low: float
    high: float
    moves: int
    days_held: Quantity
    days: Quantity


@strict
class Ends(TypedDict):
    """The lowest and the highest."""

    low: float
    high: float


@strict
class Unseen(TypedDict):
    """If so many rounds are seen, the chance that none is; which share is true is not known."""

    seen_share: float
    low: float
    high: float


@strict
class Watching(TypedDict):
    """How many rounds of a strain fit into the days of watching, and what of it goes unseen."""

    strain: str
    rounds: Ends
    unseen: list[Unseen]


@strict
class Simulated(TypedDict):
    """The chance by drawn histories, as a check; `error` is the standard error."""

    strain: str
    histories: int
    alive: int
    cut: int
    chance: float
    error: float


@strict
class OfPlan(TypedDict):
    """How likely it is that a parasite is still on them at release."""

    batch: str
    agent: str
    question: str
    chance: Chance
    limits: list[Limit]
    parasites: float | None
    price: Price
    curve: list[Point]
    late: list[Point]
    hangs_on: list[Weight]
    changes: list[Tried]
    cheapest: str | None
    watching: list[Watching]
    compared: list[Tried]
    simulated: list[Simulated]


@strict
class Warmth(TypedDict):
    """How warm it was from an hour on, degC."""

    after: Quantity
    low: float
    high: float


@strict
class Enough(TypedDict):
    """The day from which the chance is below 5 %, null where it never is."""

    strain: str
    day: Quantity | None


@strict
class OfFallow(TypedDict):
    """How likely it is that a water without fish can still infect one. `still` says what may live on in it."""

    tank: str
    water: str
    agent: str
    question: str
    days: Quantity
    since: Moment
    still: list[str]
    temperature_degC: list[Warmth]
    chance: Chance
    limits: list[Limit]
    curve: list[Point]
    below_5_percent: list[Enough]
    hangs_on: list[Weight]
    a_week_more: Chance
    two_degrees_warmer: Chance | None


Result: TypeAlias = OfPlan | OfFallow
