"""The days of a transfer series as published: in on day 1, four moves at 72 hours (COL85; day numbers: custom)."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from pratique.knowledge import store
from pratique.schedule.calendar import Calendar, elapsed_hours
from pratique.schedule.timeline import Timeline
from pratique.schedule.transfers import Spacing, transfer_spacing, transfer_times
from schedule_rooms import build
from validation import record

DAYS = [1, 4, 7, 10, 13]


def series(arrives: str, zone: str = "Europe/Lisbon", hours: str = "06:00-09:00, 18:00-22:00") -> Timeline:
    calendar = Calendar(build(room={"time_zone": zone, "hours": hours}, batches={}))
    spacing = transfer_spacing(store.treatment("tank-transfer"), (25.0, 25.0))
    assert isinstance(spacing, Spacing)
    start = dt.datetime.fromisoformat(arrives).replace(tzinfo=ZoneInfo(zone))
    line = transfer_times(calendar, spacing, start)
    assert isinstance(line, Timeline)
    return line


@pytest.mark.parametrize("arrives", ["2027-02-01T18:30", "2027-02-01T08:30", "2027-02-01T21:00", "2027-02-01T12:00"])
def test_ttm_01(arrives: str) -> None:
    line = series(arrives)
    first = line.start.date()
    assert [(moment.date() - first).days + 1 for moment in (line.start, *(m.at for m in line.moves))] == DAYS
    found = [(moment.date() - first).days + 1 for moment in (line.start, *(m.at for m in line.moves))]
    off = max(abs(day - wanted) for day, wanted in zip(found, DAYS, strict=True))
    record(
        "days of a transfer series, four hours of arrival",
        "custom: 1, 4, 7, 10, 13 (ttm_01)",
        off,
        "d",
        subject="schedule",
    )


@pytest.mark.parametrize("arrives", ["2027-03-22T18:30", "2027-10-25T18:30"])
@pytest.mark.parametrize("zone", ["Europe/Lisbon", "America/New_York", "Australia/Lord_Howe"])
def test_no_move_is_later_than_72_hours_over_a_clock_change(arrives: str, zone: str) -> None:
    line = series(arrives, zone)
    moments = [line.start, *(move.at for move in line.moves)]
    assert max(elapsed_hours(first, second) for first, second in pairwise(moments)) <= 72
    assert (moments[-1].date() - moments[0].date()).days >= 12
    over = max(0.0, *(elapsed_hours(first, second) - 72 for first, second in pairwise(moments)))
    what = "hours too many between two transfers, clocks changing, three zones"
    record(what, "72 h at most (COL85)", over, "h", subject="schedule")
