"""`pratique dose --json`."""

from __future__ import annotations

from typing import TypeAlias

from typing_extensions import TypedDict

from pratique.export.shapes.cleaning import Cleaning
from pratique.export.shapes.common import (
    MaybeMoment,
    MaybeQuantity,
    Moment,
    Overridden,
    Quantity,
    Range,
    Source,
    Step,
    strict,
)
from pratique.export.shapes.evidence import Claimed, Found, Level
from pratique.export.shapes.water import Salinity


@strict
class Addition(TypedDict):
    """One part of a dose, and the level it leaves; `waits_for` is what must be seen before it."""

    at: Moment
    add: MaybeQuantity
    after: MaybeQuantity
    waits_for: str


@strict
class Gain(TypedDict):
    """What to measure better first, and how much narrower the level would be known."""

    what: str
    width: MaybeQuantity
    known: str
    advice: str


@strict
class Change(TypedDict):
    """A water change: to bring a level down, or one whose new water is dosed."""

    purpose: str
    volume: Quantity
    count: int
    add: MaybeQuantity
    after: Quantity


@strict
class Stock(TypedDict):
    """A stock solution to dose from; `holds` is mg of the active in a mL, of formalin uL of the 37 % product."""

    recipe: str
    parts: float
    holds: float


@strict
class Dose(TypedDict):
    """A dose for one water. `inside` is the share of the level's spread that lies in the band, null where none is."""

    tank: str
    treatment: str
    form: str | None
    product: str
    water: Quantity
    before: MaybeQuantity
    target: Quantity
    band: Range
    active: MaybeQuantity
    add: MaybeQuantity
    after: MaybeQuantity
    inside: float | None
    better_first: list[Gain]
    steps: list[Addition]
    change: Change | None
    stock: Stock | None
    overridden: list[Overridden]
    minutes: MaybeQuantity
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class DoseAndLevel(Dose):
    """A dose, and what the readings before it prove."""

    level: Level


@strict
class LevelAlone(TypedDict):
    """What readings prove where no dose follows."""

    tank: str
    treatment: str
    form: str | None
    level: Level


@strict
class DoseAndClaim(Dose):
    """A dose, and what a label's claim is worth."""

    claim: Claimed


@strict
class ClaimAlone(TypedDict):
    """What a claim is worth where no dose follows."""

    tank: str
    treatment: str
    form: str | None
    claim: Claimed


@strict
class Volume(TypedDict):
    """The volume that the rise after an addition speaks for."""

    tank: str
    treatment: str
    product: str
    volume: Found


Prescription = TypedDict(
    "Prescription",
    {
        "name": str,
        "by": str,
        "for": list[str],
        "drug": str,
        "way": str,
        "dose": Quantity,
        "every": MaybeQuantity,
        "days": MaybeQuantity,
        "note": str | None,
    },
)
Prescription.__doc__ = "What a veterinarian wrote."
strict(Prescription)


@strict
class Redose(TypedDict):
    """A later dose of a prescribed bath."""

    at: Moment
    change: Quantity
    add: MaybeQuantity
    after: MaybeQuantity


@strict
class BathCourse(Dose):
    """A prescribed bath: the first dose, and those that follow."""

    prescription: Prescription
    redoses: list[Redose]
    end: Moment
    add_in_all: MaybeQuantity


@strict
class FoodStep(TypedDict):
    """One day of a course in food."""

    at: MaybeMoment
    add: MaybeQuantity
    after: None


@strict
class FoodMix(TypedDict):
    """How much of the product goes into how much food."""

    product: MaybeQuantity
    food: MaybeQuantity


@strict
class FoodCourse(TypedDict):
    """A prescribed course in food: `active`, `add` and `food` are for one day, `per_food` in mg for each kg of food."""

    tank: str
    treatment: str
    form: None
    product: str
    water: None
    before: None
    target: MaybeQuantity
    band: None
    active: MaybeQuantity
    add: MaybeQuantity
    after: None
    steps: list[FoodStep]
    change: None
    prescription: Prescription
    mass: MaybeQuantity
    food: MaybeQuantity
    per_food: MaybeQuantity
    add_in_all: MaybeQuantity
    food_in_all: MaybeQuantity
    mix: FoodMix
    overridden: list[Overridden]
    notes: list[str]
    working: list[Step]
    sources: list[Source]


Result: TypeAlias = (
    Dose
    | DoseAndLevel
    | LevelAlone
    | DoseAndClaim
    | ClaimAlone
    | Volume
    | Salinity
    | Cleaning
    | BathCourse
    | FoodCourse
)
