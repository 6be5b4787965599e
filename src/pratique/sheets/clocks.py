"""The clocks of a batch, sentence by sentence: what started each, what counted, what broke it, how it stands."""

from __future__ import annotations

import datetime as dt

from pratique.clocks.state import ClockState, Mark, spoken
from pratique.schedule.calendar import shown
from pratique.schedule.model import BatchPlan, Stage
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Meaning, Part, Table

MEANINGS: dict[Mark, Meaning] = {
    "start": "", "count": "", "stop": "warning", "restart": "warning", "unknown": "warning", "problem": "error",
    "done": "done", "note": "muted", "now": "due",
}  # fmt: skip
MARKS: dict[Mark, str] = {
    "start": "starts", "count": "counts", "stop": "stops", "restart": "restarts", "unknown": "unknown",
    "problem": "problem", "done": "full", "note": "note", "now": "now",
}  # fmt: skip


def clock_parts(plan: BatchPlan, at: dt.datetime) -> list[Part]:
    """A table for each stage whose clock has begun, for `plan --working`."""
    return [_clock(plan, stage, stage.state, at) for stage in plan.stages if stage.state is not None]


def _clock(plan: BatchPlan, stage: Stage, state: ClockState, at: dt.datetime) -> Table:
    rows = [
        (
            Cell(words.moment(row.at, at=at)) if row.at is not None else EMPTY,
            Cell(MARKS[row.mark], MEANINGS[row.mark]),
            Cell(row.what),
            Cell(row.evidence or "—", "muted"),
            Cell(row.entry_id or "—", "muted"),
        )
        for row in state.explain
    ]
    rows += [(EMPTY, Cell("choice", "muted"), Cell(_instead(state, number)), EMPTY, EMPTY) for number in _others(state)]
    columns = (
        Column("When", "id", lead=True),
        Column("", "id", lead=True),
        Column("What", "prose"),
        Column("Evidence", "prose"),
        Column("Entry", "id"),
    )
    return Table(title=f"{plan.batch.name} · the clock of {stage.name}", columns=columns, rows=tuple(rows))


def _others(state: ClockState) -> range:
    return range(len(state.instead))


def _instead(state: ClockState, number: int) -> str:
    """How the same history would stand under another choice."""
    other = state.instead[number]
    restarts = f", {words.plural(other.restarts, 'restart')}" if other.restarts else ""
    end = other.finished or other.done_at
    until = f"; full on {shown(end)} at the earliest" if end is not None else ""
    return f"with `{other.choice}`: {spoken(other.counted)} counted{restarts}{until}"
