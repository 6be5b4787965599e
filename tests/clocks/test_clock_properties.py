"""What holds for every history: order, bounds, and which way one more event can push a clock."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest
from clocks.histories import ABROAD, BEGIN, HOME, TRANSFERS, VELVET, WATCH, WHITE_SPOT, after, in_utc, small_rule
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.clocks.fallow import Brought, FallowRule, Fish, fallow_clock
from pratique.clocks.hold import HoldRule, LevelChange, Reading, hold_clock
from pratique.clocks.moments import hours_between
from pratique.clocks.state import ClockState
from pratique.clocks.transfers import Move, TankEvent, transfer_clock
from pratique.clocks.warmth import Temperature
from pratique.clocks.watch import WatchEvent, watch_clock

assert TRANSFERS is not None
MOVES = TRANSFERS

NEARLY = 1e-5
HOURS = st.integers(0, 1600).map(lambda quarters: quarters / 4)
LATER = st.integers(1600, 2600).map(lambda quarters: quarters / 4)
LEVELS = st.integers(15, 28).map(lambda tenths: tenths / 10)
RULES = [
    small_rule(start=start, below=below, needed=needed)
    for start in ("first", "second")
    for below in ("restart", "stop")
    for needed in (96.0, 1e6)
]


@st.composite
def readings(draw: st.DrawFn) -> Reading:
    value, error = draw(LEVELS), draw(st.sampled_from([0.0, 0.1]))
    return Reading(
        at=after(draw(HOURS)), value=value, low=value - error, high=value + error,
        suits=draw(st.booleans()) or draw(st.booleans()), entry_id=draw(st.sampled_from("abcdef")),
    )  # fmt: skip


CHANGES = st.builds(
    lambda hour, effect: LevelChange(at=after(hour), effect=effect), HOURS, st.sampled_from(["up", "down", "unknown"])
)
HISTORY = st.lists(readings(), max_size=14)
ACTS = st.lists(CHANGES, max_size=4)
RULE = st.sampled_from(RULES)


def not_later(one: dt.datetime | None, other: dt.datetime | None) -> bool:
    """True where `one` is no later than `other`; no date at all is the latest."""
    if other is None:
        return True
    return one is not None and hours_between(one, other) >= -NEARLY


def sound(state: ClockState) -> None:
    """What every state of every clock keeps to."""
    assert state.counted >= 0
    if state.started is not None:
        assert state.counted <= hours_between(state.started, state.at) + NEARLY
        assert state.first_started is not None
        assert hours_between(state.first_started, state.started) >= 0
    if state.finished is not None:
        assert hours_between(state.finished, state.at) >= -NEARLY
    elif state.done_at is not None:
        assert hours_between(state.at, state.done_at) >= -NEARLY or state.kind == "transfers"
    assert all(found.cost_hours >= 0 for found in state.breaks)
    assert all(span.hours > 0 for span in state.unknown)
    assert all(found.tzinfo is state.at.tzinfo for row in state.explain if (found := row.at) is not None)


# --- held levels ------------------------------------------------------------------------------------------


@given(HISTORY, ACTS, RULE, LATER, st.randoms())
def test_a_hold_does_not_hang_on_the_order_of_writing(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float, chance: Any
) -> None:
    state = hold_clock(history, acts, rule=rule, at=after(hour))
    sound(state)
    shuffled, mixed = list(history), list(acts)
    chance.shuffle(shuffled)
    chance.shuffle(mixed)
    assert in_utc(hold_clock(shuffled, mixed, rule=rule, at=after(hour))) == in_utc(state)


@given(HISTORY, ACTS, RULE, LATER)
def test_a_hold_is_the_same_in_every_zone(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float
) -> None:
    abroad = [replace(one, at=one.at.astimezone(ABROAD)) for one in history]
    acted = [replace(one, at=one.at.astimezone(dt.UTC)) for one in acts]
    there = hold_clock(abroad, acted, rule=rule, at=after(hour).astimezone(ABROAD))
    assert in_utc(there) == in_utc(hold_clock(history, acts, rule=rule, at=after(hour)))


@given(HISTORY, ACTS, RULE, LATER)
def test_every_hour_since_the_beginning_is_counted_lost_or_unknown(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float
) -> None:
    state = hold_clock(history, acts, rule=rule, at=after(hour))
    if state.first_started is not None:
        end = state.finished or state.at
        unknown = sum(span.hours for span in state.unknown)
        lost = sum(found.cost_hours for found in state.breaks)
        assert abs(state.counted + unknown + lost - hours_between(state.first_started, end)) < NEARLY


@given(HISTORY, ACTS, RULE, LATER, HOURS, st.sampled_from([2.0, 2.3, 2.6]))
def test_one_more_reading_in_band_never_lowers_the_count(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float, more: float, value: float
) -> None:
    before = hold_clock(history, acts, rule=rule, at=after(hour))
    reading = Reading(at=after(more), value=value, low=value, high=value)
    state = hold_clock([*history, reading], acts, rule=rule, at=after(hour))
    assert state.counted >= before.counted - NEARLY
    assert not_later(state.done_at, before.done_at)


@given(st.lists(readings(), min_size=1, max_size=14), ACTS, RULE, LATER, st.data())
def test_a_lower_reading_never_raises_the_count(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float, data: st.DataObject
) -> None:
    index = data.draw(st.integers(0, len(history) - 1))
    down = data.draw(st.sampled_from([0.05, 0.1, 0.3, 1.0]))
    old = history[index]
    lower = replace(old, value=old.value - down, low=old.low - down, high=old.high - down)
    before = hold_clock(history, acts, rule=rule, at=after(hour))
    state = hold_clock([*history[:index], lower, *history[index + 1 :]], acts, rule=rule, at=after(hour))
    assert state.counted <= before.counted + NEARLY
    assert not_later(before.done_at, state.done_at)


@given(HISTORY, ACTS, RULE, LATER, CHANGES)
def test_one_more_change_that_lowers_the_level_never_raises_the_count(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float, change: LevelChange
) -> None:
    before = hold_clock(history, acts, rule=rule, at=after(hour))
    state = hold_clock(history, [*acts, replace(change, effect="down")], rule=rule, at=after(hour))
    assert state.counted <= before.counted + NEARLY


@given(HISTORY, ACTS, RULE, HOURS, HOURS)
def test_the_end_of_a_hold_only_moves_away(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, one: float, other: float
) -> None:
    """As time goes on the date holds, or moves later; what was to come cannot have been better than all going well."""
    early, late = sorted((one, other))
    first = hold_clock(history, acts, rule=rule, at=after(early))
    assert not_later(first.done_at, hold_clock(history, acts, rule=rule, at=after(late)).done_at)


@given(HISTORY, ACTS, LATER, st.sampled_from(["first", "second"]))
def test_the_stricter_rules_never_count_more(
    history: list[Reading], acts: list[LevelChange], hour: float, start: Any
) -> None:
    at = after(hour)
    counted = {
        (first, below): hold_clock(history, acts, rule=small_rule(start=first, below=below, needed=1e6), at=at).counted
        for first in ("first", "second")
        for below in ("restart", "stop")
    }
    assert counted[start, "restart"] <= counted[start, "stop"] + NEARLY
    assert counted["second", "stop"] <= counted["first", "stop"] + NEARLY


@given(HISTORY, ACTS, RULE, LATER, st.lists(readings(), max_size=4))
def test_a_kit_that_does_not_suit_changes_nothing(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float, more: list[Reading]
) -> None:
    wrong = [replace(one, suits=False) for one in more]
    state = hold_clock([*history, *wrong], acts, rule=rule, at=after(hour))
    before = hold_clock(history, acts, rule=rule, at=after(hour))
    assert in_utc(replace(state, explain=())) == in_utc(replace(before, explain=()))


@given(HISTORY, ACTS, RULE, LATER, HOURS)
def test_fish_that_came_later_have_no_more_hours(
    history: list[Reading], acts: list[LevelChange], rule: HoldRule, hour: float, since: float
) -> None:
    state = hold_clock(history, acts, rule=replace(rule, needed=1e6), at=after(hour), since=after(since))
    sound(state)
    if state.started is not None:
        assert hours_between(after(since), state.started) >= 0


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
    fish: list[Fish], brought: list[Brought], temperatures: list[Temperature], rule: FallowRule, hour: float, chance: Any
) -> None:
    state = empty(fish, brought, temperatures, rule, hour)
    sound(state)
    mixed = [list(fish), list(brought), list(temperatures)]
    for events in mixed:
        chance.shuffle(events)
    assert in_utc(empty(*mixed, rule, hour)) == in_utc(state)  # type: ignore[arg-type]
    abroad = [replace(one, at=one.at.astimezone(ABROAD)) for one in fish]
    assert in_utc(empty(abroad, brought, temperatures, rule, hour)) == in_utc(state)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, DAYS)
def test_one_more_thing_brought_never_ends_a_fallow_sooner(
    fish: list[Fish], brought: list[Brought], temperatures: list[Temperature], rule: FallowRule, hour: float, more: float
) -> None:
    before = empty(fish, brought, temperatures, rule, hour)
    if before.started is None:
        return
    state = empty(fish, [*brought, Brought(at=after(more), what="rock")], temperatures, rule, hour)
    assert not_later(before.done_at, state.done_at)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, DAYS, st.sampled_from([-1, 1]))
def test_one_more_fish_never_ends_a_fallow_sooner(
    fish: list[Fish], brought: list[Brought], temperatures: list[Temperature], rule: FallowRule, hour: float,
    more: float, change: int,
) -> None:  # fmt: skip
    """One more of a name that nobody else has: it came, or it left and so had been there."""
    before = empty(fish, brought, temperatures, rule, hour)
    if before.started is None:
        return
    state = empty([*fish, Fish(at=after(more), change=change, who="wrasse")], brought, temperatures, rule, hour)
    assert not_later(before.done_at, state.done_at)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, WEEKS)
def test_without_news_the_end_of_a_fallow_only_moves_away(
    fish: list[Fish], brought: list[Brought], temperatures: list[Temperature], rule: FallowRule, one: float, other: float
) -> None:
    early, late = sorted((one, other))
    first = empty(fish, brought, temperatures, rule, early)
    assert not_later(first.done_at, empty(fish, brought, temperatures, rule, late).done_at)


@given(FISH, BROUGHT, WARM, AGENT, WEEKS, st.data())
def test_colder_water_never_ends_a_fallow_sooner(
    fish: list[Fish], brought: list[Brought], temperatures: list[Temperature], rule: FallowRule, hour: float,
    data: st.DataObject,
) -> None:  # fmt: skip
    mild = [one for one in temperatures if one.value < 34]
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
