"""What an entry is said to change, where the plan moves by it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from logbook.typed import AT, room
from pratique.checks.entries.day_sheets import DaySheets
from pratique.clocks.state import ClockState
from pratique.logbook.book import Log
from pratique.schedule.model import BatchPlan
from pratique.sheets.log_effects import effects

DAY = dt.timedelta(days=1)


def sheets(change: object = None) -> DaySheets:
    """The demo's sheets, the plan of its first batch changed."""
    found = DaySheets(room(), Log(), AT)
    if change is not None:
        first, *others = found.plan.batches
        found.__dict__["plan"] = replace(found.plan, batches=(change(first), *others))
    return found


def clock(**fields: object) -> ClockState:
    standard = {
        "kind": "hold",
        "at": AT,
        "started": AT - 9 * DAY,
        "first_started": AT - 9 * DAY,
        "counted": 216.0,
        "needed": 336.0,
        "done_at": AT + 5 * DAY,
        "finished": None,
    }
    return ClockState(**{**standard, **fields})


def with_clock(plan: BatchPlan, **fields: object) -> BatchPlan:
    return replace(plan, stages=(replace(plan.stages[0], state=clock(**fields)), *plan.stages[1:]))


def said(change: object) -> list[str]:
    return effects(room(), sheets(), sheets(change), AT)


def test_nothing_is_said_where_nothing_changes() -> None:
    assert effects(room(), sheets(), sheets(), AT) == []


def test_release_moves() -> None:
    def later(plan: BatchPlan) -> BatchPlan:
        assert plan.release is not None
        return replace(plan, release=replace(plan.release, earliest=plan.release.earliest + 9 * DAY))

    (row,) = said(later)
    assert "release moves from " in row
    (row,) = said(lambda plan: replace(plan, release=None))
    assert "there is no date of release any more" in row


@pytest.mark.parametrize(
    ("fields", "stand"),
    [
        ({}, "9 of 14 days are counted"),
        ({"finished": AT}, "the count is full"),
        ({"started": None, "first_started": None}, "nothing is counted yet"),
        ({"started": None}, "the count is broken off"),
        ({"steps": 2, "steps_needed": 4}, "step 2 of 4"),
        ({"needed": None, "done_at": None}, "9 days are counted"),
    ],
)
def test_a_clock_that_stands_otherwise_and_the_next_step(fields: dict[str, object], stand: str) -> None:
    rows = said(lambda plan: with_clock(plan, **fields))
    assert rows[0] == f"spring tangs, transfers: {stand}"
    assert rows[1].startswith("spring tangs, next step: ")
