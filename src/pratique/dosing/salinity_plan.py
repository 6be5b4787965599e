"""A change of salinity as it is asked for, and the dated table that answers it."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from typing import Literal

from pratique.dosing.facts import HYPOSALINE_BELOW, Planned
from pratique.dosing.overrides import Overridden
from pratique.figure import Figure, Step
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Animal
from pratique.water.changes import LimitedBy
from pratique.water.state import State

Leg = Literal["down", "hold", "up"]
Origin = Literal["fresh", "asked", "on file", "to mix"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PutIn:
    """The water to change with: g/kg, the L of it there are for each day, and where it comes from."""

    salinity: float
    per_day: float = math.inf
    origin: Origin = "asked"


@dataclass(frozen=True, slots=True, kw_only=True)
class SalinityRequest:
    """What was asked: `goal` in g/kg, of a water whose salinity is known. `course` is the treatment: held, then raised.

    `animals` are those in the water; `because` holds the reasons for which interlocks are set aside. `planned` is
    what the plan has dosed into it by now.
    """

    state: State
    treatment: Treatment
    goal: float
    at: dt.datetime
    animals: tuple[Animal, ...]
    put_in: PutIn | None = None
    course: bool = False
    because: tuple[str, ...] = ()
    planned: tuple[Planned, ...] = ()

    @property
    def start(self) -> float:
        assert self.state.salinity is not None
        return self.state.salinity

    @property
    def is_low(self) -> bool:
        """True where it comes to low salinity, as a treatment or with animals in it."""
        return self.course or (bool(self.animals) and self.goal < min(HYPOSALINE_BELOW, self.start))


@dataclass(frozen=True, slots=True, kw_only=True)
class SalinityStep:
    """One dated change: litres out (filled up again), and g/kg after it. A hold has no litres, and lasts `until`."""

    at: dt.datetime
    leg: Leg
    litres: Figure
    after: float
    gravity: float
    watch_ph: bool
    limited_by: LimitedBy = ""
    until: dt.datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SalinityPlan:
    """The table and what goes with it: from `request.start` to `low`, and to `end` (g/kg).

    `down` and `up` are the waters to change with, None where a leg is missing. `per_day` is g/kg a day on the way
    up, `raising_days` what the whole way back takes at that.
    """

    request: SalinityRequest
    water: Figure
    low: float
    end: float
    steps: tuple[SalinityStep, ...]
    down: PutIn | None
    up: PutIn | None
    per_day: float
    raising_days: float
    sources: tuple[Sourced, ...]
    cautions: tuple[Statement, ...]
    problems: tuple[Problem, ...]
    working: tuple[Step, ...] = ()
    notes: tuple[str, ...] = ()
    overridden: tuple[Overridden, ...] = ()

    def of_leg(self, leg: Leg) -> tuple[SalinityStep, ...]:
        return tuple(step for step in self.steps if step.leg == leg)

    def litres(self, leg: Leg) -> Figure:
        """All the water of one leg, with the ends of the volume."""
        total = Figure.exact(0.0, "L")
        for step in self.of_leg(leg):
            total = total.plus(step.litres)
        return total
