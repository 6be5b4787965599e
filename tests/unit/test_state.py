"""The state of a water: file before nothing, reading before file; what mixed water can do."""

from __future__ import annotations

import pytest

from dosing_rooms import make_room
from pratique.water.state import MATCHES, look_at, matching_litres, missing, stock_of
from water_rooms import BIN, read_now, state


def test_the_file_says_what_the_water_is_like() -> None:
    seen = state()
    assert (seen.litres.value, seen.litres.low, seen.litres.high) == (200, 199, 201)
    assert seen.salinity == 34
    assert seen.temperature is not None
    assert seen.temperature.value == 25
    assert seen.ph is not None
    assert seen.ph.value == 8.1
    assert seen.oxygen == pytest.approx(6.82, abs=0.01)
    assert list(missing(seen)) == []


def test_a_reading_stands_before_the_file() -> None:
    seen = look_at(make_room(), "q1", read_now("1.0262 sg at 25 degC", "77 degF", "7.9"))
    assert seen.salinity == pytest.approx(34.93, abs=0.01)
    assert seen.warmth == pytest.approx(25)
    assert seen.ph is not None
    assert seen.ph.value == 7.9


def test_what_nobody_said_is_none_and_named() -> None:
    seen = state(tanks__q1__salinity=None, tanks__q1__temperature=None)
    assert (seen.salinity, seen.temperature, seen.conditions, seen.oxygen) == (None,) * 4
    assert [problem.code for problem in missing(seen)] == ["W801", "W802"]
    assert [problem.code for problem in missing(seen, temperature=False)] == ["W801"]
    assert seen.warmth == 25
    assert matching_litres(seen) == 0


def test_a_ph_nobody_measured_counts_as_high() -> None:
    conditions = state(tanks__q1__ph=None).conditions
    assert conditions is not None
    assert conditions.ph.value == 8.4


def test_oxygen_is_unknown_outside_its_figures() -> None:
    assert state(tanks__q1__salinity="60 g/kg").oxygen is None


def test_mixed_water_changes_its_share_of_the_tank() -> None:
    (bin_,) = stock_of(state(**BIN))
    assert bin_.share == pytest.approx(0.15)
    assert bin_.after == pytest.approx(34.9, abs=0.05)
    assert not bin_.matches(34)


def test_more_mixed_water_than_tank_changes_all_of_it() -> None:
    (bin_,) = stock_of(state(mixed_water=[{"volume": "300 L", "salinity": "30 g/kg"}]))
    assert bin_.share == 1
    assert bin_.after == pytest.approx(30)


def test_mixed_water_of_unknown_salinity_is_counted_for_nothing() -> None:
    seen = state(mixed_water=[{"volume": "300 L"}])
    (bin_,) = stock_of(seen)
    assert bin_.after is None
    assert not bin_.matches(34)
    assert matching_litres(seen) == 0


@pytest.mark.parametrize(("off", "matches"), [(0.0, True), (MATCHES, True), (MATCHES + 0.01, False)])
def test_mixed_water_matches_within_what_an_instrument_tells(off: float, matches: bool) -> None:
    seen = state(mixed_water=[{"volume": "30 L", "salinity": f"{34 + off:g} g/kg"}])
    assert matching_litres(seen) == (30 if matches else 0)
