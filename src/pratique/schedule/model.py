"""What a plan consists of: stages in tanks, dated tasks, the release and the evidence it will need."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

from pratique.clocks.state import ClockState
from pratique.figure import Figure
from pratique.history.events import Seen
from pratique.knowledge.model import Regimen
from pratique.problem import Problem
from pratique.room.resolve import Batch
from pratique.schedule.calendar import instant

ORDER_OF_ACTS = (
    "signs",
    "trace",
    "prepare-water",
    "look",
    "test",
    "set-up",
    "arrive",
    "transfer",
    "move",
    "release",
    "change-water",
    "dose",
    "redose",
    "feed",
    "strip",
    "dry",
)
"""The order of work at one moment: read before dosing, fish out before the tank is stripped."""


State = Literal["", "done", "skipped", "due", "late", "missed", "off"]
"""How a task stands by the log; empty where it is still to come, or where nothing is on record. `missed` can no longer
be made good, `late` still has to be done; `off` stood on a sheet and is no longer for that day."""
OVER: tuple[State, ...] = ("done", "skipped", "missed", "off")
"""States in which nothing is left to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One dated act. `until` is the end of its window, a limit where `deadline` is set.

    Where a task is late, `until` has passed and `at` is when it can be done now; `done_at` is when it was done.
    `urgent`: what the log shows asks for it, and it comes before all else in its tank. `product`: the bottle that
    `amount` is of.
    """

    id: str
    at: dt.datetime
    until: dt.datetime
    tank: str
    batch: str
    act: str
    text: str
    amount: Figure | None = None
    product: str = ""
    refused: str = ""
    sources: tuple[str, ...] = ()
    reason: str = ""
    deadline: bool = False
    who: str = ""
    routine: bool = False
    urgent: bool = False
    state: State = ""
    done_at: dt.datetime | None = None


def work_order(task: Task) -> tuple[dt.datetime, int, bool, str, str]:
    """The key by which tasks can be done one after the other: the moment, then the order of acts."""
    act = ORDER_OF_ACTS.index(task.act) if task.act in ORDER_OF_ACTS else len(ORDER_OF_ACTS)
    return (instant(task.at), act, not task.routine, task.tank, task.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stretch of a regimen. `tanks` has one name, or all those a transfer series goes through, in order.

    `state` is its clock by the log, None where it has not begun or nothing is on record. `over`: it has ended by the
    log, whole or not.
    """

    name: str
    kind: str
    treatment: str
    tanks: tuple[str, ...]
    start: dt.datetime
    end: dt.datetime
    clock: str
    reason: str
    sources: tuple[str, ...] = ()
    routines: tuple[Routine, ...] = ()
    state: ClockState | None = None
    over: bool = False

    @property
    def tank(self) -> str:
        """The first tank of a transfer series; of any other stage the only one, or the one the fish are in by now."""
        return self.tanks[0 if self.kind == "transfers" else -1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Routine:
    """An act repeated every `every` days from `start` up to `end`, in the day's morning or evening round.

    `not_on`: dates on which it is left out, for what was read or done.
    """

    act: str
    text: str
    tank: str
    start: dt.datetime
    end: dt.datetime
    every: int = 1
    evening: bool = False
    amount: Figure | None = None
    product: str = ""
    sources: tuple[str, ...] = ()
    reason: str = ""
    not_on: tuple[dt.date, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """When a batch may go at the earliest, into which tank, and what must be true by then."""

    earliest: dt.datetime
    into: str
    conditions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchPlan:
    """A batch's whole plan; without `release` it could not be planned (to its end), and `problems` say why.

    `begun`: it has arrived by the log, and `batch` has its real arrival and those still alive; `as_of` is the moment
    up to which the log was read. `over`: it has left quarantine, and how. `seen`: the signs on record of the last
    month in the waters it was in.
    """

    batch: Batch
    regimen: Regimen
    chosen_by: str
    why: tuple[str, ...]
    stages: tuple[Stage, ...]
    tasks: tuple[Task, ...]
    release: Release | None
    problems: tuple[Problem, ...] = ()
    misses: tuple[str, ...] = field(default=())
    begun: bool = False
    as_of: dt.datetime | None = None
    over: str = ""
    seen: tuple[Seen, ...] = ()

    @property
    def is_whole(self) -> bool:
        """True where every stage found its tank and its dates, or it has left quarantine."""
        return self.release is not None or bool(self.over)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Every batch of the room, in order of arrival, and all problems found on the way.

    `urgent`: what the log asks for by the water, beside the tasks of the batches: signs to answer, water to change.
    """

    batches: tuple[BatchPlan, ...]
    problems: tuple[Problem, ...]
    urgent: tuple[Task, ...] = ()
