"""What holds for every series, watch and fallow: order, bounds, and which way one more event can push it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clocks.histories import (
    ABROAD,
    BEGIN,
    HOME,
    NEARLY,
    TRANSFERS,
    VELVET,
    WATCH,
    WHITE_SPOT,
    after,
    in_utc,
    not_later,
    sound,
)
from pratique.clocks.fallow import Brought, FallowRule, Fish, fallow_clock
from pratique.clocks.moments import hours_between
from pratique.clocks.state import ClockState
from pratique.clocks.transfers import Move, TankEvent, transfer_clock
from pratique.clocks.warmth import Temperature
from pratique.clocks.watch import WatchEvent, watch_clock

assert TRANSFERS is not None
MOVES = TRANSFERS

HOURS = st.integers(0, 1600).map(lambda quarters: quarters / 4)
LATER = st.integers(1600, 2600).map(lambda quarters: quarters / 4)

# --- transfers --------------------------------------------------------------------------------------------

TANKS = st.sampled_from(["q1", "q2", "q3"])
SERIES = st.lists(st.builds(lambda hour, tank: Move(at=after(hour), to=tank), HOURS, TANKS), max_size=9)
DRIED = st.lists(
    st.builds(lambda hour, tank, what: TankEvent(at=after(hour), tank=tank, what=what), HOURS, TANKS,
              st.sampled_from(["dry", "left"])), max_size=9,
)  # fmt: skip


def moved(moves: list[Move], tanks: list[TankEvent], hour: float) -> ClockState:
    return transfer_clock(moves, tanks, rule=MOVES, at=after(hour), zone=HOME)


@given(SERIES, DRIED, LATER, st.randoms())
def test_a_series_does_not_hang_on_the_order_of_writing(
    moves: list[Move], tanks: list[TankEvent], hour: float, chance: Any
) -> None:
    state = moved(moves, tanks, hour)
    sound(state)
    shuffled, mixed = list(moves), list(tanks)
    chance.shuffle(shuffled)
    chance.shuffle(mixed)
    assert in_utc(moved(shuffled, mixed, hour)) == in_utc(state)


@given(SERIES, DRIED, LATER)
def test_a_series_is_the_same_in_every_zone(moves: list[Move], tanks: list[TankEvent], hour: float) -> None:
    abroad = [replace(one, at=one.at.astimezone(ABROAD)) for one in moves]
    there = transfer_clock(abroad, tanks, rule=MOVES, at=after(hour).astimezone(ABROAD), zone=HOME)
    assert in_utc(there) == in_utc(moved(moves, tanks, hour))


@given(SERIES, DRIED, LATER, LATER)
def test_without_a_move_the_end_of_a_series_only_moves_away(
    moves: list[Move], tanks: list[TankEvent], one: float, other: float
) -> None:
    early, late = sorted((one, other))
    if moves:
        assert not_later(moved(moves, tanks, early).done_at, moved(moves, tanks, late).done_at)


@given(SERIES, DRIED, LATER, TANKS)
def test_wetter_tanks_never_bring_the_end_nearer(
    moves: list[Move], tanks: list[TankEvent], hour: float, tank: str
) -> None:
    fewer = [event for event in tanks if event.what == "dry"]
    first = [TankEvent(at=after(-1), tank=tank, what="left")]
    before, state = moved(moves, fewer, hour), moved(moves, [*fewer, *first], hour)
    assert state.restarts >= before.restarts or state.counted <= before.counted + NEARLY


# --- observation ------------------------------------------------------------------------------------------

KINDS = st.sampled_from(["arrived", "moved-in", "sign", "wet-gear", "look", "death"])
EVENTS = st.lists(st.builds(lambda hour, kind: WatchEvent(at=after(hour), kind=kind), HOURS, KINDS), max_size=12)


def watched(events: list[WatchEvent], hour: float) -> ClockState:
    return watch_clock(BEGIN, events, rule=WATCH, at=after(hour), zone=HOME)


@given(EVENTS, LATER, st.randoms())
def test_a_watch_does_not_hang_on_the_order_of_writing(events: list[WatchEvent], hour: float, chance: Any) -> None:
    state = watched(events, hour)
    sound(state)
    shuffled = list(events)
    chance.shuffle(shuffled)
    assert in_utc(watched(shuffled, hour)) == in_utc(state)
    abroad = [replace(one, at=one.at.astimezone(ABROAD)) for one in events]
    assert in_utc(watched(abroad, hour)) == in_utc(state)


@given(EVENTS, LATER, HOURS, KINDS)
def test_one_more_event_never_ends_a_watch_sooner(
    events: list[WatchEvent], hour: float, more: float, kind: str
) -> None:
    before = watched(events, hour)
    state = watched([*events, WatchEvent(at=after(more), kind=kind)], hour)
    assert not_later(before.done_at, state.done_at)
    assert state.counted <= before.counted + NEARLY


@given(EVENTS, HOURS, HOURS)
def test_the_costs_of_a_watch_add_up(events: list[WatchEvent], one: float, other: float) -> None:
    early, late = sorted((one, other))
    first, state = watched(events, early), watched(events, late)
    assert not_later(first.done_at, state.done_at)
    lost = sum(found.cost_hours for found in state.breaks)
    assert abs(lost + state.counted - hours_between(BEGIN, state.at)) < NEARLY


# --- water without fish -----------------------------------------------------------------------------------

NAMES = st.sampled_from(["tang", "goby"])
DAYS = st.integers(0, 400).map(lambda quarters: quarters * 6.0)
WEEKS = st.integers(400, 700).map(lambda quarters: quarters * 6.0)
FISH = st.lists(
    st.builds(lambda hour, count, who: Fish(at=after(hour), change=count, who=who), DAYS,
              st.sampled_from([-2, -1, 1]), NAMES), max_size=4,
)  # fmt: skip
BROUGHT = st.lists(
    st.builds(lambda hour, what: Brought(at=after(hour), what=what), DAYS,
              st.sampled_from(["rock", "coral", "raw-food"])), max_size=2,
)  # fmt: skip


@st.composite
def temperatures_of_weeks(draw: st.DrawFn) -> list[Temperature]:
    """A reading each day or so for some weeks, mostly warm; here and there one is cool, cold, hot or missing."""
    found = []
    hour = draw(DAYS) / 4
    for _ in range(draw(st.integers(0, 60))):
        degrees = draw(st.sampled_from([27.0, 27.5, 28.0, 27.0, 27.5, 28.0, 27.0, 27.5, 28.0, 25.0, 15.0, 35.0]))
        found.append(Temperature(at=after(hour), value=degrees, low=degrees, high=degrees))
        hour += draw(st.sampled_from([24.0, 24.0, 24.0, 24.0, 30.0, 36.0, 48.0]))
    return found


WARM = temperatures_of_weeks()
AGENT = st.sampled_from([WHITE_SPOT, VELVET])


def empty(
    fish: list[Fish], brought: list[Brought], temperatures: list[Temperature], rule: FallowRule, hour: float
) -> ClockState:
    return fallow_clock(fish, brought, temperatures, rule=rule, at=after(hour))


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, st.randoms())
def test_a_fallow_does_not_hang_on_the_order_of_writing(
    fish: list[Fish],
    brought: list[Brought],
    degrees: list[Temperature],
    rule: FallowRule,
    hour: float,
    chance: Any,
) -> None:
    state = empty(fish, brought, degrees, rule, hour)
    sound(state)
    mixed = [list(fish), list(brought), list(degrees)]
    for events in mixed:
        chance.shuffle(events)
    assert in_utc(empty(*mixed, rule, hour)) == in_utc(state)  # type: ignore[arg-type]
    abroad = [replace(one, at=one.at.astimezone(ABROAD)) for one in fish]
    assert in_utc(empty(abroad, brought, degrees, rule, hour)) == in_utc(state)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, DAYS)
def test_one_more_thing_brought_never_ends_a_fallow_sooner(
    fish: list[Fish],
    brought: list[Brought],
    degrees: list[Temperature],
    rule: FallowRule,
    hour: float,
    more: float,
) -> None:
    before = empty(fish, brought, degrees, rule, hour)
    if before.started is None:
        return
    state = empty(fish, [*brought, Brought(at=after(more), what="rock")], degrees, rule, hour)
    assert not_later(before.done_at, state.done_at)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, DAYS, st.sampled_from([-1, 1]))
def test_one_more_fish_never_ends_a_fallow_sooner(
    fish: list[Fish], brought: list[Brought], degrees: list[Temperature], rule: FallowRule, hour: float,
    more: float, change: int,
) -> None:  # fmt: skip
    """One more of a name that nobody else has: it came, or it left and so had been there."""
    before = empty(fish, brought, degrees, rule, hour)
    if before.started is None:
        return
    state = empty([*fish, Fish(at=after(more), change=change, who="wrasse")], brought, degrees, rule, hour)
    assert not_later(before.done_at, state.done_at)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, WEEKS)
def test_without_news_the_end_of_a_fallow_only_moves_away(
    fish: list[Fish],
    brought: list[Brought],
    degrees: list[Temperature],
    rule: FallowRule,
    one: float,
    other: float,
) -> None:
    early, late = sorted((one, other))
    first = empty(fish, brought, degrees, rule, early)
    assert not_later(first.done_at, empty(fish, brought, degrees, rule, late).done_at)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, st.data())
def test_colder_water_never_ends_a_fallow_sooner(
    fish: list[Fish], brought: list[Brought], degrees: list[Temperature], rule: FallowRule, hour: float,
    data: st.DataObject,
) -> None:  # fmt: skip
    mild = [one for one in degrees if one.value < 34]
    if not mild:
        return
    index = data.draw(st.integers(0, len(mild) - 1))
    colder = replace(mild[index], value=10.0, low=10.0, high=10.0)
    before = empty(fish, brought, mild, rule, hour)
    state = empty(fish, brought, [*mild[:index], colder, *mild[index + 1 :]], rule, hour)
    assert not_later(before.done_at, state.done_at)


@settings(max_examples=20)
@given(st.integers(0, 40), st.integers(1, 80))
def test_days_cost_what_they_last(first: int, days: int) -> None:
    """A fish added on day n of a watch costs n days, whatever n is."""
    state = watch_clock(
        BEGIN, [WatchEvent(at=after(24 * first), kind="arrived")], rule=WATCH, at=after(24 * (first + days)), zone=HOME
    )
    assert [found.cost_hours for found in state.breaks] == [pytest.approx(24 * first)]
