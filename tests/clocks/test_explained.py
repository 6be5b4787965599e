"""What each clock says of a history, sentence for sentence, each with its moment; hours worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clocks.histories import BEGIN, HOME, WATCH, after, broken, daily, day, hours, read, said, small_rule
from pratique.clocks.hold import LevelChange, hold_clock
from pratique.clocks.state import measured, spoken
from pratique.clocks.watch import WatchEvent, watch_clock
from pratique.knowledge import store

# --- lengths and readings in words ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (0, "0 h"),
        (0.5, "30 min"),
        (0.99, "59 min"),
        (1, "1 h"),
        (1.25, "1.2 h"),
        (96, "96 h"),
        (97, "4 days"),
        (100, "4.2 days"),
        (1824, "76 days"),
    ],
)
def test_a_length_of_time_in_words(length: float, words: str) -> None:
    assert spoken(length) == words


def test_a_reading_shows_its_range_where_it_has_one() -> None:
    assert measured(2.1, 2.0, 2.2, "mg/L") == "2.10 mg/L (2.00 to 2.20)"
    assert measured(2.1, 2.1, 2.1, "mg/L") == "2.10 mg/L"


def test_what_remains_is_never_below_nought() -> None:
    state = watch_clock(BEGIN, rule=WATCH, at=day(3), zone=HOME)
    assert (state.remaining, state.is_finished, state.steps, state.steps_needed) == (87 * 24, False, 0, 0)
    over = watch_clock(BEGIN, rule=WATCH, at=day(95), zone=HOME)
    assert (over.remaining, over.is_finished) == (0, True)


# --- the watch --------------------------------------------------------------------------------------------


def test_a_watch_with_a_sign_a_death_and_days_unseen() -> None:
    events = [
        WatchEvent(at=day(2), kind="sign", what="flashing", entry_id="s"),
        WatchEvent(at=day(4), kind="look"),
        WatchEvent(at=day(6), kind="death", entry_id="d"),
    ]
    state = watch_clock(BEGIN, events, rule=WATCH, at=day(8), zone=HOME)
    assert said(state) == [
        ("start", 0, "day one: all are in, and the last treatment is over", ""),
        ("restart", 48, "a sign of disease seen: flashing; day one again, 48 h are lost", "s"),
        ("unknown", 63, "no look on record on 3 days: they count, and prove nothing", ""),
        ("problem", 144, WATCH.titles["death"], "d"),
        ("now", 192, "6 days of 90 days without a new animal or a sign", ""),
    ]
    assert [(hours(span.start), hours(span.end)) for span in state.unknown] == [(63, 87), (111, 135), (159, 183)]
    assert (state.restarts, state.counted) == (1, 144)


def test_the_days_of_a_watch_have_the_published_range() -> None:
    """agents 19: the range of the observation as knowledge gives it, whether or not it is one."""
    days = store.treatment("observation").needed("days")
    state = watch_clock(BEGIN, rule=WATCH, at=day(1), zone=HOME)
    assert (state.needed_low, state.needed_high) == (days.low or days.value, days.high or days.value)
    for low, high, shown in [(720.0, 2400.0, (720, 2400)), (None, None, (2160, 2160))]:
        rule = replace(WATCH, needed_low=low, needed_high=high)
        state = watch_clock(BEGIN, rule=rule, at=day(1), zone=HOME)
        assert (state.needed_low, state.needed_high) == shown


def test_days_unseen_that_touch_are_one_gap_each() -> None:
    """Looked at on days 1, 3 and 24 of the wall calendar: one day, then twenty days."""
    events = [WatchEvent(at=day(number), kind="look") for number in (2, 23)]
    state = watch_clock(BEGIN, events, rule=WATCH, at=day(24), zone=HOME)
    assert [span.hours for span in state.unknown] == [24, 20 * 24]
    assert "no look on record on 21 days: they count, and prove nothing" in [row[2] for row in said(state)]


def test_a_watch_that_has_not_begun_says_so_and_nothing_else() -> None:
    for start in (None, day(2)):
        state = watch_clock(start, [], rule=WATCH, at=day(1), zone=HOME)
        assert said(state) == [("now", 24, "the watch has not begun", "")]
        assert (state.started, state.counted, state.done_at, state.unknown, state.breaks) == (None, 0, None, (), ())


def test_a_finished_watch_says_when() -> None:
    state = watch_clock(BEGIN, [], rule=WATCH, at=day(91), zone=HOME)
    assert ("done", 90 * 24, "the days of the watch are over", "") in said(state)
    assert said(state)[-1][:2] == ("now", 91 * 24)


# --- the hold ---------------------------------------------------------------------------------------------


def test_a_hold_with_a_dip_below_the_floor() -> None:
    readings = [read(0, 2.2), read(24, 2.2), read(48, 1.7, 0.1, entry_id="low"), read(72, 2.2), read(96, 2.2)]
    state = hold_clock(readings, rule=small_rule(), at=after(100))
    assert said(state) == [
        ("start", 0, "day one: the first reading in band, at its worse end", ""),
        ("restart", 48, "below the floor: the count starts again, 24 h in band are lost", "low"),
        ("start", 72, "day one again: the first reading in band, at its worse end", ""),
        ("now", 100, "in band; 28 h of 10 days counted", ""),
    ]
    assert broken(state) == [(48, "1.70 mg/L (1.60 to 1.80), below the floor of 2 mg/L", 72, "low")]
    assert state.explain[1].evidence == "1.70 mg/L (1.60 to 1.80)"


def test_a_hold_that_is_only_stopped() -> None:
    readings = [read(0, 2.2), read(24, 2.2), read(48, 1.7, entry_id="low"), read(72, 2.2), read(96, 2.2)]
    state = hold_clock(readings, rule=small_rule(below="stop"), at=after(100))
    assert said(state) == [
        ("start", 0, "day one: the first reading in band, at its worse end", ""),
        ("stop", 48, "below the floor: the count stops at the last reading in band", "low"),
        ("count", 72, "back in band: the count goes on", ""),
        ("now", 100, "in band; 52 h of 10 days counted", ""),
    ]
    assert broken(state) == [(48, "1.70 mg/L, below the floor of 2 mg/L", 48, "low")]


def test_a_hold_with_stretches_that_nobody_knows() -> None:
    """A reading carries 36 h, and after a change nobody knows: 36 + 60 + 12 + 10 h count."""
    change = LevelChange(at=after(144), effect="down", what="10 L changed", entry_id="c")
    plain = LevelChange(at=after(164), effect="unknown", entry_id="u")
    readings = [read(hour, 2.2) for hour in (0, 60, 84, 132, 154)]
    assert hold_clock([read(0, 2.2, entry_id="r")], rule=small_rule(), at=after(50)).unknown[0].entry_id == "r"
    state = hold_clock(readings, [change, plain], rule=small_rule(), at=after(174))
    gap = "more than 36 h since the last reading in band"
    guessed = "the level could only be guessed: nothing counts until it is read"
    assert said(state) == [
        ("start", 0, "day one: the first reading in band, at its worse end", ""),
        ("unknown", 36, f"unknown for 24 h, not counted: {gap}", ""),
        ("count", 60, "in band: the count goes on", ""),
        ("unknown", 120, f"unknown for 12 h, not counted: {gap}", ""),
        ("count", 132, "in band: the count goes on", ""),
        ("unknown", 144, "unknown for 10 h, not counted: 10 L changed, and not read since", "c"),
        ("count", 154, "in band: the count goes on", ""),
        ("unknown", 164, "unknown for 10 h, not counted: the level was changed, and not read since", "u"),
        ("now", 174, f"{guessed} (the level was changed, and not read since)", ""),
    ]
    assert (state.counted, state.unbroken) == (36 + 60 + 12 + 10, 0)


def test_a_level_that_was_doubtful_and_then_lost_fell_at_the_reading_that_showed_it() -> None:
    """12 h in band are lost at hour 36, and the 24 h until it is back in band."""
    readings = [read(0, 2.2), read(12, 2.2), read(24, 2.1, 0.2), read(36, 1.7, entry_id="low"), read(60, 2.2)]
    state = hold_clock(readings, rule=small_rule(), at=after(61))
    assert broken(state) == [(36, "1.70 mg/L, below the floor of 2 mg/L", 12 + 24, "low")]


def test_a_dose_ends_what_is_known_of_a_low_level_and_a_change_does_not() -> None:
    """After a reading below the floor a dose may bring it back; a water change can only take it lower."""
    readings = [read(0, 2.2), read(24, 1.7)]
    dosed = hold_clock(readings, [LevelChange(at=after(30), effect="up")], rule=small_rule(), at=after(40))
    guessed = "the level could only be guessed: nothing counts until it is read"
    assert dosed.explain[-1].what == f"{guessed} (the level was changed, and not read since)"
    changed = hold_clock(readings, [LevelChange(at=after(30), effect="down")], rule=small_rule(), at=after(40))
    assert changed.explain[-1].what == "out of band: nothing counts until a reading is back in it"


def test_a_full_hold_says_when_and_no_more() -> None:
    state = hold_clock(daily(0, 264, 2.2), rule=small_rule(), at=day(12))
    assert [row[:3] for row in said(state)] == [
        ("start", 0, "day one: the first reading in band, at its worse end"),
        ("done", 240, "10 days in band: the count is full"),
    ]


def test_a_hold_whose_day_one_is_the_second_reading() -> None:
    state = hold_clock([read(0, 2.2)], rule=small_rule(start="second"), at=after(1))
    assert [row[2] for row in said(state)] == ["in band once: day one is the next reading in band that follows it"]
    none = hold_clock([], rule=small_rule(), at=after(1))
    assert [row[2] for row in said(none)] == ["no reading in this water yet that suits the form: nothing counts"]


def test_a_reading_is_a_problem_from_its_own_moment_on() -> None:
    reading = read(5, 2.9, entry_id="high")
    assert hold_clock([reading], rule=small_rule(), at=after(4.9)).problems == ()
    [row] = hold_clock([reading], rule=small_rule(), at=after(5)).problems
    assert (row.what, row.entry_id) == ("above the ceiling of 2.5 mg/L: the hours count, and it is too much", "high")


def test_problems_of_one_moment_do_not_hang_on_the_order_of_writing() -> None:
    readings = [read(5, 2.9, entry_id="a", suits=False), read(5, 2.7, entry_id="b", suits=False)]
    one = hold_clock(readings, rule=small_rule(), at=after(6))
    other = hold_clock(readings[::-1], rule=small_rule(), at=after(6))
    assert [row.entry_id for row in one.problems] == [row.entry_id for row in other.problems] == ["b", "a"]
