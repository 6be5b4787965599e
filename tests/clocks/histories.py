"""Short words for histories: moments by day and hour, readings, moves, and rules with round figures."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

from pratique.clocks.hold import Band, HoldRule, Reading
from pratique.clocks.moments import hours_between, hours_later, in_zone, instant
from pratique.clocks.rules import fallow_rule, hold_rule, transfer_rule, watch_rule
from pratique.clocks.state import ClockState
from pratique.clocks.warmth import Temperature
from pratique.knowledge import store

HOME = ZoneInfo("Europe/Lisbon")
ABROAD = ZoneInfo("America/New_York")
BEGIN = dt.datetime(2027, 3, 1, 9, tzinfo=HOME)

CHELATED = hold_rule(store.treatment("copper-chelated"))
TRANSFERS = transfer_rule(store.treatment("tank-transfer"), [25.0])
WATCH = watch_rule(store.treatment("observation"))
WHITE_SPOT = fallow_rule(store.pathogen("cryptocaryon"))
VELVET = fallow_rule(store.pathogen("amyloodinium"))

assert CHELATED is not None
assert TRANSFERS is not None


def after(hours: float, *, begin: dt.datetime = BEGIN) -> dt.datetime:
    """`hours` of elapsed time after the beginning, by the clocks at home."""
    return hours_later(begin, hours).astimezone(HOME)


def day(number: float) -> dt.datetime:
    """Whole days of 24 h after the beginning: day 0 is the beginning itself."""
    return after(24 * number)


def read(hours: float, value: float, error: float = 0.0, entry_id: str = "", **more: Any) -> Reading:
    return Reading(at=after(hours), value=value, low=value - error, high=value + error, entry_id=entry_id, **more)


def warm(hours: float, degrees: float, error: float = 0.0) -> Temperature:
    return Temperature(at=after(hours), value=degrees, low=degrees - error, high=degrees + error)


def daily(first: float, last: float, value: float) -> list[Reading]:
    """A reading each 24 h, from hour `first` to hour `last`, both of them too."""
    return [read(first + 24 * n, value) for n in range(int((last - first) // 24) + 1)]


def small_rule(**more: Any) -> HoldRule:
    """Floor 2.0, ceiling 2.5, a reading carries 36 h, 240 h needed."""
    band = Band(unit="mg/L", floor=2.0, ceiling=2.5, gap=36.0)
    return HoldRule(**{"band": band, "needed": 240.0, "below": "restart", **more})


def in_utc(state: ClockState) -> ClockState:
    """For comparing: Python compares two moments of one zone by their wall clocks."""
    return in_zone(state, dt.UTC)


def same(one: dt.datetime | None, other: dt.datetime | None) -> bool:
    if one is None or other is None:
        return one is other
    return abs((instant(one) - instant(other)).total_seconds()) < 1


def whats(state: ClockState) -> str:
    """All sentences of the explanation, one a line."""
    return "\n".join(row.what for row in state.explain)


NEARLY = 1e-5
"""Hours that two sums may differ by."""


def not_later(one: dt.datetime | None, other: dt.datetime | None) -> bool:
    """True where `one` is no later than `other`; no date at all is the latest."""
    if other is None:
        return True
    return one is not None and hours_between(one, other) >= -NEARLY


def sound(state: ClockState) -> None:
    """What every state of every clock keeps to."""
    assert state.counted >= 0
    if state.started is not None:
        assert state.counted <= hours_between(state.started, state.at) + NEARLY
        assert state.first_started is not None
        assert hours_between(state.first_started, state.started) >= 0
    if state.finished is not None:
        assert hours_between(state.finished, state.at) >= -NEARLY
    elif state.done_at is not None:
        assert hours_between(state.at, state.done_at) >= -NEARLY or state.kind == "transfers"
    assert all(found.cost_hours >= 0 for found in state.breaks)
    assert all(span.hours > 0 for span in state.unknown)
    assert all(found.tzinfo is state.at.tzinfo for row in state.explain if (found := row.at) is not None)


Said = tuple[str, float | None, str, str]


def said(state: ClockState) -> list[Said]:
    """Mark, hours after the beginning, sentence and log entry of every row."""
    return [(row.mark, None if row.at is None else hours(row.at), row.what, row.entry_id) for row in state.explain]


def hours(moment: dt.datetime) -> float:
    return round(hours_between(BEGIN, moment), 6)


def broken(state: ClockState) -> list[tuple[float, str, float, str]]:
    return [(hours(one.at), one.why, one.cost_hours, one.entry_id) for one in state.breaks]
