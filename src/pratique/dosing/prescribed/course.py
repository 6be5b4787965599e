"""What a prescription comes to: plain data. Drug, dose and days are the prescriber's; the sums and dates are ours."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.dosing.dose import Dose, Request
from pratique.dosing.overrides import Overridden
from pratique.figure import Figure, Step
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.room.prescribed import Prescription
from pratique.room.resolve import Animal

PRESCRIBED = "PRESCRIBED"
"""The source key of a level that a prescription names; its `where` says whose it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PrescribedRequest:
    """What was asked. `asked.animals` are those in the whole water, `in_tank` those in this glass tank.

    `name` is the prescription's; without it the only one that fits is taken. `food` is in g a day.
    """

    asked: Request
    in_tank: tuple[Animal, ...]
    name: str | None = None
    food: Measure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """The prescription that fits: for whom it is here, and who else is in the water or the tank.

    `factor` is the mg of the active in a mg of what the prescription counts (base or salt).
    """

    name: str
    written: Prescription
    patients: tuple[Animal, ...]
    others: tuple[Animal, ...]
    factor: float

    @property
    def dose(self) -> float:
        """mg/kg or mg/L of the active."""
        return self.written.dose.value * self.factor

    @property
    def whose(self) -> str:
        return f"by {self.written.by}, prescription `{self.name}`"

    @property
    def names(self) -> str:
        """Those it is for, as they are called: each line once."""
        return ", ".join(dict.fromkeys(animal.label for animal in self.patients))


@dataclass(frozen=True, slots=True, kw_only=True)
class FoodBatch:
    """What is mixed at once: `product` (mL, g or tablets) into `food` (g). More than the course eats where less
    of the product could not be measured.
    """

    product: Figure
    food: float
    is_more: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FoodCourse:
    """A drug in food. `active` (mg), `add` (product) and `food` (g) are for one day, `per_food` in mg/kg of food.

    The ends are what the errors of mass, ration and bottle would make of it.
    """

    tank: str
    treatment: Treatment
    given: Given
    product: str
    mass: Figure
    dose: Figure
    active: Figure
    add: Figure
    food: Figure
    per_food: Figure
    days: tuple[dt.datetime, ...]
    add_in_all: Figure
    food_in_all: Figure
    batch: FoodBatch
    working: tuple[Step, ...]
    sources: tuple[Sourced, ...]
    cautions: tuple[Statement, ...]
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    overridden: tuple[Overridden, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Redose:
    """A later dose of a bath: the litres changed before it, the product, and the level it may leave.

    `after` is the prescribed level where all of the earlier doses is gone; its high end where none of it is.
    """

    at: dt.datetime
    change: float
    add: Figure
    after: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class BathCourse:
    """A drug in the water: the first `dose` by the common sum, then the others. `add_in_all` is the product for all."""

    given: Given
    dose: Dose
    redoses: tuple[Redose, ...]
    end: dt.datetime
    add_in_all: Figure
    cautions: tuple[Statement, ...]
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()


PrescribedAnswer = FoodCourse | BathCourse | Refusal
