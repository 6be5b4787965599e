"""What is asked of a disinfection, and the sheet that answers it: plain data. Nothing alive is in what is cleaned."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.dosing.overrides import Overridden
from pratique.figure import Figure, Step
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.room.resolve import Animal, Room, Water
from pratique.water.volume import NetVolume


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanRequest:
    """What was asked: a tank with its whole `water` and who is in it, or gear (`water` None) in a vessel.

    `what` is the tank or the gear set; `litres` is None where nothing is filled (drying). `reading` is a level of
    chlorine in mg/L.
    """

    room: Room
    what: str
    treatment: Treatment
    at: dt.datetime
    where: str = ""
    water: Water | None = None
    litres: NetVolume | None = None
    animals: tuple[Animal, ...] = ()
    product: str | None = None
    reading: Measure | None = None
    because: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanStep:
    """One act, in order, and who says so; `at` where the hour matters. `add` (mL, g or tablets) is what goes in."""

    text: str
    by: Sourced | Statement
    at: dt.datetime | None = None
    add: Figure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Agent:
    """What is known of one disease agent in chlorine (mg/L), and how many times that the level used is."""

    name: str
    what: str
    level: Sourced
    times: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleaning:
    """A sheet for a tank or for gear. `level` is chlorine in mg/L, `hours` how long it stays, `after` what it reaches.

    `ready` is when it may be used again at the earliest: dry since a day, and chlorine read as zero.
    """

    what: str
    where: str
    treatment: Treatment
    at: dt.datetime
    ready: dt.datetime
    steps: tuple[CleanStep, ...]
    product: str = ""
    water: Figure | None = None
    level: Figure | None = None
    hours: Sourced | None = None
    active: Figure | None = None
    add: Figure | None = None
    after: Figure | None = None
    agents: tuple[Agent, ...] = ()
    working: tuple[Step, ...] = ()
    sources: tuple[Sourced, ...] = ()
    cautions: tuple[Statement, ...] = ()
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    overridden: tuple[Overridden, ...] = ()


CleanAnswer = Cleaning | Refusal
