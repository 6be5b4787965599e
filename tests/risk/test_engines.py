"""The two engines against each other, and both against sums that can be done by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.risk.course import Course, series
from pratique.risk.draws import Draws, Timing
from pratique.risk.simulate import simulate
from pratique.risk.survival import Integrator, _Walk, chance, chance_each
from risk_plans import STRAINS, courses, drawn_strains, few

HISTORIES = 3000
FIVE_ERRORS = 5.0


@settings(max_examples=60, deadline=None, derandomize=True)
@given(drawn_strains(), courses())
def test_the_engines_agree_within_the_error_of_the_simulation(draws: Draws, course: Course) -> None:
    integrated = float(chance(draws, course).mean())
    simulated = simulate(draws, course, HISTORIES, seed=7)
    error = math.sqrt(max(integrated * (1 - integrated), 1 / HISTORIES) / HISTORIES)
    assert simulated.low - FIVE_ERRORS * error <= integrated <= simulated.high + FIVE_ERRORS * error


@pytest.mark.parametrize("strain", sorted(STRAINS))
def test_the_errors_of_many_plans_are_those_of_chance_alone(strain: str) -> None:
    """Over plans of one strain the squared errors average one: neither engine leans to one side."""
    draws = few(STRAINS[strain], 4.0, 2.0)
    squares = []
    for hours in range(60, 420, 12):
        course = Course(spans=series([(float(hours), "transfers")] * 2, 26.0, start=float(hours % 24)))
        integrated = float(chance(draws, course).mean())
        if 0.01 < integrated < 0.99:
            found = simulate(draws, course, HISTORIES, seed=hours).low
            squares.append((found - integrated) ** 2 * HISTORIES / (integrated * (1 - integrated)))
    assert len(squares) > 4
    assert np.mean(squares) < 1 + 5 * math.sqrt(2 / len(squares))


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.sampled_from(sorted(STRAINS)), courses())
def test_courses_that_share_their_ends_are_what_each_is_alone(strain: str, course: Course) -> None:
    """What one walk leaves to the next is the same as walking it anew, but for the order in which a sum is added."""
    draws = STRAINS[strain]
    # a watch of 20 days, so that the first is long enough to be kept
    watch = replace(course.spans[-1], start=course.end, end=course.end + 480, pool=99, kind="observation")
    course = replace(course, spans=(*course.spans, watch))
    shared = Integrator(draws)
    first = shared.chance_each(course)
    assert first == pytest.approx(chance_each(draws, course), rel=1e-9, abs=1e-15)
    for other in (
        course.late(course.spans[0].end, 24.0), course.until(course.end - 48), course.with_move(0, 72.0),
        replace(course, leak=0.5), replace(course, light=course.light + 1), course.warmer(0.5), course,
    ):  # fmt: skip
        assert shared.chance_each(other) == pytest.approx(chance_each(draws, other), rel=1e-9, abs=1e-15)


def test_sharing_saves_the_walk_of_the_watch() -> None:
    course = Course(spans=series([(72.0, "transfers"), (1200.0, "observation")], 26.0))
    shared = Integrator(STRAINS["COL85"])
    shared.chance_each(course)
    again = _Walk(shared, course.with_move(0, 72.0))
    again.take_over(shared._walked[0])
    assert again.known - again.grid.start <= 144


def _sharp(hours_on: float, hours_off: float, reach: float) -> Draws:
    """A parasite whose times hardly vary, that keeps no hours."""
    model = few(STRAINS["COL85"], 1.0, 1.0)
    one = np.ones(model.count)

    def timing(hours: float) -> Timing:
        return Timing(log_hours=one * math.log(hours), spread=one * 1e-4, read_at=one * 26.0, slope=one * 0.0)

    return replace(
        model, stay=timing(hours_on), release=timing(hours_off), reach=one * reach, rhythm=one * 0.0,
        fade=one * 0.1, life=one * 24.0,
    )  # fmt: skip


def test_what_is_still_to_come_of_a_stay_is_even_over_its_length() -> None:
    """Met at an even age, a stay of 100 h has more than 60 h left in two of five cases."""
    course = Course(spans=series([(60.0, "observation")], 26.0, start=0.0))
    assert chance_each(_sharp(100.0, 400.0, 1.0), course) == pytest.approx(0.4, abs=0.006)


def test_a_generation_is_a_poisson_number() -> None:
    """All leave within 60 h and open 60 h later; of those that settle one is enough: 1 - exp(-reach), by hand."""
    course = Course(spans=series([(120.0, "observation")], 26.0, start=0.0))
    assert chance_each(_sharp(60.0, 60.0, 1.5), course) == pytest.approx(1 - math.exp(-1.5), abs=0.03)


def test_two_generations_are_the_poisson_of_a_poisson() -> None:
    """Known of branching processes: the chance of dying out is the generating function, applied twice."""
    course = Course(spans=series([(240.0, "observation")], 26.0, start=0.0))
    once = math.exp(-1.5)
    twice = math.exp(-1.5 * (1 - once))
    assert chance_each(_sharp(60.0, 60.0, 1.5), course) == pytest.approx(1 - twice, abs=0.06)


def test_nothing_gets_through_a_clean_tank_after_every_stay_is_over() -> None:
    course = Course(spans=series([(72.0, "transfers"), (72.0, "transfers")], 26.0, start=0.0))
    assert chance_each(_sharp(60.0, 100.0, 300.0), course) == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(drawn_strains(), courses())
def test_copper_never_raises_and_more_parasites_never_lower_the_chance(draws: Draws, course: Course) -> None:
    plain = replace(course, held=())
    under = replace(course, held=((course.start, course.end),))
    assert (chance(draws, under) <= chance(draws, course) + 1e-9).all()
    assert (chance(draws, course) <= chance(draws, plain) + 1e-9).all()
    more = replace(draws, burden=draws.burden * 3)
    assert (chance(more, course) >= chance(draws, course) - 1e-12).all()


def test_a_seed_gives_the_same_histories() -> None:
    draws, course = few(STRAINS["CB97"], 5.0, 3.0), Course(spans=series([(200.0, "observation")], 26.0))
    assert simulate(draws, course, 500, seed=3) == simulate(draws, course, 500, seed=3)
    assert simulate(draws, course, 500, seed=3) != simulate(draws, course, 500, seed=4)


def test_a_simulation_that_had_to_cut_says_so_and_brackets_the_truth() -> None:
    """The fast strain at 72 h grows and is then left behind: histories are cut, and the truth is between the ends."""
    draws = replace(STRAINS["PV16B"], reach=np.full(12, 250.0), burden=np.full(12, 100.0))
    course = Course(spans=series([(72.0, "transfers")] * 4 + [(240.0, "observation")], 26.0))
    found = simulate(draws, course, 2000, seed=1)
    assert found.cut > 0
    integrated = float(chance(draws, course).mean())
    assert found.low - 5 * found.error <= integrated <= found.high + 5 * found.error


@pytest.mark.parametrize("leak", [0.0, 0.3])
def test_copper_all_the_while_is_a_smaller_reach(leak: float) -> None:
    """Of a Poisson number so many that get past are a Poisson number too: the law of thinning, for both engines."""
    draws = few(STRAINS["COL85"], 12.0, 1.0)
    spans = series([(40 * 24.0, "observation")], 26.0, start=18.0)
    under = Course(spans=spans, held=((spans[0].start, spans[-1].end),), leak=leak)
    fewer = replace(draws, reach=draws.reach * leak)
    bare = Course(spans=spans)
    assert chance(draws, under) == pytest.approx(chance(fewer, bare), abs=1e-9)
    integrated = float(chance(fewer, bare).mean())
    error = math.sqrt(max(integrated * (1 - integrated), 1 / 20000) / 20000)
    for plan, drawn in ((under, draws), (bare, fewer), (replace(bare, leak=leak), fewer)):
        found = simulate(drawn, plan, 20000, seed=2)
        assert abs(found.low - integrated) <= 4 * error
