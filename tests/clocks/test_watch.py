"""The clock of an observation: histories as cases."""

from __future__ import annotations

import datetime as dt

import pytest

from clocks.histories import ABROAD, BEGIN, HOME, WATCH, after, day, in_utc, same, whats
from pratique.clocks.state import ClockState
from pratique.clocks.watch import WatchEvent, watch_clock


def event(number: float, kind: str, what: str = "", entry_id: str = "") -> WatchEvent:
    return WatchEvent(at=day(number), kind=kind, what=what, entry_id=entry_id)


def looks(first: int, last: int) -> list[WatchEvent]:
    return [event(n, "look") for n in range(first, last + 1)]


def clock(events: list[WatchEvent], at: float, start: dt.datetime | None = BEGIN) -> ClockState:
    return watch_clock(start, events, rule=WATCH, at=day(at), zone=HOME)


def test_a_watch_runs_to_its_end() -> None:
    state = clock(looks(1, 89), 90)
    assert same(state.finished, day(90))
    assert (state.counted, state.needed, state.restarts, state.unknown) == (90 * 24, 90 * 24, 0, ())


def test_a_fish_added_on_day_18() -> None:
    state = clock([event(17, "arrived", "yellow tang", "a")], 20)
    assert same(state.started, day(17))
    assert same(state.first_started, BEGIN)
    assert (state.restarts, state.counted) == (1, 3 * 24)
    [found] = state.breaks
    assert (found.cost_hours, found.entry_id) == (17 * 24, "a")
    assert same(state.done_at, day(107))
    assert "a new animal in the same water: yellow tang; day one again, 17 days are lost" in whats(state)


@pytest.mark.parametrize("kind", ["arrived", "moved-in", "found", "sign", "wet-gear", "water"])
def test_what_restarts_a_watch(kind: str) -> None:
    assert same(clock([event(10, kind)], 12).started, day(10))


def test_a_death_is_said_and_restarts_nothing() -> None:
    state = clock([event(10, "death", "one chromis")], 12)
    assert same(state.started, BEGIN)
    assert "have it examined" in state.problems[0].what


def test_a_finished_watch_is_restarted_by_a_sign_while_the_fish_are_in_it() -> None:
    state = clock([event(95, "sign", "white-spots")], 96)
    assert state.finished is None
    assert same(state.done_at, day(185))


def test_days_without_a_look_are_gaps_not_breaks() -> None:
    seen = [*looks(1, 3), *looks(6, 9)]
    state = clock(seen, 10)
    assert (state.restarts, state.breaks, state.counted) == (0, (), 240)
    [gap] = state.unknown
    assert gap.start == dt.datetime(2027, 3, 5, tzinfo=HOME)
    assert gap.end == dt.datetime(2027, 3, 7, tzinfo=HOME)
    assert "no look on record on 2 days" in whats(state)


def test_today_and_the_first_day_are_no_gaps() -> None:
    assert clock([], 1.4).unknown == ()
    assert len(clock([], 2.1).unknown) == 1


def test_a_sign_shows_that_somebody_looked() -> None:
    assert clock([event(1, "sign")], 2.1).unknown == ()


def test_a_day_of_a_clock_change_is_one_day() -> None:
    start = dt.datetime(2027, 3, 26, 9, tzinfo=HOME)
    state = watch_clock(start, [], rule=WATCH, at=dt.datetime(2027, 3, 30, 9, tzinfo=HOME), zone=HOME)
    assert [span.hours for span in state.unknown] == [24 + 23 + 24]
    assert "on 3 days" in whats(state)
    assert state.counted == 95


# --- when and in what order -------------------------------------------------------------------------------


def test_events_in_any_order_and_from_another_zone() -> None:
    events = [event(3, "look"), event(5, "sign", "dust"), event(9, "arrived"), event(9, "look")]
    abroad = [WatchEvent(at=one.at.astimezone(ABROAD), kind=one.kind, what=one.what) for one in events[::-1]]
    there = watch_clock(BEGIN.astimezone(ABROAD), abroad, rule=WATCH, at=day(12).astimezone(ABROAD), zone=HOME)
    assert in_utc(there) == in_utc(clock(events, 12))


def test_what_happened_before_it_began_does_not_matter() -> None:
    assert clock([event(-3, "sign")], 2).restarts == 0


def test_not_begun() -> None:
    for start in (None, after(100)):
        state = clock([], 1, start)
        assert (state.started, state.counted, state.done_at) == (None, 0, None)


def test_an_event_nobody_declared_is_refused() -> None:
    with pytest.raises(ValueError, match="no such event of a watch"):
        clock([event(1, "thunder")], 2)
