"""The clock of a transfer series: each move by its deadline, into a tank that is clean and dry.

Hours between moves are elapsed hours, across a clock change too; the least number of days is counted by the
calendar of the room, as the trade does: in on day 1, moved on days 4, 7, 10 and 13.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from pratique.clocks.dryness import Dry, Dryness, DryRule, TankEvent
from pratique.clocks.moments import SAME_HOURS, hours_between, hours_later, in_zone, instant, local_date
from pratique.clocks.state import Break, ClockState, Due, Mark, Row, in_order, spoken

Grace = Literal["one-more", "accept"]

__all__ = ["DryRule", "Grace", "Move", "TankEvent", "TransferRule", "transfer_clock"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """The fish went from one tank to another; the first has no `from_`: they came."""

    at: dt.datetime
    to: str
    from_: str = ""
    entry_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferRule:
    """One series: `interval`, `grace`, `alert` (from the last move) and `early` in hours, `moves` after the first tank.

    `days` by the calendar; `late`: what a move late within the grace costs.
    """

    interval: float
    grace: float
    moves: int
    days: int
    alert: float
    early: float
    dry: DryRule
    late: Grace = "one-more"
    source: str = ""


def transfer_clock(
    moves: Iterable[Move],
    tanks: Iterable[TankEvent] = (),
    *,
    rule: TransferRule,
    at: dt.datetime,
    zone: dt.tzinfo,
) -> ClockState:
    """How a series stands at `at`. Moves may come in any order; the earliest is the one into the first tank.

    `tanks` says which tanks became dry, or were left wet by others. `zone` is the room's, for counting days.
    """
    moves, tanks = tuple(moves), tuple(tanks)
    other: Grace = "accept" if rule.late == "one-more" else "one-more"
    state = _state(moves, tanks, rule, at, zone)
    instead = _state(moves, tanks, replace(rule, late=other), at, zone).as_alternative(f"grace: {other}")
    return in_zone(replace(state, instead=(instead,)), at.tzinfo)


def _state(
    moves: Iterable[Move], tanks: Iterable[TankEvent], rule: TransferRule, at: dt.datetime, zone: dt.tzinfo
) -> ClockState:
    known = sorted(
        (move for move in moves if instant(move.at) <= instant(at)),
        key=lambda move: (instant(move.at), move.entry_id, move.from_, move.to),
    )
    left = [TankEvent(at=move.at, tank=move.from_ or before.to, what="left") for before, move in pairwise(known)]
    series = _Series(rule, Dryness([*tanks, *left], rule.dry), instant(at), zone)
    for move in known:
        series.take(move)
    return series.state()


@dataclass(slots=True)
class _Open:
    """A break that ends with the next move: the fish stand in a tank that may infect them again."""

    at: dt.datetime
    why: str
    lost: float
    entry_id: str


class _Series:
    """Takes the moves in order."""

    def __init__(self, rule: TransferRule, dryness: Dryness, at: dt.datetime, zone: dt.tzinfo) -> None:
        self.rule, self.dryness, self.at, self.zone = rule, dryness, at, zone
        self.started: dt.datetime | None = None
        self.first: dt.datetime | None = None
        self.finished: dt.datetime | None = None
        self.last: dt.datetime | None = None
        self.count = self.more = self.restarts = 0
        self.breaks: list[Break] = []
        self.rows: list[Row] = []
        self.open: _Open | None = None

    @property
    def needed(self) -> int:
        return self.rule.moves + self.more

    def take(self, move: Move) -> None:
        if self.finished is not None:
            return
        at = instant(move.at)
        dry = self.dryness.of(move.to, at)
        if self.first is None:
            self.first = at
        if self.started is not None and self.last is not None:
            self._timed(move, at, hours_between(self.last, at))
        elif dry.state != "wet":
            self._begin(move, at)
        self.last = at
        if dry.state == "wet":
            self._wet(move, at, dry)
        elif dry.state == "unproven":
            self._say(move, f"`{move.to}` is used again, and its drying is not on record ({dry.why})", "problem")
        if self.started is not None and self._is_whole(self.count, self.needed, at, self.started):
            self.finished = at
            day = self._day(at, self.started)
            self._say(move, f"move {self.count} of {self.needed}, day {day}: the series is whole", "done")

    def _begin(self, move: Move, at: dt.datetime) -> None:
        again = " again" if self.restarts else ""
        self._close_break(at)
        self.started, self.count, self.more = at, 0, 0
        self._say(move, f"day one{again}: into `{move.to}`", "start")

    def _timed(self, move: Move, at: dt.datetime, hours: float) -> None:
        late = hours - self.rule.interval
        if late > self.rule.grace + SAME_HOURS:
            self._too_late(move, at, hours, late)
            return
        self.count += 1
        number = f"move {self.count}, {spoken(hours)} after the last"
        if late > SAME_HOURS:
            self._within_grace(move, number, late)
        elif hours < self.rule.early - SAME_HOURS:
            what = f"{number}: sooner than any interval that was tried; it counts, and the last day comes no sooner"
            self._say(move, what, "count")
        else:
            self._say(move, number, "count")

    def _within_grace(self, move: Move, number: str, late: float) -> None:
        cost = 0.0
        says = "accepted"
        if self.rule.late == "one-more":
            self.more += 1
            cost, says = self.rule.interval, "one more move makes it good"
        why = f"{spoken(late)} late, within the grace of {spoken(self.rule.grace)}"
        self.breaks.append(Break(at=move.at, why=why, cost_hours=cost, entry_id=move.entry_id))
        self._say(move, f"{number}: {why}; {says}", "stop")

    def _too_late(self, move: Move, at: dt.datetime, hours: float, late: float) -> None:
        assert self.started is not None
        why = f"{spoken(hours)} after the last move, {spoken(late)} late"
        cost = hours_between(self.started, at)
        self.breaks.append(Break(at=move.at, why=why, cost_hours=cost, entry_id=move.entry_id))
        self.restarts += 1
        self._say(move, f"{why}: the series begins again, {spoken(cost)} are lost", "restart")
        self._begin(move, at)

    def _wet(self, move: Move, at: dt.datetime, dry: Dry) -> None:
        lost = hours_between(self.started, at) if self.started is not None else 0.0
        if self.started is not None:
            self.restarts += 1
        if self.open is None:
            self.open = _Open(at, f"`{move.to}` was not dry: {dry.why}", lost, move.entry_id)
        self.started, self.count, self.more = None, 0, 0
        self._say(move, f"into `{move.to}`, which was not dry ({dry.why}): day one is the move out of it", "restart")

    def _close_break(self, moment: dt.datetime) -> None:
        if self.open is not None:
            cost = self.open.lost + hours_between(self.open.at, moment)
            self.breaks.append(Break(at=self.open.at, why=self.open.why, cost_hours=cost, entry_id=self.open.entry_id))
            self.open = None

    def _say(self, move: Move, what: str, mark: Mark) -> None:
        self.rows.append(Row(at=move.at, what=what, entry_id=move.entry_id, mark=mark))

    def _day(self, moment: dt.datetime, started: dt.datetime) -> int:
        """Day one is the day of the first tank."""
        return (local_date(moment, self.zone) - local_date(started, self.zone)).days + 1

    def _is_whole(self, count: int, needed: int, moment: dt.datetime, started: dt.datetime) -> bool:
        return count >= needed and self._day(moment, started) > self.rule.days

    def state(self) -> ClockState:
        due = self._due()
        self._close_break(self.at)
        self._say_now(due)
        counted = self._counted()
        needed = self.rule.days * 24.0
        return ClockState(
            kind="transfers", at=self.at, started=self.started, first_started=self.first,
            counted=counted, needed=needed, needed_low=needed, needed_high=needed,
            done_at=self.finished or (due[-1].by if due else None), finished=self.finished, unbroken=counted,
            steps=self.count, steps_needed=self.needed, breaks=tuple(self.breaks), restarts=self.restarts,
            slack=self._slack(), due=due, explain=in_order(self.rows),
        )  # fmt: skip

    def _counted(self) -> float:
        """Hours since day one, for as long as no move is overdue."""
        if self.started is None or self.last is None:
            return 0.0
        return hours_between(self.started, self.finished or min(self.at, hours_later(self.last, self.rule.interval)))

    def _slack(self) -> float | None:
        if self.finished is not None or self.last is None:
            return None
        return self.rule.interval - hours_between(self.last, self.at) if self.started is not None else 0.0

    def _due(self) -> tuple[Due, ...]:
        """The moves still to be made, each at its limit, as if the next were made in time, or now where it is late."""
        if self.finished is not None or self.last is None:
            return ()
        late = hours_between(self.last, self.at) - self.rule.interval
        if self.started is None or late > self.rule.grace + SAME_HOURS:
            now = Due(what="move into a clean, dry tank at once: day one again", by=self.at, alert=self.at)
            return (now, *self._ahead(self.at, self.at, 0, self.rule.moves))
        if late > SAME_HOURS:
            by = hours_later(self.last, self.rule.interval + self.rule.grace)
            now = Due(what=f"move {self.count + 1}, late", by=by, alert=self.at)
            needed = self.needed + (1 if self.rule.late == "one-more" else 0)
            if self._is_whole(self.count + 1, needed, self.at, self.started):
                return (now,)
            return (now, *self._ahead(self.started, self.at, self.count + 1, needed))
        return self._ahead(self.started, self.last, self.count, self.needed)

    def _ahead(self, started: dt.datetime, last: dt.datetime, count: int, needed: int) -> tuple[Due, ...]:
        dues: list[Due] = []
        while not dues or not self._is_whole(count, needed, last, started):
            count += 1
            by = hours_later(last, self.rule.interval)
            dues.append(Due(what=f"move {count}", by=by, alert=hours_later(last, self.rule.alert)))
            last = by
        return tuple(dues)

    def _say_now(self, due: tuple[Due, ...]) -> None:
        if self.finished is not None:
            return
        if self.last is None:
            self.rows.append(Row(at=self.at, what="the fish are not in the first tank yet", mark="now"))
            return
        slack = self._slack() or 0.0
        if self.started is None:
            what = "the fish are in a tank that was not dry: move them out of it"
        elif slack < -SAME_HOURS:
            what = f"{due[0].what}: {spoken(-slack)} past the limit"
            self.rows.append(Row(at=self.at, what=what, evidence=self.rule.source, mark="problem"))
            return
        else:
            what = f"{due[0].what} of {self.needed} within {spoken(slack)}"
        self.rows.append(Row(at=self.at, what=what, evidence=self.rule.source, mark="now"))
