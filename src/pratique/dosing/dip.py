"""What is asked of a dip or bath of minutes, and the sheet that answers it: plain data."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from pratique.dosing.overrides import Overridden
from pratique.figure import Figure, Step
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.room.resolve import Animal, Room, Water

Phase = Literal["before", "in", "out", "after"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DipRequest:
    """What was asked. `animals` are the ones to be dipped, `label` what to call them.

    `volume` is how far the vessel is filled; without it the room file's `vessels` decide. `source_water` is
    the water the animals live in. `oxygen` (mg/L) and `temperature` (degC) are those measured in the vessel;
    `minutes` overrides the usual time, `because` holds the reasons for which interlocks are set aside.
    """

    room: Room
    treatment: Treatment
    animals: tuple[Animal, ...]
    label: str
    at: dt.datetime
    volume: Measure | None = None
    vessel: str | None = None
    source_water: Water | None = None
    product: str | None = None
    oxygen: float | None = None
    temperature: float | None = None
    minutes: float | None = None
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class DipStep:
    """One act, in order. `minute` counts from the moment the fish goes in; None where only the order matters."""

    phase: Phase
    text: str
    minute: float | None = None
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DipDose:
    """What goes into the vessel: product and its amount, the level aimed for, the level it gives (with its ends)."""

    product: str
    target: Figure
    active: Figure
    add: Figure
    after: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """What the vessel's water has to match. A temperature the room file does not give is None and is measured."""

    temperature: Figure | None
    tolerance: Sourced
    ph: Figure
    salinity: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Dip:
    """The sheet of one dip. `minutes` has the shortest and longest time in use as its ends; `ceiling` is the limit.

    `dose` is None only for fresh water. `steps` are in the order of work; `at_stop` is what to do at a stop
    sign; `look_every` and `aerate_before` are in minutes.
    """

    label: str
    animals: tuple[Animal, ...]
    treatment: Treatment
    at: dt.datetime
    vessel: str
    water: Figure
    match: Match
    dose: DipDose | None
    minutes: Figure
    ceiling: float
    aerate_before: float
    look_every: float
    steps: tuple[DipStep, ...]
    watch: tuple[str, ...]
    stop: tuple[Statement, ...]
    at_stop: tuple[DipStep, ...]
    working: tuple[Step, ...]
    sources: tuple[Sourced, ...]
    cautions: tuple[Statement, ...]
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    overridden: tuple[Overridden, ...] = ()

    @property
    def afterwards(self) -> tuple[DipStep, ...]:
        """The steps once the fish is out of the vessel."""
        return tuple(step for step in self.steps if step.phase == "after")


DipAnswer = Dip | Refusal
