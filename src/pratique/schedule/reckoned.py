"""The level that the doses on record make, for as long as nobody has read it: the last reading, doses, changes.

Nothing is taken to vanish by itself, so it is the most that can be there. A reading by a suited kit ends it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.dosing.aim import MEASURING_ROOM, Aim, find_aim
from pratique.dosing.product import active_of
from pratique.dosing.work import MOST_AT_ONCE
from pratique.figure import Figure, digits
from pratique.history.events import Addition, Exchange, Span
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.quantity import Measure
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import SOON, active_in, cut, gives, litres_of, within
from pratique.schedule.known_level import known_level
from pratique.schedule.put_in import put_in
from pratique.schedule.recorded import marked_additions
from pratique.schedule.track import NEAR
from pratique.water.dilution import changes_to_reach
from pratique.water.volume import net_volume

TIMES_THE_LEVEL = 2.0
"""How many times the level in use is called too high where no ceiling is on file (as `dosing.aim`, D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """`level` in the treatment's unit. `since` is the reading it starts from, `last` the last dose after it, if any.

    `is_whole`: no dose is only ticked on a sheet, with no word of how much it was.
    """

    level: Figure
    last: Addition | None
    since: dt.datetime | None
    is_whole: bool = True

    @property
    def measure(self) -> Measure:
        """The level as a reading has it."""
        level = self.level
        return Measure(level.value, level.unit, level.low, level.high, f"{digits(level.value)} {level.unit}")


@dataclass(frozen=True, slots=True, kw_only=True)
class TooHigh:
    """A reckoned level above `limit` (its ceiling; where there is none, a multiple of the level in use).

    `last` is the dose it rests on. `count` changes of `litres` each, with water that holds none, bring it to the level
    in use.
    """

    reckoned: Reckoned
    last: Addition
    aim: Aim
    limit: float
    count: int
    litres: Figure

    @property
    def active(self) -> str:
        """What there is too much of."""
        return self.aim.treatment.active or self.aim.treatment.title

    @property
    def allowed(self) -> str:
        """What it lies above, in words."""
        if self.aim.ceiling is not None:
            return f"the ceiling of {self.aim.says(self.limit)}"
        return f"twice the {self.aim.says(self.aim.level)} in use"

    @property
    def to_do(self) -> str:
        """The change it calls for, in words."""
        level = self.aim.says(self.reckoned.level.value)
        return f"{self.active} too high by reckoning, {level}: {lowering(self.count)}"

    @property
    def to_read(self) -> str:
        """The reading it calls for, in words."""
        level = self.aim.says(self.reckoned.level.value)
        return (
            f"{self.active}: read now and after each change; by reckoning it is {level}; nothing more is given before"
        )


def lowering(count: int) -> str:
    """The changes that take a medicine down, in words."""
    again = f", {count} times" if count > 1 else ""
    return f"change water that holds none{again}, read after each; add no other drug"


def reckoned_level(history: History, treatment: Treatment, water: str, at: dt.datetime) -> Reckoned | None:
    """The level at `at`, or None where nothing moved it since the last suited reading, or nothing can be reckoned.

    Its ends have the errors of the water's volume and of the bottle at their worst. Source: arithmetic.
    """
    room, record = history.room, history.of_water(water)
    litres = net_volume(room.waters[water]).figure
    if litres.low <= 0:
        return None
    up_to = plus_hours(at, SOON)
    level, begin, since = _start(history, treatment, water, at)
    span = (begin, up_to)
    given = [entry for entry in put_in(record) if within(entry.at, span) and gives(room, treatment, entry)]
    given = [e for e in given if e.product in room.written.shelf and not _has_vanished(treatment, e, at)]
    exchanges = cut(record.exchanges, span)
    if not given and (not exchanges or level.value <= 0):
        return None
    events: list[Addition | Exchange] = [entry for entry in cut(record.additions, span) if entry in given]
    events += exchanges
    for event in sorted(events, key=lambda event: instant(event.at)):
        level = _after(history, treatment, water, level, event)
    last = max(given, key=lambda entry: instant(entry.at), default=None)
    is_whole = not _only_ticked(history, treatment, water, span, given)
    return Reckoned(level=level, last=last, since=since, is_whole=is_whole)


def _only_ticked(history: History, treatment: Treatment, water: str, span: Span, given: list[Addition]) -> bool:
    """True where a dose was marked done, and none that was written down can be it."""
    marks = [mark for mark, of in marked_additions(history.room, history, water) if of.id == treatment.id]
    return any(
        within(mark.at, span) and not any(abs(instant(mark.at) - instant(dose.at)) <= NEAR for dose in given)
        for mark in marks
    )


def too_high(history: History, treatment: Treatment, water: str, at: dt.datetime) -> TooHigh | None:
    """The reckoned level where it lies above what the treatment allows by more than water is measured to, else None."""
    found = reckoned_level(history, treatment, water, at)
    if found is None or found.last is None:
        return None
    warm = history.room.waters[water].conditions.temperature
    aim = find_aim(treatment, None, warm.value if warm is not None else None)
    if aim is None:
        return None
    limit = aim.most if aim.most is not None else aim.level * TIMES_THE_LEVEL
    if found.level.value <= limit * MEASURING_ROOM:
        return None
    count, share = changes_to_reach(found.level.value, aim.level, MOST_AT_ONCE)
    litres = net_volume(history.room.waters[water]).figure.times(share)
    return TooHigh(reckoned=found, last=found.last, aim=aim, limit=limit, count=count, litres=litres)


def _start(
    history: History, treatment: Treatment, water: str, at: dt.datetime
) -> tuple[Figure, dt.datetime, dt.datetime | None]:
    """The level reckoned from, from when on, and when it was read: the last suited reading; else what the file holds.

    A water that was cleaned or dried begins with none.
    """
    known = known_level(history, treatment, water, at)
    if known.reading is not None:
        reading = known.reading
        figure = Figure(value=reading.value, unit=treatment.unit, low=reading.low, high=reading.high)
        return figure, reading.at, reading.at
    cleaned = [entry.at for entry in history.of_water(water).readied if instant(entry.at) <= instant(at)]
    if cleaned:
        return Figure.exact(0.0, treatment.unit), max(cleaned, key=instant), None
    holds = history.room.waters[water].conditions.holds
    level = next((entry.level for entry in holds if entry.treatment == treatment.id), None)
    before = Figure.of(level) if level is not None else Figure.exact(0.0, treatment.unit)
    return before, history.since or at, None


def _has_vanished(treatment: Treatment, dose: Addition, at: dt.datetime) -> bool:
    lasts = treatment.number("persistence")
    return lasts is not None and instant(plus_hours(dose.at, lasts.high)) < instant(at)


def _after(
    history: History, treatment: Treatment, water: str, level: Figure, event: Addition | Exchange
) -> Figure:
    room = history.room
    litres = net_volume(room.waters[water]).figure
    if isinstance(event, Exchange):
        level = level.times(1 - min(litres_of(room, water, event) / litres.value, 1.0))
        amount, error = active_in(history, treatment, water, event), 0.0
    else:
        bottle = active_of(room, event.product)
        amount, error = event.amount * bottle.per_unit, bottle.share_error
    least, most = amount * (1 - error) / litres.high, amount * (1 + error) / litres.low
    return level.plus(Figure.around(amount / litres.value, level.unit, least, most))
