"""The run sheet as plain data: what is done now, tonight and tomorrow, what is missing, and what was looked at."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from pratique.dosing.dip import Dip
from pratique.dosing.dose import Dose
from pratique.figure import Figure
from pratique.knowledge.model import Statement
from pratique.problem import Problem
from pratique.response.need import NeedKind, Needs
from pratique.response.suspicion import Suspicion

Phase = Literal["now", "hours", "tonight", "tomorrow", "later"]
Role = Literal["dip", "bath", "held", "course"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """One thing to do. `at` is None where only the order matters; `command` works the number out again.

    `source` is who says so, empty where it follows from the room file alone. `who` is the stand-in, else empty.
    """

    phase: Phase
    act: str
    text: str
    at: dt.datetime | None = None
    tank: str = ""
    amount: Figure | None = None
    source: str = ""
    command: str = ""
    who: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """Something that is not there: the next best that is, what that does not do, and what to buy in the morning."""

    kind: NeedKind | Literal["person"]
    what: str
    instead: str
    lacks: str
    buy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Going:
    """One line of animals: where it goes and why. `to` is a tank, `tub`, `stays`, or `apart`."""

    animal: str
    count: int
    to: str
    why: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A treatment that was looked at for a role: worked out, or refused with its reason.

    `covers` are the suspected agents it is used against; `answer` is None where `refused` or `note` say why; the
    `note` of one that was worked out and not chosen says why it is held back. `suits` is false for a course that does
    nothing to another of the suspected agents.
    """

    treatment: str
    title: str
    role: Role
    covers: tuple[str, ...]
    does: str
    leaves: str
    source: str
    answer: Dose | Dip | None = None
    refused: Problem | None = None
    note: str = ""
    command: str = ""
    chosen: bool = False
    suits: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way to bring a held level up: its additions as `dose` works them out, and what speaks for and against it."""

    title: str
    dose: Dose
    hours: float | None
    speaks_for: str
    against: str
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RunSheet:
    """The whole answer. `now` are the three steps of the first minutes; `acts` everything after them, in order."""

    suspicion: Suspicion
    water: str
    tanks: tuple[str, ...]
    place: str
    now: tuple[Act, Act, Act]
    gaps: tuple[Gap, ...]
    goings: tuple[Going, ...]
    acts: tuple[Act, ...]
    options: tuple[Option, ...]
    ways: tuple[Way, ...]
    uncovered: tuple[str, ...]
    shopping: tuple[str, ...]
    log_lines: tuple[str, ...]
    needs: Needs
    cautions: tuple[Statement, ...]
    problems: tuple[Problem, ...]

    def of(self, phase: Phase) -> tuple[Act, ...]:
        """The acts of one phase, in order."""
        return tuple(act for act in (*self.now, *self.acts) if act.phase == phase)
