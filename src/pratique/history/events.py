"""What happened, as plain data: one small class for each sort of event. Moments are in the zone of the room."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

How = Literal["arrived", "moved", "found", "died"]

Span = tuple[dt.datetime, dt.datetime | None]
"""From a moment up to another, or on without end."""

LONG_AGO = dt.datetime(1990, 1, 1, tzinfo=dt.UTC)
"""Before any entry there can be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """So many animals of one name that came into a tank or left it; `batch` is empty for residents.

    `from_` is empty where they came from outside, `to` where they died.
    """

    at: dt.datetime
    how: How
    animal: str
    batch: str
    count: int
    from_: str
    to: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """So many animals of one name in one tank. `start` is None where they were there before the log began."""

    animal: str
    batch: str
    tank: str
    count: int
    start: dt.datetime | None
    end: dt.datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """The greater part of a batch in one tank; `end` is None while it is there."""

    tank: str
    start: dt.datetime
    end: dt.datetime | None = None
    entry_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a test showed, in the unit of the log; `low` and `high` only where an error was written with it."""

    at: dt.datetime
    tank: str
    what: str
    value: float
    unit: str
    low: float | None
    high: float | None
    text: str
    kit: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Addition:
    """A product (mL, g or tablets) put into a tank, or into new water meant for it."""

    at: dt.datetime
    tank: str
    treatment: str
    product: str
    amount: float
    unit: str
    into: Literal["tank", "new-water"]
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Exchange:
    """A water change: `litres`, or a `share` (0 to 1) of the whole water; `product` went into the new water."""

    at: dt.datetime
    tank: str
    litres: float | None
    share: float | None
    product: str
    amount: float
    unit: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """Signs of disease, on `animal` where it could be told."""

    at: dt.datetime
    tank: str
    animal: str
    batch: str
    signs: tuple[str, ...]
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What somebody saw: `heads` alive, `breaths` a minute, whether they eat (None: not said), and free words.

    `how`: by eye, under a microscope, or in a dead one. `batch` is empty where the whole tank was meant.
    """

    at: dt.datetime
    tank: str
    batch: str
    animal: str
    heads: int | None
    eating: bool | None
    breaths: int | None
    signs: tuple[str, ...]
    how: Literal["eye", "microscope", "necropsy"]
    findings: str
    by: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Feeding:
    """Food given, with a medicine in it where `treatment` is named."""

    at: dt.datetime
    tank: str
    treatment: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GearUse:
    """A set of gear that was wet in a tank."""

    at: dt.datetime
    gear: str
    tank: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Readied:
    """A tank or a set of gear that was cleaned, or is visibly dry. One of `tank` and `gear` is empty."""

    at: dt.datetime
    what: Literal["cleaned", "dried"]
    tank: str
    gear: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """Rock, sand, filter media or water that went from one tank to another; `from_` is empty where it is not told."""

    at: dt.datetime
    things: tuple[str, ...]
    from_: str
    to: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskMark:
    """The last word on a task of the plan."""

    at: dt.datetime
    what: Literal["done", "skipped"]
    why: str
    entry_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle:
    """A product of the shelf: what was used, bought and spoiled since the room file said what is left.

    Amounts in `unit` (mL, g or tablet); `left` is None where the room file does not say what there was.
    """

    unit: str
    left: float | None
    used: float = 0.0
    bought: float = 0.0
    spoiled: float = 0.0
    opened: dt.datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterRecord:
    """All that is on record of one water, each sort in order of time."""

    readings: tuple[Reading, ...] = ()
    additions: tuple[Addition, ...] = ()
    exchanges: tuple[Exchange, ...] = ()
    passages: tuple[Passage, ...] = ()
    stays: tuple[Stay, ...] = ()
    signs: tuple[Seen, ...] = ()
    looks: tuple[Looked, ...] = ()
    feedings: tuple[Feeding, ...] = ()
    gear: tuple[GearUse, ...] = ()
    readied: tuple[Readied, ...] = ()
    carried: tuple[Carried, ...] = ()


NOTHING = WaterRecord()
