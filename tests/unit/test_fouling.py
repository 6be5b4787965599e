"""Ammonia of a bare tank: forecasts and the changes that answer them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.knowledge import store
from pratique.water import ammonia, fouling
from pratique.water.dilution import after_change
from water_rooms import exactly

SEA = exactly(25, 8.2, 35)


def around(value: float, unit: str, share: float = 0.0) -> Figure:
    return Figure(value=value, unit=unit, low=value * (1 - share), high=value * (1 + share))


def test_a_bare_tank_is_to_be_corrected_within_hours() -> None:
    seen = fouling.forecast_rise(around(75.7, "L"), fouling.ammonia_from(around(2, "g")), SEA)
    assert seen.to_correct is not None
    assert seen.to_harm is not None
    assert seen.to_correct.value == pytest.approx(24 * 0.2482 / 1.0938, rel=0.001)
    assert seen.to_harm.value == pytest.approx(2.5 * seen.to_correct.value)
    assert seen.daily_share is None, "a whole change a day would not hold it"
    assert seen.working[0].expression == "82.8 mg of N / 75.7 L"
    assert [step.source for step in seen.working] == ["", "NRAC111", "FA16"]


def test_without_food_there_is_no_date_and_no_change() -> None:
    seen = fouling.forecast_rise(around(100, "L"), Figure.exact(0, "mg"), SEA)
    assert (seen.to_correct, seen.to_harm, seen.daily_share) == (None, None, 0.0)


@given(st.floats(20, 2000), st.floats(0.1, 50), st.floats(0, 0.2))
@settings(deadline=None)
def test_the_ends_of_a_forecast_are_in_order(litres: float, amount: float, share: float) -> None:
    seen = fouling.forecast_rise(around(litres, "L", share), around(amount, "mg", share), SEA)
    assert seen.per_day.low <= seen.per_day.value <= seen.per_day.high
    for hours in (seen.to_correct, seen.to_harm):
        assert hours is not None
        assert 0 <= hours.low <= hours.value <= hours.high


@given(st.floats(50, 2000), st.floats(0.1, 10))
@settings(deadline=None)
def test_the_daily_change_holds_the_level_under_the_limit(litres: float, amount: float) -> None:
    seen = fouling.forecast_rise(around(litres, "L", 0.05), around(amount, "mg"), SEA)
    limit = ammonia.total_at_limit("ammonia_correct", SEA)
    if seen.daily_share is None:
        assert seen.per_day.high > limit.low
        return
    level = 0.0
    for _ in range(200):
        level = after_change(level, seen.daily_share) + seen.per_day.high
        assert level <= limit.low * (1 + 1e-9)


def test_the_change_that_brings_it_back() -> None:
    assert fouling.change_back(2.0, 0.5) == 0.75
    assert fouling.change_back(0.4, 0.5) == 0
    assert after_change(2.0, fouling.change_back(2.0, 0.5)) == pytest.approx(0.5)


def test_food_by_the_mass_of_the_animals() -> None:
    ration = store.feed().needed("ration_share")
    food = fouling.food_for(around(250, "g", 0.2))
    wanted = (200 * ration.low / 100, 250 * ration.value / 100, 300 * ration.high / 100)
    assert (food.low, food.value, food.high) == pytest.approx(wanted)
    told = fouling.food_for(around(250, "g"), Figure(value=2, unit="%", low=1, high=4))
    assert (told.low, told.value, told.high) == pytest.approx((2.5, 5, 10))


def test_a_volume_is_needed() -> None:
    with pytest.raises(ValueError, match="volume above zero"):
        fouling.forecast_rise(Figure.exact(0, "L"), around(1, "mg"), SEA)
