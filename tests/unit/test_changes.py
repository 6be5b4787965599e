"""Series of changes: closed forms, limits, drips, top-offs."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pratique.water import changes, dilution
from pratique.water.changes import Pace

LEVELS = st.floats(0, 100)
SHARES = st.floats(0, 1)
VOLUMES = st.floats(1, 5000)


@given(LEVELS, SHARES, st.integers(0, 30), LEVELS)
def test_equal_changes_are_the_closed_form(level: float, share: float, count: int, incoming: float) -> None:
    one_by_one = changes.after_changes(level, [share] * count, incoming)
    assert changes.after_equal_changes(level, share, count, incoming) == pytest.approx(one_by_one, abs=1e-9)


@given(LEVELS, st.lists(SHARES, max_size=8))
def test_the_order_of_changes_does_not_matter(level: float, shares: list[float]) -> None:
    there = changes.after_changes(level, shares)
    assert changes.after_changes(level, reversed(shares)) == pytest.approx(there, abs=1e-9)
    assert 0 <= there <= level


@given(st.floats(0.1, 100), st.integers(1, 8), st.floats(0.05, 0.95))
def test_many_small_changes_near_a_flow(level: float, volumes: int, share: float) -> None:
    flow = dilution.after_flow(level, volumes * share)
    assert changes.after_equal_changes(level, share / 1000, 1000 * volumes) == pytest.approx(flow, rel=0.01)
    assert changes.after_equal_changes(level, share, volumes) <= flow


@given(LEVELS, LEVELS, st.floats(0.001, 0.999))
def test_a_flow_there_and_back(level: float, incoming: float, share: float) -> None:
    assume(abs(level - incoming) > 0.01)
    wanted = dilution.after_change(level, share, incoming)
    flow = changes.flow_to_reach(level, wanted, incoming)
    assert dilution.after_flow(level, flow, incoming) == pytest.approx(wanted, rel=1e-6, abs=1e-6)


def test_a_flow_does_not_reach_its_own_level() -> None:
    with pytest.raises(ValueError, match="never gets there"):
        changes.flow_to_reach(10, 0)
    with pytest.raises(ValueError, match="no change takes"):
        changes.flow_to_reach(10, 12)


@given(st.floats(0.1, 100), SHARES, st.floats(0, 5))
def test_the_share_that_holds_a_peak(peak: float, part: float, incoming: float) -> None:
    assume(peak > incoming + 0.01)
    gain = part * (peak - incoming)
    share = changes.share_to_hold(peak, gain, incoming)
    assert dilution.after_change(peak, share, incoming) + gain == pytest.approx(peak)


@pytest.mark.parametrize("case", [(20, 21, 0), (20, -1, 0), (5, 1, 5)])
def test_no_share_holds_what_rises_too_fast(case: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="no change keeps"):
        changes.share_to_hold(*case)


@given(LEVELS, VOLUMES, st.floats(0, 0.9))
def test_topping_off_with_plain_water_undoes_evaporation(level: float, volume: float, part: float) -> None:
    lost = volume * part
    dried = changes.after_evaporation(level, volume, lost)
    assert dried >= level * (1 - 1e-12)
    assert changes.after_top_off(dried, volume - lost, lost) == pytest.approx(level)


def test_topping_off_with_salt_water_adds_salt() -> None:
    assert changes.after_top_off(35 * 100 / 98, 98, 2, 35) == pytest.approx(35.7)


def test_a_tank_does_not_dry_up_wholly() -> None:
    with pytest.raises(ValueError, match="cannot evaporate"):
        changes.after_evaporation(35, 100, 100)
    with pytest.raises(ValueError, match="volume above zero"):
        changes.after_top_off(35, 0, 0)


# --- series -------------------------------------------------------------------------------------------


def test_one_change_where_there_is_water_for_it() -> None:
    (only,) = changes.series_to_reach(50, 10, 120, pace=Pace())
    assert (only.hours, only.litres, only.after, only.limited_by) == (0, pytest.approx(96), 10, "")


def test_a_series_from_stored_water() -> None:
    """40 L a day into 100 L: 50, 30, 18, then the rest."""
    series = changes.series_to_reach(50, 15, 100, pace=Pace(per_day=40))
    assert [change.after for change in series] == pytest.approx([30, 18, 15])
    assert [change.hours for change in series] == [0, 24, 48]
    assert [change.limited_by for change in series] == ["stored water", "stored water", ""]


def test_two_changes_a_day_share_the_water_of_the_day() -> None:
    series = changes.series_to_reach(50, 10, 100, pace=Pace(every=12, litres=30, per_day=40))
    assert [round(change.litres, 6) for change in series[:4]] == [30, 10, 30, 10]
    assert [change.limited_by for change in series[:2]] == ["litres", "stored water"]


def test_a_day_without_water_left_is_waited_for() -> None:
    series = changes.series_to_reach(50, 20, 100, pace=Pace(every=6, per_day=30))
    assert [change.hours for change in series] == [0, 24, 48]


@given(
    st.floats(1, 100),
    st.floats(0.05, 0.95),
    VOLUMES,
    st.floats(0.1, 1),
    st.floats(0.1, 1),
    st.sampled_from((6.0, 8.0, 12.0, 24.0, 48.0)),
)
def test_a_series_keeps_its_limits_and_arrives(
    level: float, left: float, volume: float, most: float, stored: float, every: float
) -> None:
    pace = Pace(every=every, litres=most * volume, per_day=stored * volume)
    series = changes.series_to_reach(level, level * left, volume, pace=pace)
    assert series[-1].after == pytest.approx(level * left)
    assert all(change.litres <= pace.litres * (1 + 1e-6) for change in series)
    for day in {int(change.hours // 24) for change in series}:
        used = math.fsum(change.litres for change in series if int(change.hours // 24) == day)
        assert used <= pace.per_day * (1 + 1e-6)
    again = changes.after_changes(level, [change.litres / volume for change in series])
    assert again == pytest.approx(level * left)


@given(st.floats(1, 100), st.floats(0.01, 0.99), st.floats(0.05, 1))
def test_as_few_changes_as_the_closed_form_needs(level: float, left: float, most: float) -> None:
    count, _ = dilution.changes_to_reach(level, level * left, most)
    assume(count < 300)
    assert len(changes.series_to_reach(level, level * left, 1.0, pace=Pace(litres=most))) == count


def test_what_is_never_reached_is_refused() -> None:
    with pytest.raises(ValueError, match="not reached within 400 changes"):
        changes.series_to_reach(50, 0, 100, pace=Pace(litres=1))
    with pytest.raises(ValueError, match="no change takes"):
        changes.series_to_reach(50, 10, 100, incoming=20, pace=Pace())


def test_arrived_is_no_change() -> None:
    assert changes.series_to_reach(50, 50, 100, pace=Pace()) == ()


@pytest.mark.parametrize("fault", ["every", "step", "litres", "per_day"])
def test_a_pace_is_above_zero(fault: str) -> None:
    with pytest.raises(ValueError, match="above zero"):
        Pace(**{fault: 0.0})
