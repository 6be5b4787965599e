"""A clock that begins again because an animal joined: the state before it and the state since, as one."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable
from dataclasses import replace

from pratique.clocks.state import Break, ClockState, Row, in_order, spoken
from pratique.history.events import Passage

Clock = Callable[[dt.datetime, dt.datetime], ClockState]
"""The state of a clock as of a moment, of which nothing before another moment counts: (at, since)."""


def with_newcomers(clock: Clock, passages: Iterable[Passage], since: dt.datetime, at: dt.datetime) -> ClockState:
    """The clock at `at`, begun again by each of `passages` (in order): every occupant of the water restarts."""
    earlier: list[ClockState] = []
    joined: list[Passage] = []
    for passage in passages:
        before = clock(passage.at, since)
        if before.kind != "watch" and before.is_finished:
            break
        earlier.append(before)
        joined.append(passage)
        since = passage.at
    state = clock(at, since)
    for before, passage in zip(reversed(earlier), reversed(joined), strict=True):
        state = _joined(before, passage, state)
    return state


def _joined(before: ClockState, passage: Passage, after: ClockState) -> ClockState:
    who = f"{passage.count} {passage.animal}" + (f" of {passage.batch}" if passage.batch else "")
    how = "found in" if passage.how == "found" else "put into"
    why = f"{who} {how} the same water"
    what = f"{why}; day one again for all in it, {spoken(before.counted)} are lost"
    row = Row(at=passage.at, what=what, entry_id=passage.entry_id, mark="restart")
    lost = Break(at=passage.at, why=why, cost_hours=before.counted, entry_id=passage.entry_id)
    own = [rest for rest in before.explain if rest.mark not in ("now", "done")]
    return replace(
        after,
        first_started=before.first_started or after.first_started,
        breaks=(*before.breaks, lost, *after.breaks),
        restarts=before.restarts + 1 + after.restarts,
        unknown=(*before.unknown, *after.unknown),
        explain=in_order([*own, row, *after.explain]),
    )
