"""Whether a batch may go, as plain data: each condition with its evidence, what is not proven, the last steps."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import instant, shown
from pratique.schedule.model import BatchPlan, Stage

Answer = Literal["yes", "not yet", "no"]

MOST_LISTED = 6
"""Things of one sort that are listed one by one on a page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """One thing that has to hold. `met` is None where the record does not show it.

    `against`: it speaks against the release, and time alone does not mend it. `missing` is what is still needed.
    """

    text: str
    met: bool | None
    evidence: tuple[str, ...] = ()
    against: bool = False
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """One figure of the two waters, None where nobody wrote it; `says` tells where each is from."""

    what: str
    unit: str
    here: float | None
    there: float | None
    says: str

    @property
    def difference(self) -> float | None:
        """By how much the display is higher."""
        return None if self.here is None or self.there is None else self.there - self.here


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """The answer for one batch as of `at`. `left` says that it has gone, and where; the answer is of the moment before.

    `reasons` is why the answer is not yes, `dips` what was given in a vessel. `last_steps` and `matches` are empty
    unless the answer is yes.
    """

    plan: BatchPlan
    at: dt.datetime
    answer: Answer
    earliest: dt.datetime | None
    into: str
    tank: str
    conditions: tuple[Condition, ...]
    reasons: tuple[str, ...]
    not_proven: tuple[str, ...]
    dips: tuple[str, ...] = ()
    last_steps: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()
    left: str = ""


@dataclass(frozen=True, kw_only=True)
class Subject:
    """One batch with its plan and its record, at the moment it is asked about."""

    room: Room
    history: History
    plan: BatchPlan

    @property
    def at(self) -> dt.datetime:
        return self.history.at.astimezone(self.room.zone)

    @property
    def name(self) -> str:
        return self.plan.batch.name

    @cached_property
    def basis(self) -> Basis:
        return Basis(self.room, self.history)

    @cached_property
    def current(self) -> int:
        """The stage it is in: the last that has begun; -1 where none has."""
        begun = [i for i, stage in enumerate(self.plan.stages) if instant(stage.start) <= instant(self.at)]
        return begun[-1] if self.plan.begun and begun else -1

    @property
    def stage(self) -> Stage:
        """The stage it is in, or the first of those to come."""
        return self.plan.stages[max(self.current, 0)]

    @property
    def is_last(self) -> bool:
        """True where the last stage has begun."""
        return self.current == len(self.plan.stages) - 1

    @property
    def has_fish(self) -> bool:
        return any(animal.group.is_fish for animal in self.plan.batch.animals)

    @property
    def tank(self) -> str:
        """Where the greater part of it is."""
        visits = self.history.visits.get(self.name, ())
        return visits[-1].tank if visits and self.stage.kind == "transfers" else self.stage.tank

    @property
    def counted_from(self) -> dt.datetime:
        """Day one of the count that runs now, else the begin of the stage."""
        state = self.stage.state
        started = state.started if state is not None and state.kind == "watch" else None
        return started or self.stage.start

    def waters(self, stage: Stage) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.room.tanks[name].water for name in stage.tanks))


def listed(texts: Iterable[str]) -> tuple[str, ...]:
    """The first few of one sort, and how many more there are."""
    known = tuple(texts)
    more = len(known) - MOST_LISTED
    return known if more <= 1 else (*known[:MOST_LISTED], f"and {more} more: `pratique plan --working` shows each")


def when(moment: dt.datetime | None) -> str:
    return shown(moment) if moment is not None else "—"
