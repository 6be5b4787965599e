"""How much of what, in which steps: target × net water ÷ strength, or the reasons why there is no number."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from pratique.dosing.facts import Planned
from pratique.dosing.overrides import Overridden
from pratique.dosing.stock import MadeStock, StockRecipe
from pratique.figure import Figure, Step
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.room.resolve import Animal, Room


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What was asked. Levels are in the treatment's own unit (mg/L of the active; µL/L for formalin).

    `animals` are those in the water; where none are given, the residents the room file puts there.
    `off` names equipment (`facts.EQUIPMENT`) that is switched off though the room file says otherwise.
    `oxygen` is in mg/L. `because` holds the reasons for which interlocks are set aside, `stock` how
    one is made to dose from. `planned` is what the plan has put into this water by now.
    `kit` made the reading: empty where that was looked at before, None where nobody said. `reckoned` is the level
    by the additions in the log, None where nothing was added since a reading that holds.
    """

    room: Room
    tank: str
    treatment: Treatment
    at: dt.datetime
    animals: tuple[Animal, ...] | None = None
    product: str | None = None
    reading: Measure | None = None
    target: Measure | None = None
    change_litres: Measure | None = None
    change_share: float | None = None
    off: frozenset[str] = frozenset()
    oxygen: float | None = None
    because: tuple[str, ...] = ()
    stock: StockRecipe | None = None
    planned: tuple[Planned, ...] = ()
    kit: str | None = ""
    reckoned: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """One dated addition: how much product, and the level it should bring. `waits_for` must come first.

    The ends of `after` hold without any reading in between; a reading only narrows them.
    """

    at: dt.datetime
    add: Figure
    after: Figure
    waits_for: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A water change of `volume` litres, `count` times over, and the level `after` it.

    `keep`: the change that was asked for, and what goes into its new water. `lower`: what brings a level
    down that is too high, with clean water.
    """

    purpose: str
    volume: float
    count: int = 1
    add: Figure | None = None
    after: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The ends between which the level is kept, in the treatment's unit."""

    low: float
    high: float
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dose:
    """An answer that holds: never zero-for-unknown.

    `add` is the product in all (steps and new water), in mL, g or tablets; its ends are what the errors of
    volume, bottle and reading would make of it. `active` is in mg. `after` is the level when all is done.
    `minutes` is how long a bath lasts, None for what is held for days. With a `stock`, `add` is mL of that.
    """

    tank: str
    treatment: Treatment
    product: str
    water: Figure
    before: Figure
    target: Figure
    band: Band
    active: Figure
    add: Figure
    after: Figure
    steps: tuple[Addition, ...]
    change: Change | None
    working: tuple[Step, ...]
    sources: tuple[Sourced, ...]
    cautions: tuple[Statement, ...]
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = field(default=())
    minutes: Figure | None = None
    overridden: tuple[Overridden, ...] = ()
    stock: MadeStock | None = None


Answer = Dose | Refusal
