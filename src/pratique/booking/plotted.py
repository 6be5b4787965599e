"""One way in as the schedule knows it: the stages with their dates, and which leg each is in."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.knowledge.model import Regimen, StagePlan, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Batch, Wish
from pratique.schedule.calendar import instant
from pratique.schedule.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A stage with its dates. `legs` are the numbers of its stays, in the order the fish go through them."""

    stage: StagePlan
    treatment: Treatment
    line: Timeline
    legs: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plotted:
    """A wish on one day by one regimen; the batch it would be."""

    batch: Batch
    regimen: Regimen
    steps: tuple[Step, ...]

    @property
    def end(self) -> dt.datetime:
        return self.steps[-1].line.end


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A wish as it is booked: the animals that come, which companions stay behind and why, and what stops it at all."""

    wish: Wish
    regimen: Regimen
    batch: Batch
    left_behind: str = ""
    stopped: Problem | None = None


def minute(moment: dt.datetime) -> int:
    """Minutes since 1970 in UTC."""
    return int(instant(moment).timestamp() // 60)
