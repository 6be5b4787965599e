"""`pratique plan --json`."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, MaybeQuantity, Moment, strict


@strict
class Task(TypedDict):
    """One dated act. `until` ends its window, and is a limit where `deadline` is true; `refused` says why there is no
    amount. `state` is null where the log says nothing of it; `urgent` ones are asked for by the log."""

    id: str
    at: Moment
    until: Moment
    tank: str
    batch: str | None
    act: str
    text: str
    amount: MaybeQuantity
    sources: list[str]
    deadline: bool
    urgent: bool
    who: str | None
    refused: str | None
    state: Literal["done", "skipped", "due", "late", "missed", "off"] | None
    done_at: MaybeMoment


@strict
class Break(TypedDict):
    """What broke a clock, and the elapsed time that it cost."""

    at: MaybeMoment
    why: str
    cost: MaybeQuantity
    entry: str | None


@strict
class Unknown(TypedDict):
    """A time of which nothing is on record."""

    start: Moment
    end: Moment
    why: str


@strict
class Due(TypedDict):
    """What must be done by when so that a clock goes on."""

    what: str
    by: Moment
    alert: Moment


@strict
class Instead(TypedDict):
    """How the clock would stand by another rule."""

    choice: str
    counted: MaybeQuantity
    done_at: MaybeMoment
    finished: MaybeMoment
    restarts: int


@strict
class Explained(TypedDict):
    """One line of the account of a clock."""

    at: MaybeMoment
    mark: str
    what: str
    evidence: str | None
    entry: str | None


@strict
class Clock(TypedDict):
    """How a clock stands by the log: what has counted of what is needed, and since when."""

    kind: str
    at: Moment
    started: MaybeMoment
    first_started: MaybeMoment
    counted: MaybeQuantity
    needed: MaybeQuantity
    done_at: MaybeMoment
    finished: MaybeMoment
    slack: MaybeQuantity
    steps: int | None
    steps_needed: int | None
    restarts: int
    breaks: list[Break]
    unknown: list[Unknown]
    due: list[Due]
    instead: list[Instead]
    explain: list[Explained]


@strict
class Stage(TypedDict):
    """One stretch of a regimen. `clock` says in words what is counted, `state` is the clock by the log.

    `over`: it is left behind.
    """

    name: str
    tank: str
    tanks: list[str]
    treatment: str
    start: Moment
    end: Moment
    clock: str
    sources: list[str]
    state: Clock | None
    over: bool


@strict
class Release(TypedDict):
    """When it may go at the earliest, into which tank, and what must be true by then."""

    earliest: Moment
    into: str | None
    conditions: list[str]


@strict
class Batch(TypedDict):
    """The plan of one batch; `release` is null where it could not be planned to its end."""

    batch: str
    regimen: str
    chosen_by: str
    begun: bool
    over: str | None
    why: list[str]
    misses: list[str]
    stages: list[Stage]
    tasks: list[Task]
    release: Release | None


@strict
class Change(TypedDict):
    """What changed for a batch since yesterday (or with `--if`), and the log entries that did it."""

    batch: str
    text: str
    reasons: list[str]
    before: MaybeMoment
    after: MaybeMoment
    entries: list[str]


@strict
class Result(TypedDict):
    """Every batch, in order of arrival, and beside them what the log asks for by the water."""

    batches: list[Batch]
    urgent: list[Task]
    changes: list[Change]
