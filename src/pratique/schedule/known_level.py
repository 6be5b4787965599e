"""The level of a medicine in a water by the record: the last reading that can be believed, if it still holds."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from pratique.clocks.hold import Reading as LevelReading
from pratique.clocks.moments import hours_between
from pratique.history.events import LONG_AGO, Addition, Exchange, Reading
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.quantity import Measure
from pratique.schedule.calendar import plus_hours
from pratique.schedule.feeds import SOON, cut, gives, hold_reading, water_changes

Standing = Literal["known", "old", "changed", "unread", "none"]


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownLevel:
    """`known`: `reading` holds now. Else why it does not: too `old`; `changed` since; given and `unread`.

    `none`: there is no word of this medicine in the water. `what` is the act that changed the level.
    """

    standing: Standing
    reading: LevelReading | None = None
    written: Reading | None = None
    what: str = ""

    @property
    def measure(self) -> Measure | None:
        """The reading with its ends, where it holds now."""
        if self.standing != "known":
            return None
        assert self.reading is not None
        assert self.written is not None
        found = self.reading
        return Measure(found.value, self.written.unit, found.low, found.high, self.written.text)


def known_level(history: History, treatment: Treatment, water: str, at: dt.datetime) -> KnownLevel:
    """The level at `at` of a treatment in a water, as far as a suited reading within its gap limit shows it.

    The gap limit is that of the clock `hold`; a treatment without one has no reading that carries.
    """
    gap = store.clocks()["hold"].limit(treatment.id, "gap")
    record = history.of_water(water)
    up_to = plus_hours(at, SOON)
    put: list[Addition | Exchange] = [*record.additions, *record.exchanges]
    given = [entry for entry in put if gives(history.room, treatment, entry)]
    last = _last_suited(history, treatment, water, at) if gap is not None else None
    if last is None or gap is None:
        cleaned = max((entry.at.timestamp() for entry in record.readied), default=0.0)
        held = any(cleaned < entry.at.timestamp() <= up_to.timestamp() for entry in given)
        return KnownLevel(standing="unread" if held else "none")
    written, reading = last
    for change in water_changes(history, treatment, water, (written.at, up_to)):
        return KnownLevel(standing="changed", reading=reading, written=written, what=change.what)
    old = hours_between(written.at, at) > gap.value
    return KnownLevel(standing="old" if old else "known", reading=reading, written=written)


FRESH = 12.0
"""Hours for which a dose may be worked out from a reading: two tests a day are asked for at first (practice A2, C)."""


def is_stale(history: History, level: KnownLevel, water: str, at: dt.datetime) -> bool:
    """True where the last reading is too old to dose by, or water was changed or dosed since, rightly or not."""
    written, record = level.written, history.of_water(water)
    if written is None:
        return False
    since = (plus_hours(written.at, SOON), None)
    dosed = any(entry.into == "tank" for entry in cut(record.additions, since))
    return dosed or bool(cut(record.exchanges, since)) or hours_between(written.at, at) > FRESH


def _last_suited(
    history: History, treatment: Treatment, water: str, at: dt.datetime
) -> tuple[Reading, LevelReading] | None:
    record = history.of_water(water)
    cleaned = max((entry.at.timestamp() for entry in record.readied), default=0.0)
    for written in reversed(cut(record.readings, (LONG_AGO, plus_hours(at, SOON)))):
        if written.at.timestamp() < cleaned:
            return None
        if written.what == treatment.active:
            reading = hold_reading(history.room, written, treatment)
            if reading.suits:
                return written, reading
    return None
