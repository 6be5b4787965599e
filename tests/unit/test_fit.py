"""Decay from readings: known courses are found again, ends hold the truth, models are told apart or not."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.water import bars, fit
from pratique.water.fit import Model, Reading
from validation import record

HOURS = (0.0, 6.0, 12.0, 24.0, 48.0)


def reading(hours: float, level: float, error: float, true: float | None = None) -> Reading:
    """A reading of `level`; its error is around it."""
    return Reading(hours=hours, level=Figure(value=level, unit="mg/L", low=level - error, high=level + error))


def course(model: Model, start: float, rate: float, hours: float) -> float:
    return start * math.exp(-rate * hours) if model == "first-order" else start - rate * hours


@given(st.sampled_from(("first-order", "linear")), st.floats(1, 100), st.floats(0.0005, 0.02))
def test_a_known_course_is_found_again(model: Model, start: float, part: float) -> None:
    rate = part if model == "first-order" else part * start
    readings = [reading(h, course(model, start, rate, h), 0.001 * start) for h in HOURS]
    found = fit.fit_decay(readings, model)
    assert found.rate.value == pytest.approx(rate)
    assert found.start.value == pytest.approx(start)
    assert found.possible
    assert found.misfit < 1e-6
    assert found.at(30).value == pytest.approx(course(model, start, rate, 30))


@given(
    st.sampled_from(("first-order", "linear")),
    st.floats(1, 100),
    st.floats(0.0, 0.015),
    st.floats(0.01, 0.1),
    st.lists(st.floats(-1, 1), min_size=5, max_size=5),
    st.floats(0, 60),
)
def test_the_ends_hold_the_truth(
    model: Model, start: float, part: float, error: float, pulls: list[float], when: float
) -> None:
    """Every reading true within its error: rate, start and level at any hour lie between the ends."""
    rate = part if model == "first-order" else part * start
    readings = [
        reading(h, course(model, start, rate, h) + pull * error * start, error * start)
        for h, pull in zip(HOURS, pulls, strict=True)
        if course(model, start, rate, h) > 2.1 * error * start
    ]
    if len(readings) < 2:
        return
    found = fit.fit_decay(readings, model)
    slack = 1 + 1e-9
    assert found.possible
    assert found.rate.low - 1e-12 <= rate <= found.rate.high * slack + 1e-12
    assert found.start.low <= start * slack
    assert start <= found.start.high * slack
    level = found.at(when)
    assert level.low <= level.value <= level.high
    assert level.low <= max(course(model, start, rate, when), 0.0) * slack
    assert max(course(model, start, rate, when), 0.0) <= level.high * slack


def test_the_line_is_the_one_of_another_library() -> None:
    hours, levels, errors = [0, 5, 9, 20, 31], [2.0, 1.7, 1.6, 1.2, 0.7], [0.1, 0.05, 0.1, 0.2, 0.1]
    cells = zip(hours, levels, errors, strict=True)
    found = fit.fit_decay([reading(h, level, e) for h, level, e in cells], "linear")
    slope, start = np.polyfit(hours, levels, 1, w=[1 / e for e in errors])
    record(
        "rate of a linear loss",
        "polyfit of numpy, weighed",
        100 * (found.rate.value / -slope - 1),
        "%",
        subject="dilution",
    )
    assert found.rate.value == pytest.approx(-slope)
    assert found.start.value == pytest.approx(start)


# --- half-life and the hour of a level ----------------------------------------------------------------


def test_half_lives() -> None:
    first = fit.fit_decay([reading(h, 2 * 0.5 ** (h / 12), 0.02) for h in (0, 12, 24)], "first-order")
    half = first.half_life()
    assert half is not None
    assert half.value == pytest.approx(12)
    assert half.low < 12 < half.high
    linear = fit.fit_decay([reading(h, 100 - 2 * h, 1) for h in (0, 12, 24)], "linear")
    half = linear.half_life()
    assert half is not None
    assert half.value == pytest.approx(25)
    assert half.low < 25 < half.high


# --- which model --------------------------------------------------------------------------------------


def test_two_readings_fit_both_and_tell_nothing() -> None:
    seen = fit.compare_models([reading(0, 100, 2), reading(24, 60, 2)])
    assert seen.first_order.possible
    assert seen.linear.possible
    assert not seen.told
    assert seen.settled_at is not None
    apart = seen.first_order.at(seen.settled_at).value - seen.linear.at(seen.settled_at).value
    assert abs(apart) > 4


@pytest.mark.parametrize("model", ["first-order", "linear"])
def test_enough_readings_tell(model: Model) -> None:
    rate = 0.05 if model == "first-order" else 1.8
    seen = fit.compare_models([reading(h, course(model, 100, rate, h), 2) for h in (0, 12, 24, 36, 48)])
    assert seen.told
    assert seen.better == model
    assert getattr(seen, model.replace("-", "_")).possible


def test_readings_that_fit_neither_tell_nothing_and_widen_the_ends() -> None:
    wild = [reading(0, 100, 1), reading(12, 40, 1), reading(24, 90, 1), reading(36, 30, 1)]
    seen = fit.compare_models(wild)
    assert not seen.told
    assert not seen.linear.possible
    assert seen.linear.misfit > 10
    tame = fit.fit_decay([reading(h, 100 - h, 1) for h in (0, 12, 24, 36)], "linear")
    assert seen.linear.rate.high - seen.linear.rate.low > 10 * (tame.rate.high - tame.rate.low)


def test_a_reading_no_different_from_zero_speaks_against_a_slow_loss() -> None:
    """It cannot be drawn on a scale of logarithms, but the curve must still pass under its upper end."""
    readings = [reading(0, 100, 2), reading(12, 50, 2), reading(24, 0, 2)]
    first = fit.fit_decay(readings, "first-order")
    assert first.rate.value == pytest.approx(math.log(2) / 12)
    assert not first.possible
    assert first.misfit > 10
    assert fit.compare_models(readings).told


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ([reading(0, 2, 0.1)], "two readings at different hours"),
        ([reading(5, 2, 0.1), reading(5, 1.9, 0.1)], "two readings at different hours"),
        ([reading(0, 2, 0.1), reading(5, 1.9, 0.0)], "without an error"),
        ([reading(0, 2, 0.1), reading(5, -0.1, 0.1)], "below zero"),
        ([reading(0, 2, 0.1), reading(5, 0.05, 0.1)], "differ from zero"),
    ],
)
def test_refusals(readings: list[Reading], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        fit.fit_decay(readings, "first-order")


# --- lines through bars -------------------------------------------------------------------------------

BARS = st.lists(st.tuples(st.sampled_from(range(10)), st.floats(-5, 5), st.floats(0.1, 2)), min_size=2, max_size=6)


@given(BARS, st.floats(-3, 3), st.floats(-3, 3))
def test_a_line_that_passes_is_not_denied(cells: list[tuple[int, float, float]], slope: float, start: float) -> None:
    """Bars laid around a line: `line_exists` must find one."""
    laid = [
        bars.Bar(
            x,
            start + slope * x + shift / 5 * error,
            start + slope * x + (shift / 5 - 1) * error,
            start + slope * x + (shift / 5 + 1) * error,
        )
        for x, shift, error in cells
    ]
    assert bars.line_exists(laid)
    if slope <= 0:
        assert bars.line_exists(laid, falling=True)


@given(BARS)
def test_a_line_that_is_said_to_exist_is_near_one_of_a_fine_search(cells: list[tuple[int, float, float]]) -> None:
    """Against brute force: where no line of a fine net passes bars made a little wider, none is said to."""
    laid = [bars.Bar(x, y, y - error, y + error) for x, y, error in cells]
    slopes = np.linspace(-15, 15, 601)
    gap = np.array([[bar.low - slope * bar.x for slope in slopes] for bar in laid]).max(axis=0)
    room = np.array([[bar.high - slope * bar.x for slope in slopes] for bar in laid]).min(axis=0)
    by_search = bool((gap <= room).any())
    nearly = bool((gap <= room + 0.5).any())  # half a step of the net, 0.025, over ten places, both ways
    found = bars.line_exists(laid)
    assert found or not by_search
    assert nearly or not found


def test_a_line_needs_two_places() -> None:
    with pytest.raises(ValueError, match="two places"):
        bars.fit_line([bars.Bar(1, 2, 1, 3), bars.Bar(1, 2, 1, 3)])
