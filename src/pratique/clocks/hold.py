"""The clock of a held level: hours in band, counted on the worse end of each reading, not on its face.

A level that could only be guessed is unknown, never in band: after the hours a reading carries, after a water
change without its dose, and wherever only a kit was used that does not suit the form.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pratique.clocks.levels import Band, LevelChange, Reading, Stretch, is_beyond, stretches
from pratique.clocks.moments import SAME_HOURS, hours_between, hours_later, in_zone, instant
from pratique.clocks.state import Break, ClockState, Due, Mark, Row, Span, in_order, measured, spoken

Start = Literal["first", "second"]
Below = Literal["restart", "stop"]

__all__ = ["Band", "Below", "HoldRule", "LevelChange", "Reading", "Start", "hold_clock"]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldRule:
    """How one hold is counted. `needed` and `every` (how often it is read) in hours; the rest is the keeper's choice.

    `start`: day one is the first reading in band, or the second of two that follow each other. `below`: a
    reading out of band starts the count again, or stops it until the level is back.
    """

    band: Band
    needed: float
    every: float = 24.0
    start: Start = "first"
    below: Below = "restart"
    source: str = ""


def hold_clock(
    readings: Iterable[Reading],
    changes: Iterable[LevelChange] = (),
    *,
    rule: HoldRule,
    at: dt.datetime,
    since: dt.datetime | None = None,
) -> ClockState:
    """How a hold stands at `at`. Events may come in any order; those after `at` are left out.

    `since` is when the fish came into this water: the level may have been held before, but nothing counted.
    The state under each other choice of `start` and `below` stands in `instead`.
    """
    readings, changes = tuple(readings), tuple(changes)
    state = _state(readings, changes, rule, at, since)
    instead = tuple(
        _state(readings, changes, other, at, since).as_alternative(choice) for choice, other in _others(rule)
    )
    return in_zone(replace(state, instead=instead), at.tzinfo)


def _others(rule: HoldRule) -> tuple[tuple[str, HoldRule], ...]:
    start: Start = "second" if rule.start == "first" else "first"
    below: Below = "stop" if rule.below == "restart" else "restart"
    return (f"below: {below}", replace(rule, below=below)), (f"start: {start}", replace(rule, start=start))


def _state(
    readings: Sequence[Reading],
    changes: Sequence[LevelChange],
    rule: HoldRule,
    at: dt.datetime,
    since: dt.datetime | None,
) -> ClockState:
    count = _Count(rule, instant(at), None if since is None else instant(since))
    for stretch in stretches(readings, changes, rule.band, at):
        count.take(stretch)
    count.close(instant(at))
    return count.state(in_order(count.rows + _remarks(readings, rule.band, instant(at))))


def _remarks(readings: Iterable[Reading], band: Band, at: dt.datetime) -> list[Row]:
    """The readings that are a problem in themselves."""
    rows = []
    for reading in sorted(readings, key=_order):
        if instant(reading.at) > at:
            continue
        if not reading.suits:
            what = "read with a kit that does not suit this form: it says nothing of the level, and is left out"
        elif is_beyond(reading, band) and band.side == "floor":
            what = f"above the ceiling of {band.ceiling:g} {band.unit}: the hours count, and it is too much"
        elif is_beyond(reading, band):
            what = f"below the least of {band.floor:g} {band.unit}: the hours count, and it is too little"
        else:
            continue
        rows.append(_row(reading, reading.at, what, band, "problem"))
    return rows


def _order(one: Reading) -> tuple[dt.datetime, float, float, float, str, bool]:
    return instant(one.at), one.value, one.low, one.high, one.entry_id, one.suits


def _row(reading: Reading, at: dt.datetime, what: str, band: Band, mark: Mark, entry_id: str = "") -> Row:
    evidence = measured(reading.value, reading.low, reading.high, band.unit)
    return Row(at=at, what=what, evidence=evidence, entry_id=entry_id or reading.entry_id, mark=mark)


@dataclass(slots=True)
class _Open:
    """A break that is not made good yet. `lost` are the hours it took back, `fell` the start of its cost."""

    at: dt.datetime
    fell: dt.datetime
    why: str
    lost: float
    entry_id: str


class _Count:
    """Takes the stretches in order and counts. What it holds between two of them is the state of the clock."""

    def __init__(self, rule: HoldRule, at: dt.datetime, since: dt.datetime | None) -> None:
        self.rule, self.at, self.since = rule, at, since
        self.started: dt.datetime | None = None
        self.first: dt.datetime | None = None
        self.finished: dt.datetime | None = None
        self.counted = self.unbroken = 0.0
        self.restarts = 0
        self.breaks: list[Break] = []
        self.unknown: list[Span] = []
        self.rows: list[Row] = []
        self.open: _Open | None = None
        self.last: Stretch | None = None

    def take(self, stretch: Stretch) -> None:
        if self.since is not None:
            if stretch.end < self.since:
                return
            stretch = stretch._replace(start=max(stretch.start, self.since))
        if self.finished is not None:
            return
        self.last = stretch
        if stretch.standing == "held":
            self._held(stretch)
        elif self.first is not None and self.open is None:
            if stretch.standing == "lost":
                self._lost(stretch)
            else:
                self._unknown(stretch)

    def _held(self, stretch: Stretch) -> None:
        if self.started is None:
            if stretch.streak < (2 if self.rule.start == "second" else 1):
                return
            self._start(stretch)
        elif self.open is not None:
            self._close_break(stretch.start)
            self._say(stretch, stretch.start, "back in band: the count goes on", "count")
        elif self.unknown and self.unknown[-1].end == stretch.start:
            self._say(stretch, stretch.start, "in band: the count goes on", "count")
        hours = hours_between(stretch.start, stretch.end)
        left = self.rule.needed - self.counted
        if hours >= left - SAME_HOURS:
            self.finished = min(hours_later(stretch.start, left), stretch.end)
            self._say(stretch, self.finished, f"{spoken(self.rule.needed)} in band: the count is full", "done")
            hours = left
        self.counted += hours
        self.unbroken += hours

    def _start(self, stretch: Stretch) -> None:
        self.started = stretch.start
        self.first = self.first or stretch.start
        which = "first" if self.rule.start == "first" else "second"
        again = " again" if self.open is not None else ""
        self._close_break(stretch.start)
        self._say(stretch, stretch.start, f"day one{again}: the {which} reading in band, at its worse end", "start")

    def _lost(self, stretch: Stretch) -> None:
        band, reading = self.rule.band, stretch.reading
        side = "below the floor" if band.side == "floor" else "above the ceiling"
        why = f"{measured(reading.value, reading.low, reading.high, band.unit)}, {side} of {band.limit:g} {band.unit}"
        lost = self.counted if self.rule.below == "restart" else 0.0
        self.open = _Open(stretch.told, stretch.start, why, lost, reading.entry_id)
        self.unbroken = 0.0
        if self.rule.below == "stop":
            self._say(stretch, stretch.told, f"{side}: the count stops at the last reading in band", "stop")
            return
        self._say(stretch, stretch.told, f"{side}: the count starts again, {spoken(lost)} in band are lost", "restart")
        self.counted, self.started = 0.0, None
        self.restarts += 1

    def _unknown(self, stretch: Stretch) -> None:
        if hours_between(stretch.start, stretch.end) <= SAME_HOURS:
            return
        self.unbroken = 0.0
        self.unknown.append(Span(start=stretch.start, end=stretch.end, why=stretch.why, entry_id=stretch.entry_id))
        hours = spoken(hours_between(stretch.start, stretch.end))
        self.rows.append(_row(
            stretch.reading, stretch.start, f"unknown for {hours}, not counted: {stretch.why}",
            self.rule.band, "unknown", stretch.entry_id,
        ))  # fmt: skip

    def _close_break(self, moment: dt.datetime) -> None:
        if self.open is None:
            return
        cost = self.open.lost + hours_between(self.open.fell, moment)
        self.breaks.append(Break(at=self.open.at, why=self.open.why, cost_hours=cost, entry_id=self.open.entry_id))
        self.open = None

    def _say(self, stretch: Stretch, at: dt.datetime, what: str, mark: Mark) -> None:
        self.rows.append(_row(stretch.reading, at, what, self.rule.band, mark))

    def close(self, at: dt.datetime) -> None:
        """The end of what is known: an open break costs up to now, and a sentence says how it stands."""
        self._close_break(at)
        if self.finished is not None:
            return
        self.rows.append(Row(at=at, what=self._now(), evidence=self.rule.source, mark="now"))

    def _now(self) -> str:
        if self.last is None:
            return "no reading in this water yet that suits the form: nothing counts"
        if self.last.standing == "lost":
            return "out of band: nothing counts until a reading is back in it"
        if self.last.standing == "unknown":
            return f"the level could only be guessed: nothing counts until it is read ({self.last.why})"
        if self.started is None:
            return "in band once: day one is the next reading in band that follows it"
        return f"in band; {spoken(self.counted)} of {spoken(self.rule.needed)} counted"

    def state(self, rows: tuple[Row, ...]) -> ClockState:
        due = self._due()
        left = self.rule.needed - self.counted
        return ClockState(
            kind="hold", at=self.at, started=self.started, first_started=self.first,
            counted=self.counted, needed=self.rule.needed, needed_low=self.rule.needed, needed_high=self.rule.needed,
            done_at=self.finished or hours_later(self.at, left), finished=self.finished, unbroken=self.unbroken,
            breaks=tuple(self.breaks), restarts=self.restarts, unknown=tuple(self.unknown),
            slack=None if due is None else hours_between(self.at, due.by),
            due=() if due is None else (due,), explain=rows,
        )  # fmt: skip

    def _due(self) -> Due | None:
        """The next reading: before the last one in band no longer carries; at once where nothing counts now."""
        if self.finished is not None:
            return None
        by = alert = self.at
        if self.last is not None and self.last.standing == "held":
            by = hours_later(self.last.told, self.rule.band.gap)
            alert = min(hours_later(self.last.told, self.rule.every), by)
        return Due(what="a reading in band", by=by, alert=alert)
