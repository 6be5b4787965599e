"""How a clock stands, as plain data: one shape for all four kinds, with the sentences that explain it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from pratique.clocks.moments import hours_between, instant
from pratique.figure import digits

Kind = Literal["hold", "transfers", "watch", "fallow"]
Mark = Literal["start", "count", "stop", "restart", "unknown", "problem", "done", "note", "now"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One plain sentence of the explanation: `what` happened `at`, by which `evidence` (a reading, a source).

    A row marked `problem` is something to act on. `entry_id` is the log entry it rests on, where there is one.
    """

    at: dt.datetime | None
    what: str
    evidence: str = ""
    entry_id: str = ""
    mark: Mark = "note"


@dataclass(frozen=True, slots=True, kw_only=True)
class Break:
    """What broke the count. `cost_hours` is how much later the clock ends for it, up to now if it goes on."""

    at: dt.datetime
    why: str
    cost_hours: float
    entry_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A stretch in which the state could only be guessed, or (watch) nobody is on record to have looked."""

    start: dt.datetime
    end: dt.datetime
    why: str
    entry_id: str = ""

    @property
    def hours(self) -> float:
        """How long it lasted, in elapsed hours."""
        return hours_between(self.start, self.end)


@dataclass(frozen=True, slots=True, kw_only=True)
class Due:
    """What has still to be done for the clock to go on: the latest moment for it, and when to warn."""

    what: str
    by: dt.datetime
    alert: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """How the same history stands under another choice of the keeper's, or another published figure."""

    choice: str
    counted: float
    done_at: dt.datetime | None
    finished: dt.datetime | None
    restarts: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockState:
    """One clock at the moment `at`. All hours are elapsed hours; all moments are in the zone of `at`.

    `started` is the day one that counts now, None where it has not begun or was broken and has not begun again;
    `first_started` the first there ever was. `counted` and `needed` are hours; `needed` is None where no figure
    exists, and then there is no date either; `needed_low` and `needed_high` are the ends of the published range.
    `done_at` is the end if all goes well from `at` on (a hold not yet in band: if a reading in band came at once).
    `unbroken` are the hours counted since the last break or unknown stretch. `slack` are the hours until doing
    nothing costs something, below nought where that is past; None where the clock has no such limit.
    A hold and a transfer series stay `finished`; a watch and a fallow run on, and can still be restarted.
    """

    kind: Kind
    at: dt.datetime
    started: dt.datetime | None
    first_started: dt.datetime | None
    counted: float
    needed: float | None
    needed_low: float | None = None
    needed_high: float | None = None
    done_at: dt.datetime | None
    finished: dt.datetime | None
    unbroken: float = 0.0
    steps: int = 0
    steps_needed: int = 0
    breaks: tuple[Break, ...] = ()
    restarts: int = 0
    unknown: tuple[Span, ...] = ()
    slack: float | None = None
    due: tuple[Due, ...] = ()
    instead: tuple[Alternative, ...] = ()
    explain: tuple[Row, ...] = ()

    @property
    def is_finished(self) -> bool:
        """True where the count is full, and nothing has begun it again since."""
        return self.finished is not None

    @property
    def remaining(self) -> float | None:
        """Hours still to count, never below nought; None where no figure exists."""
        return None if self.needed is None else max(self.needed - self.counted, 0.0)

    @property
    def problems(self) -> tuple[Row, ...]:
        """The rows that are something to act on."""
        return tuple(row for row in self.explain if row.mark == "problem")

    def as_alternative(self, choice: str) -> Alternative:
        """This state as the consequence of `choice`."""
        return Alternative(
            choice=choice, counted=self.counted, done_at=self.done_at, finished=self.finished, restarts=self.restarts
        )


def spoken(hours: float) -> str:
    """A length of time in words: hours up to four days, else days.

    >>> spoken(73.5), spoken(24), spoken(336), spoken(1), spoken(0.25)
    ('73.5 h', '24 h', '14 days', '1 h', '15 min')
    """
    if 0 < hours < 1:
        return f"{hours * 60:.0f} min"
    if hours <= 96:
        return f"{round(hours, 1):g} h"
    return f"{round(hours / 24, 1):g} days"


def measured(value: float, low: float, high: float, unit: str) -> str:
    """A reading with its range, as evidence.

    >>> measured(2.1, 2.0, 2.2, "mg/L"), measured(2.1, 2.1, 2.1, "mg/L")
    ('2.10 mg/L (2.00 to 2.20)', '2.10 mg/L')
    """
    if low == high:
        return f"{digits(value)} {unit}"
    return f"{digits(value)} {unit} ({digits(low)} to {digits(high)})"


def in_order(rows: list[Row]) -> tuple[Row, ...]:
    """Rows by their moment, the undated first, `now` last; those of one moment as they were found."""
    early = dt.datetime.min.replace(tzinfo=dt.UTC)
    return tuple(sorted(rows, key=lambda row: (row.mark == "now", early if row.at is None else instant(row.at))))
