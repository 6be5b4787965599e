"""Net volume from a rise, and whether readings speak for another volume or for a loss."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.water import rise
from pratique.water.fit import Reading

NONE = Figure.exact(0.0, "mg/L")
DOSE = Figure.exact(200.0, "mg")
STATED = Figure(value=100, unit="L", low=95, high=105)


def level(value: float, error: float = 0.1) -> Figure:
    return Figure(value=value, unit="mg/L", low=value - error, high=value + error)


def reading(hours: float, value: float, error: float = 0.1) -> Reading:
    return Reading(hours=hours, level=level(value, error))


@given(st.floats(10, 1000), st.floats(0.1, 5), st.floats(0, 1), st.floats(0, 0.04), st.floats(-1, 1))
def test_the_true_volume_lies_between_the_ends(
    volume: float, gain: float, before: float, error: float, pull: float
) -> None:
    amount = Figure.exact(volume * gain, "mg")
    read = before + gain + pull * error
    assume(read - error > before + error)
    found = rise.volume_from_rise(amount, level(before, error), level(read, error))
    assert found.low * (1 - 1e-9) <= volume <= found.high * (1 + 1e-9)
    assert found.low <= found.value <= found.high


def test_a_rise_within_the_errors_is_refused() -> None:
    with pytest.raises(ValueError, match="not larger than the errors"):
        rise.volume_from_rise(DOSE, level(1.0, 0.2), level(1.3, 0.2))


def test_two_volumes_are_compared() -> None:
    """Practice B1: 62 L dosed as 75.7 L."""
    check = rise.check_volume(Figure(value=62, unit="L", low=58, high=66), Figure.exact(75.7, "L"))
    assert not check.agrees
    assert check.gap == pytest.approx(-0.181, abs=0.001)
    assert rise.check_volume(Figure(value=72, unit="L", low=68, high=76), Figure.exact(75.7, "L")).agrees
    with pytest.raises(ValueError, match="above zero"):
        rise.check_volume(STATED, Figure.exact(0, "L"))


def test_as_reckoned_there_is_nothing_to_explain() -> None:
    seen = rise.explain_rise(DOSE, STATED, NONE, [reading(1, 2.05), reading(24, 1.95)])
    assert seen.cause == "agrees"
    assert (seen.reckoned.low, seen.reckoned.value, seen.reckoned.high) == pytest.approx((1.905, 2, 2.105), abs=1e-3)
    assert seen.loss is None


def test_one_low_reading_can_mean_either_and_a_later_one_settles() -> None:
    seen = rise.explain_rise(DOSE, STATED, NONE, [reading(4, 1.6)])
    assert seen.cause == "either"
    assert seen.volume is not None
    assert seen.volume.value == pytest.approx(125)
    assert seen.loss is not None
    assert seen.settled_at is not None
    assert 4 < seen.settled_at < 24
    assert abs(seen.loss.at(seen.settled_at).value - 1.6) > 0.2


def test_readings_that_stay_speak_for_the_volume() -> None:
    seen = rise.explain_rise(DOSE, STATED, NONE, [reading(1, 1.5), reading(24, 1.48), reading(48, 1.52)])
    assert seen.cause == "volume"
    assert seen.volume is not None
    assert seen.volume.low <= 200 / 1.5 <= seen.volume.high


def test_readings_that_fall_speak_for_a_loss() -> None:
    fallen = [reading(h, 2 * math.exp(-0.02 * h)) for h in (6, 24, 48)]
    seen = rise.explain_rise(DOSE, STATED, NONE, fallen)
    assert seen.cause == "loss"
    assert seen.volume is None
    assert seen.loss is not None
    assert seen.loss.rate.low <= 0.02 <= seen.loss.rate.high


def test_a_high_reading_is_less_water_never_a_loss() -> None:
    seen = rise.explain_rise(DOSE, STATED, NONE, [reading(4, 2.6)])
    assert seen.cause == "volume"
    assert seen.volume is not None
    assert seen.volume.value == pytest.approx(200 / 2.6)


def test_low_at_once_and_falling_is_neither_alone() -> None:
    """More water than stated and a loss as well: each alone fails, and the answer says so."""
    seen = rise.explain_rise(DOSE, STATED, NONE, [reading(0.5, 1.2), reading(24, 1.15), reading(48, 0.5)])
    assert seen.cause == "neither"


def test_without_any_errors_the_loss_is_still_drawn() -> None:
    fallen = [reading(h, 2 * math.exp(-0.02 * h), 0.05) for h in (6, 24)]
    seen = rise.explain_rise(DOSE, Figure.exact(100, "L"), NONE, fallen)
    assert seen.cause == "loss"
    assert seen.loss is not None
    assert seen.loss.rate.value == pytest.approx(0.02, rel=0.01)


@given(st.floats(0.5, 2), st.lists(st.floats(-1, 1), min_size=2, max_size=5))
def test_a_wrong_volume_is_never_called_a_loss_alone(part: float, pulls: list[float]) -> None:
    true = 2 * part
    readings = [reading(12 * (i + 1), true + 0.1 * pull) for i, pull in enumerate(pulls)]
    assert rise.explain_rise(DOSE, STATED, NONE, readings).cause in ("agrees", "volume", "either")


@given(st.floats(0.001, 0.05), st.lists(st.floats(-1, 1), min_size=2, max_size=5))
def test_a_loss_is_never_called_a_volume_alone(rate: float, pulls: list[float]) -> None:
    readings = [reading(12 * (i + 1), 2 * math.exp(-rate * 12 * (i + 1)) + 0.1 * pull) for i, pull in enumerate(pulls)]
    assume(all(r.level.low > 0 for r in readings))
    assert rise.explain_rise(DOSE, STATED, NONE, readings).cause in ("agrees", "loss", "either")


@pytest.mark.parametrize("readings", [[], [reading(0, 2)], [reading(-1, 2)]])
def test_a_reading_after_the_dose_is_needed(readings: list[Reading]) -> None:
    with pytest.raises(ValueError, match="reading after the dose"):
        rise.explain_rise(DOSE, STATED, NONE, readings)


def test_a_volume_is_needed() -> None:
    with pytest.raises(ValueError, match="volume above zero"):
        rise.level_reckoned(DOSE, Figure.exact(0, "L"), NONE)
