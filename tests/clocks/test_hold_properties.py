"""What holds for every hold: order, bounds, and which way one more event can push it."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from clocks.histories import ABROAD, NEARLY, after, in_utc, not_later, small_rule, sound
from pratique.clocks.hold import HoldRule, LevelChange, Reading, hold_clock
from pratique.clocks.moments import hours_between

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
