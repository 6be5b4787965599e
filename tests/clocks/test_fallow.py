"""The clock of a water without fish: histories as cases."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from clocks.histories import ABROAD, BEGIN, VELVET, WHITE_SPOT, after, day, in_utc, same, warm, whats
from pratique.clocks.fallow import Brought, FallowRule, Fish, Temperature, fallow_clock
from pratique.clocks.rules import fallow_rule
from pratique.clocks.state import ClockState
from pratique.knowledge import store

IN = Fish(at=day(-30), change=2, who="clownfish", entry_id="in")
OUT = Fish(at=day(0), change=-2, who="clownfish", entry_id="out")
FISH = [IN, OUT]


def clock(
    at: float,
    brought: list[Brought] | None = None,
    temperatures: list[Temperature] | None = None,
    *,
    fish: list[Fish] | None = None,
    rule: FallowRule = WHITE_SPOT,
) -> ClockState:
    return fallow_clock(fish or FISH, brought or [], temperatures or [], rule=rule, at=day(at))


def thing(number: float, what: str, **more: Any) -> Brought:
    return Brought(at=day(number), what=what, **more)


def every_day(first: int, last: int, degrees: float) -> list[Temperature]:
    return [warm(24 * n, degrees) for n in range(first, last + 1)]


# --- fish -------------------------------------------------------------------------------------------------


def test_it_begins_with_the_last_fish_out_of_the_whole_water() -> None:
    """practice B35: the clock belongs to the water; two tanks on one sump share it."""
    fish = [IN, OUT, Fish(at=day(-9), change=1, who="goby"), Fish(at=day(5), change=-1, who="goby")]
    state = clock(20, fish=fish)
    assert same(state.started, day(5))
    assert state.counted == 15 * 24
    assert same(state.done_at, day(5 + 76))


def test_with_a_fish_in_it_nothing_counts() -> None:
    state = clock(20, fish=[IN, Fish(at=day(0), change=-1, who="clownfish")])
    assert (state.started, state.counted, state.done_at) == (None, 0, None)
    assert "there are still fish in this water (`clownfish`)" in whats(state)


def test_a_hidden_fish_found_in_week_six() -> None:
    found = Fish(at=day(38), change=1, who="goby", found=True, entry_id="f")
    state = clock(39, fish=[*FISH, found])
    assert (state.started, state.done_at, state.restarts) == (None, None, 1)
    caught = Fish(at=day(40), change=-1, who="goby")
    state = clock(41, fish=[*FISH, found, caught])
    assert same(state.started, day(40))
    assert same(state.done_at, day(40 + 76))
    [broken] = state.breaks
    assert same(broken.at, day(38))
    assert (broken.cost_hours, broken.entry_id) == (40 * 24, "f")
    assert "it was there all the while (`goby`); 38 days are lost" in whats(state)


def test_found_and_caught_at_once() -> None:
    fish = [*FISH, Fish(at=day(38), change=-1, who="goby"), Fish(at=day(38), change=1, who="goby", found=True)]
    assert same(clock(39, fish=fish).started, day(38))


def test_a_fish_that_left_and_was_not_known_was_there_all_the_while() -> None:
    state = clock(39, fish=[*FISH, Fish(at=day(38), change=-1, who="goby")])
    assert same(state.started, day(38))
    assert state.restarts == 1
    assert "was not known to be in this water" in whats(state)


def test_a_finished_fallow_is_restarted_while_no_fish_are_put_in() -> None:
    assert same(clock(80).finished, day(76))
    assert clock(81, [thing(80, "water")]).finished is None


# --- what came from a water with fish ---------------------------------------------------------------------


@pytest.mark.parametrize("what", ["animal", "rock", "coral", "water", "wet-gear", "spray"])
def test_what_restarts_a_fallow(what: str) -> None:
    state = clock(30, [thing(20, what, entry_id="b")])
    assert same(state.started, day(20))
    assert [(found.cost_hours, found.entry_id) for found in state.breaks] == [(480, "b")]


def test_raw_food_matters_for_velvet_only() -> None:
    food = [thing(20, "raw-food")]
    assert same(clock(30, food).started, day(0))
    assert "no matter for this agent" in whats(clock(30, food))
    assert same(clock(30, food, every_day(0, 30, 25), rule=VELVET).started, day(20))


def test_a_water_that_never_had_fish_begins_with_what_came_last() -> None:
    state = fallow_clock([], [thing(0, "coral"), thing(3, "rock")], [], rule=WHITE_SPOT, at=day(5))
    assert same(state.started, day(3))
    empty = fallow_clock([], [], [], rule=WHITE_SPOT, at=day(5))
    assert (empty.started, empty.done_at) == (None, None)
    assert "no fish is on record to have left" in whats(empty)


# --- how warm ---------------------------------------------------------------------------------------------


def test_without_a_temperature_the_long_figure_holds() -> None:
    state = clock(50)
    assert (state.needed, state.slack) == (76 * 24, None)
    assert same(state.done_at, day(76))
    assert [span.hours for span in state.unknown] == [1200]


def test_warm_all_the_while_the_warm_figure_holds_with_its_range() -> None:
    state = clock(50, temperatures=every_day(0, 50, 27.5))
    assert (state.needed_low, state.needed, state.needed_high) == (42 * 24, 45 * 24, 45 * 24)
    assert same(state.finished, day(45))
    assert "AQ18" in state.explain[-1].evidence


def test_on_the_way_the_next_temperature_is_due() -> None:
    state = clock(20, temperatures=every_day(0, 20, 27.5))
    assert same(state.done_at, day(45))
    assert state.slack == 36
    [due] = state.due
    assert same(due.by, after(20 * 24 + 36))
    [other] = state.instead
    assert other.choice == "the long figure"
    assert same(other.done_at, day(76))


def test_the_warm_figure_is_counted_on_the_low_end() -> None:
    state = clock(20, temperatures=[warm(24 * n, 27.2, 0.5) for n in range(21)])
    assert state.needed == 76 * 24


def test_hotter_than_the_figure_was_read_for() -> None:
    assert clock(20, temperatures=every_day(0, 20, 34)).needed == 76 * 24


def test_a_cool_spell_in_a_warm_fallow() -> None:
    """Cool on day 20: warm again from day 21, so the warm figure ends on day 66, the long one on day 76."""
    temperatures = [*every_day(0, 19, 27.5), warm(480, 25.5), *every_day(21, 30, 27.5)]
    state = clock(30, temperatures=temperatures)
    assert same(state.done_at, day(66))
    assert (state.counted, state.needed, state.restarts) == (9 * 24, 45 * 24, 0)
    [found] = state.breaks
    assert same(found.at, day(19))
    assert found.cost_hours == 21 * 24
    assert found.why == "not at 27 degC or more"


def test_a_late_cool_spell_costs_no_more_than_the_long_figure() -> None:
    temperatures = [*every_day(0, 39, 27.5), warm(960, 25.5), *every_day(41, 42, 27.5)]
    state = clock(42, temperatures=temperatures)
    assert same(state.done_at, day(76))
    assert [found.cost_hours for found in state.breaks] == [31 * 24]


def test_days_without_a_temperature_end_the_warm_figure_too() -> None:
    state = clock(30, temperatures=[*every_day(0, 10, 27.5), *every_day(14, 30, 27.5)])
    assert same(state.done_at, day(14 + 45))
    assert state.breaks[0].why == "no temperature on record"


def test_a_temperature_from_before_it_began_carries_into_it() -> None:
    state = clock(2, temperatures=[warm(-12, 27.5), warm(12, 27.5), warm(36, 27.5)])
    assert same(state.done_at, day(45))


def test_in_water_too_cold_nothing_counts() -> None:
    """agents 18.8: below 24 degC the clock of velvet does not run."""
    temperatures = [*every_day(0, 10, 25), warm(264, 22), *every_day(12, 20, 25)]
    state = clock(20, temperatures=temperatures, rule=VELVET)
    assert state.counted == 18 * 24
    assert same(state.done_at, day(44))
    assert [found.cost_hours for found in state.breaks] == [24, 24]
    assert "the agent outlives the figure" in whats(state)


def test_a_cold_last_reading_stops_it_until_a_warmer_one() -> None:
    state = clock(20, temperatures=[*every_day(0, 10, 25), warm(264, 22)], rule=VELVET)
    assert state.counted == 240
    assert same(state.done_at, day(20 + 32))


# --- agents -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("id_", ["uronema", "vibrio", "lymphocystis", "ichthyobodo", "nematodes", "spironucleus"])
def test_what_lives_without_fish_gets_no_date_and_a_reason(id_: str) -> None:
    state = clock(200, rule=fallow_rule(store.pathogen(id_)))
    assert (state.needed, state.done_at, state.finished, state.remaining) == (None, None, None, None)
    assert state.problems[-1].what.startswith("no date is given: ")


def test_the_reason_is_the_one_on_file() -> None:
    assert "it lives without fish (COMMON, agents 16; C)" in whats(
        clock(9, rule=fallow_rule(store.pathogen("uronema")))
    )


@pytest.mark.parametrize("id_", store.pathogen_ids())
def test_each_agent_has_a_date_or_a_reason(id_: str) -> None:
    rule = fallow_rule(store.pathogen(id_))
    assert (rule.long is None) == bool(rule.no_date)
    state = clock(10, rule=rule)
    assert (state.done_at is None) == (rule.long is None)


# --- when and in what order -------------------------------------------------------------------------------


def test_any_order_and_another_zone() -> None:
    fish = [*FISH, Fish(at=day(9), change=1, who="goby", found=True), Fish(at=day(9), change=-1, who="goby")]
    temperatures = every_day(0, 30, 27.5)
    here = clock(30, [thing(3, "rock"), thing(4, "coral")], temperatures, fish=fish)
    there = fallow_clock(
        [Fish(at=one.at.astimezone(ABROAD), change=one.change, who=one.who, found=one.found, entry_id=one.entry_id)
         for one in fish[::-1]],
        [thing(4, "coral"), thing(3, "rock")], temperatures[::-1], rule=WHITE_SPOT, at=day(30).astimezone(ABROAD),
    )  # fmt: skip
    assert in_utc(there) == in_utc(here)


def test_at_its_very_beginning() -> None:
    state = fallow_clock(FISH, rule=WHITE_SPOT, at=day(0), temperatures=[warm(0, 27.5)])
    assert (state.counted, state.unknown) == (0, ())
    assert same(state.started, BEGIN)


def test_what_is_no_event_is_refused() -> None:
    with pytest.raises(ValueError, match="no such event of a fallow"):
        clock(9, [thing(1, "thunder")])
    with pytest.raises(ValueError, match="no event"):
        Fish(at=day(1), change=0)
    with pytest.raises(ValueError, match="outside its own range"):
        Temperature(at=dt.datetime(2027, 1, 1, tzinfo=dt.UTC), value=25, low=26, high=27)
