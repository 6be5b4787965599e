"""Salinity down and up in steps: pace, stored water, the table, pH."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pratique.water import hyposalinity
from pratique.water.changes import Pace
from pratique.water.mixing import after_swap

DAY = 24


@given(st.floats(20, 2000), st.floats(5, 40), st.floats(5, 40), st.floats(0.5, 10), st.floats(0.05, 1))
@settings(deadline=None, max_examples=60)
def test_steps_keep_their_limits_and_arrive(
    volume: float, start: float, end: float, step: float, stored: float
) -> None:
    assume(abs(start - end) > 0.5)
    incoming = 0.0 if end < start else 55.0
    pace = Pace(step=step, per_day=stored * volume)
    series = hyposalinity.salinity_steps(volume, start, end, incoming, pace=pace)
    now = start
    for change in series:
        assert abs(change.after - now) <= step * (1 + 1e-6)
        assert change.litres <= pace.per_day * (1 + 1e-6)
        assert after_swap(volume, now, change.litres, incoming) == pytest.approx(change.after, abs=1e-6)
        now = change.after
    assert now == pytest.approx(end)


def test_little_stored_water_makes_it_take_longer() -> None:
    free = hyposalinity.salinity_steps(200, 14, 35, 38, pace=hyposalinity.raising_pace())
    short = hyposalinity.salinity_steps(200, 14, 35, 38, pace=Pace(step=2, per_day=20))
    assert len(free) == 11
    assert len(short) > len(free)
    assert {change.limited_by for change in short[:3]} == {"step"}
    assert short[-2].limited_by == "stored water"


def test_water_of_the_salinity_wanted_does_not_get_there() -> None:
    for start, end, incoming, word in ((14, 35, 35, "saltier"), (14, 35, 30, "saltier"), (35, 14, 14, "fresher")):
        with pytest.raises(ValueError, match=f"mix it {word}"):
            hyposalinity.salinity_steps(100, start, end, incoming, pace=Pace())


def test_there_already() -> None:
    assert hyposalinity.salinity_steps(100, 14, 14, 0, pace=Pace()) == ()


@pytest.mark.parametrize(
    ("hours", "changes", "every", "step"), [(None, None, 12, 5.25), (72, 6, 12, 3.5), (24, 2, 12, 10.5)]
)
def test_the_pace_down(hours: float | None, changes: int | None, every: float, step: float) -> None:
    pace = hyposalinity.lowering_pace(35, 14, hours, changes)
    assert (pace.every, pace.step) == (every, step)


@pytest.mark.parametrize(("hours", "changes"), [(23, 4), (48, 0)])
def test_too_fast_a_pace_is_refused(hours: float, changes: int) -> None:
    with pytest.raises(ValueError, match="24 h or more"):
        hyposalinity.lowering_pace(35, 14, hours, changes)


def test_the_table_from_first_to_last() -> None:
    rows = hyposalinity.salinity_table(100, start=35, low=14, hold=28 * DAY, end=35, salt_water=40)
    assert [row.leg for row in rows] == ["down"] * 4 + ["hold"] * 27 + ["up"] * 11
    assert [row.hours for row in rows] == sorted(row.hours for row in rows)
    reached = next(row.hours for row in rows if row.salinity == 14)
    first_up = next(row for row in rows if row.leg == "up")
    assert first_up.hours - reached == 28 * DAY
    assert all(row.watch_ph for row in rows[:-1])
    assert rows[-1].salinity == 35
    assert not rows[-1].watch_ph
    assert all(row.litres == 0 for row in rows if row.leg == "hold")
    for earlier, later in pairwise(rows):
        assert later.hours - earlier.hours <= DAY, "pH is looked at every day"


def test_the_table_with_a_bin_of_thirty_litres() -> None:
    rows = hyposalinity.salinity_table(200, start=35, low=14, hold=21 * DAY, end=35, salt_water=38, stored=30)
    up = [row for row in rows if row.leg == "up"]
    assert max(row.litres for row in up) == pytest.approx(30)
    assert len(up) > 11
    assert up[-1].salinity == pytest.approx(35)


@given(st.floats(7.0, 8.6), st.floats(7.0, 8.6))
def test_ph_moves_a_tenth_a_day_and_arrives(now: float, wanted: float) -> None:
    series = hyposalinity.ph_series(now, wanted)
    for earlier, later in zip((now, *series), series, strict=False):
        assert abs(later - earlier) <= 0.1 + 1e-5
    assert series[-1] == wanted if series else math.isclose(now, wanted, abs_tol=1e-9)


def test_practice_b25() -> None:
    """After a fall of 0.2 correct at most 0.10 a day."""
    assert hyposalinity.ph_series(8.0, 8.2) == (8.1, 8.2)
