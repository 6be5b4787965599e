"""Holds as they are known: the band, course and limits of each treatment, and what cannot be held at all."""

from __future__ import annotations

import datetime as dt

import pytest

from clocks.histories import CHELATED, after, day, read, same, small_rule
from pratique.clocks.hold import LevelChange, Reading, hold_clock
from pratique.clocks.rules import hold_rule
from pratique.knowledge import store


@pytest.mark.parametrize("id_", ["copper-ionic", "copper-amine", "copper-chelated"])
def test_each_copper_has_a_rule_with_a_gap_longer_than_its_test_interval(id_: str) -> None:
    treatment = store.treatment(id_)
    rule = hold_rule(treatment)
    assert rule is not None
    assert rule.band.side == "floor"
    assert rule.band.gap > treatment.needed("test_interval").value
    assert rule.needed == 14 * 24
    assert (rule.start, rule.below) == ("first", "restart")
    stays = hold_rule(treatment, stays=True, start="second", below="stop")
    assert stays is not None
    assert stays.needed == 30 * 24
    assert (stays.start, stays.below) == ("second", "stop")


def test_what_no_kit_can_show_has_no_rule() -> None:
    """Chloroquine: no home test was found, and its level fell within a day."""
    assert hold_rule(store.treatment("chloroquine-immersion")) is None


@pytest.mark.parametrize("missing", ["floor", "ceiling", "course"])
def test_without_an_end_of_the_band_or_a_course_there_is_no_rule(missing: str) -> None:
    treatment = store.treatment("copper-chelated")
    numbers = {name: found for name, found in treatment.numbers.items() if name != missing}
    assert hold_rule(treatment.model_copy(update={"numbers": numbers})) is None


def test_low_salinity_is_held_below_its_ceiling() -> None:
    rule = hold_rule(store.treatment("hyposalinity"))
    assert rule is not None
    state = hold_clock([read(0, 13, 0.5), read(24, 13, 0.5), read(48, 15, 0.5)], rule=rule, at=after(50))
    assert state.restarts == 1
    assert "above the ceiling of 14 g/kg" in state.breaks[0].why
    assert hold_clock([read(0, 13.8, 0.5)], rule=rule, at=after(5)).started is None
    low = hold_clock([read(0, 10, 0.5)], rule=rule, at=after(5))
    assert low.counted == 5
    assert "below the least of 11 g/kg" in low.problems[0].what


def test_the_far_end_of_the_band_itself_is_still_good() -> None:
    """hyposalinity down to 11 g/kg, and the small rule up to 2.5 mg/L."""
    rule = hold_rule(store.treatment("hyposalinity"))
    assert rule is not None
    assert hold_clock([read(0, 11)], rule=rule, at=after(5)).problems == ()
    assert hold_clock([read(0, 2.5)], rule=small_rule(), at=after(5)).problems == ()


def test_a_top_off_forgotten_is_no_matter_but_salt_water_is() -> None:
    rule = hold_rule(store.treatment("hyposalinity"))
    assert rule is not None
    salt = LevelChange(at=after(10), effect="up", what="sea water added")
    fresh = LevelChange(at=after(10), effect="down", what="fresh water added")
    assert hold_clock([read(0, 13)], [fresh], rule=rule, at=after(20)).counted == 20
    assert hold_clock([read(0, 13)], [salt], rule=rule, at=after(20)).counted == 10


def test_no_reading_at_all() -> None:
    assert CHELATED is not None
    state = hold_clock([], rule=CHELATED, at=day(1))
    assert (state.started, state.counted, state.finished) == (None, 0, None)
    assert same(state.done_at, day(15))


def test_a_moment_without_an_offset_is_refused() -> None:
    with pytest.raises(ValueError, match="no offset"):
        hold_clock([], rule=small_rule(), at=dt.datetime(2027, 3, 1, 9))  # noqa: DTZ001


def test_a_reading_outside_its_own_range_is_refused() -> None:
    with pytest.raises(ValueError, match="outside its own range"):
        Reading(at=after(0), value=2.0, low=2.1, high=2.2)
