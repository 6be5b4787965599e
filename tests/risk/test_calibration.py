"""The model against published experiments that its parameters were not fitted to, and against the points they were.

Where it fails, the failure is asserted too, and told in docs/explanation/risk.md: who mends the model sees it here.
"""

from __future__ import annotations

import numpy as np
import pytest

from pratique.knowledge import store
from pratique.risk.course import Course, series
from pratique.risk.draws import Array, Draws, draws_of
from pratique.risk.kernels import LEAVING, OPENING, later_than
from pratique.risk.survival import chance
from risk_plans import pulses

STRAINS = {draws.strain.id: draws for draws in draws_of("cryptocaryon", 96)}


def cleared(strain: str, moves: int, hours: float, temperature: float) -> Array:
    """By draw, the chance that a series clears, judged a fortnight after it."""
    spans = series([(hours, "transfers")] * moves + [(14 * 24.0, "observation")], temperature)
    return 1 - chance(STRAINS[strain], Course(spans=spans))


def released(draws: Draws, temperature: float, days: float) -> Array:
    """By draw, the share of cysts released by that day."""
    degrees = np.full(draws.count, temperature)
    return 1 - later_than(draws.release, degrees, np.array([days * 24]))[:, 0]


@pytest.mark.parametrize("temperature", [22.0, 25.0, 28.0])
def test_col85_four_moves_three_days_apart_cleared(temperature: float) -> None:
    """COL85, abstract: it cleared. Its stage times are from there, its outcome is not used."""
    assert np.median(cleared("COL85", 4, 72.0, temperature)) > 0.99
    assert np.percentile(cleared("COL85", 4, 72.0, temperature), 5) > 0.95


def test_col85_four_pulses_of_low_salinity_cleared() -> None:
    """COL85, abstract: 10 g/kg for 3 h, four times, 3 d apart. Strains for which it is not known are not cleared."""
    found = {}
    for strain, draws in STRAINS.items():
        spans = series([(30 * 24.0, "observation")], 25.0)
        found[strain] = 1 - chance(draws, Course(spans=spans, low=pulses(spans[0].start)))
    assert np.percentile(found["COL85"], 5) > 0.95
    assert np.median(found["PV16B"]) < 0.05
    assert np.median(found["CB97"]) < 0.05


@pytest.mark.parametrize("temperature", [18.0, 20.0])
@pytest.mark.parametrize("strain", ["COL85", "CHE79", "CB97"])
def test_aq18_four_days_are_soon_enough_at_18_and_20(strain: str, temperature: float) -> None:
    """AQ18, abstract: there an interval of over 4 days sufficed."""
    assert np.median(cleared(strain, 4, 96.0, temperature)) > 0.99


@pytest.mark.parametrize("strain", ["COL85", "CHE79", "CB97", "PV16B"])
def test_aq18_three_moves_every_two_days_clear_when_warm(strain: str) -> None:
    """AQ18, abstract: every 2 or 3 days, 2 or 3 times, at 22 to 32 degC; its own temperatures between were not read."""
    assert np.median(cleared(strain, 3, 48.0, 27.0)) > 0.99
    assert np.median(cleared(strain, 3, 72.0, 27.0)) > 0.99


def test_aq18_two_moves_fail_in_the_model_where_they_cleared() -> None:
    """A failure of the model: with a stay of 3 to 7 days (COL85) two moves of 2 days are over too soon."""
    assert np.median(cleared("COL85", 2, 48.0, 27.0)) < 0.9
    assert np.median(cleared("COL85", 3, 48.0, 22.0)) < 0.95


def test_the_fast_strain_fails_at_32_degrees_where_aq18_cleared() -> None:
    """A failure of the model: its speed, drawn on to 32 degC by CHE79's warmth, outruns AQ18's three days."""
    assert np.median(cleared("PV16B", 2, 72.0, 32.0)) < 0.5


def test_col85_first_release_is_among_the_windows_of_wat20() -> None:
    """WAT20, agents 2.1: from leaving to opening 42-48, 66-72, 90-96 h; COL85's earliest, 3 d, is the second."""
    windows = {round((OPENING - LEAVING) % 24 + 24 * day) for day in (1, 2, 3)}
    assert windows == {45, 69, 93}
    assert any(low <= 72 <= low + 6 for low in (42, 66, 90))


def test_che79_does_not_know_the_fast_strain() -> None:
    """A failure of CHE79's set: PV16B saw release at 48 to 60 h at 27 degC; this set has none by then."""
    assert np.percentile(released(STRAINS["CHE79"], 27.0, 2.5), 95) < 1e-3
    assert np.percentile(released(STRAINS["PV16B"], 27.0, 2.5), 5) > 0.95


def test_lct_none_hatched_in_a_fortnight_at_15_degrees() -> None:
    """A failure, and why 18 degC is the least: LC-T saw none; CHE79's set, drawn on to 15, has a fifth of them out."""
    assert 0.1 < np.median(released(STRAINS["CHE79"], 15.0, 14)) < 0.3
    assert store.life_cycles()["cryptocaryon"].needed("temperature").low == 18.0


def test_che79_at_37_degrees_shows_why_the_model_stops_at_32() -> None:
    """A failure outside its reach: nothing opened at 37 degC (CHE79); the set would have all of them out in a week."""
    assert np.median(released(STRAINS["CHE79"], 37.0, 7)) > 0.99
    assert store.life_cycles()["cryptocaryon"].needed("temperature").high < 37.0


def test_che79_its_own_points_are_met_within_fifteen_points_but_one() -> None:
    """A weak fit: 70 % by day 9 at 25 degC is read, and the set, one spread for all temperatures, says 90 %."""
    draws = STRAINS["CHE79"]
    gaps = {
        (p.temperature, p.after / 24): float(np.median(released(draws, p.temperature, p.after / 24))) - p.share
        for p in draws.strain.points
    }
    assert 0.15 < gaps.pop((25.0, 9.0)) < 0.25
    assert max(map(abs, gaps.values())) < 0.15


@pytest.mark.parametrize(("strain", "first", "last"), [("COL85", 3.0, 28.0), ("CB97", 3.0, 72.0)])
def test_first_and_last_release_are_those_read(strain: str, first: float, last: float) -> None:
    """Fitted, so no test of the model: half the cysts lie between, one in so many before and after."""
    draws = STRAINS[strain]
    for days, share in ((first, 0.0), (last, 1.0)):
        late = later_than(draws.release, draws.release.read_at, np.array([days * 24]))[:, 0]
        assert (abs((1 - late) - share) <= 0.0101).all()


def test_pv16b_cycle_is_shorter_than_the_seven_days_read() -> None:
    """A failure: 2 to 3 days on the fish and 48 to 60 h off it make 4 to 5.5 days; PV16B gives 7 for the whole."""
    draws = STRAINS["PV16B"]
    degrees = np.full(draws.count, 27.0)
    cycle = (np.exp(draws.stay.at(degrees)) + np.exp(draws.release.at(degrees))) / 24
    assert 4.0 < np.median(cycle) < 5.5
