"""The clock of a held level: histories as cases."""

from __future__ import annotations

import datetime as dt

import pytest

from clocks.histories import after, daily, day, in_utc, read, same, small_rule, whats
from pratique.clocks.hold import Band, HoldRule, LevelChange, Reading, hold_clock
from pratique.clocks.moments import hours_later
from pratique.logbook import entry
from pratique.logbook.amount import read_quantity
from pratique.logbook.book import build_log

RESTART, STOP = small_rule(), small_rule(below="stop")


def test_cu_clock_01_day_one_is_the_second_of_two_readings_in_range() -> None:
    """cu_clock_01: readings 0.10, 0.15, 0.15 on three checks; day one is the third check."""
    band = Band(unit="mg/L", floor=0.15, ceiling=0.20, gap=30.0)
    checks = [read(0, 0.10), read(12, 0.15), read(24, 0.15)]
    second = HoldRule(band=band, needed=336, start="second")
    assert same(hold_clock(checks, rule=second, at=after(30)).started, checks[2].at)
    first = HoldRule(band=band, needed=336, start="first")
    assert same(hold_clock(checks, rule=first, at=after(30)).started, checks[1].at)


def test_the_other_choice_stands_beside_the_chosen_one() -> None:
    state = hold_clock([read(0, 2.2), read(24, 2.2)], rule=RESTART, at=after(30))
    other = {found.choice: found for found in state.instead}
    assert set(other) == {"below: stop", "start: second"}
    assert state.counted == 30
    assert other["start: second"].counted == 6
    assert same(other["start: second"].done_at, after(264))


def test_a_hold_runs_to_its_end() -> None:
    state = hold_clock(daily(0, 240, 2.2), rule=RESTART, at=day(12))
    assert same(state.finished, day(10))
    assert same(state.done_at, day(10))
    assert (state.counted, state.breaks, state.unknown, state.due) == (240, (), (), ())


def test_what_comes_after_the_end_does_not_undo_it() -> None:
    state = hold_clock([*daily(0, 240, 2.2), read(250, 0.5)], rule=RESTART, at=day(12))
    assert same(state.finished, day(10))


def test_an_end_that_only_rests_on_carrying_is_undone_by_a_low_reading() -> None:
    readings = daily(0, 216, 2.2)
    assert same(hold_clock(readings, rule=STOP, at=after(245)).finished, day(10))
    assert hold_clock([*readings, read(246, 1.5)], rule=STOP, at=after(247)).finished is None


# --- a dip below the floor ------------------------------------------------------------------------------

DIP = [*daily(0, 72, 2.2), read(96, 1.7, entry_id="low"), *daily(120, 168, 2.2)]


def test_a_dip_starts_the_count_again() -> None:
    state = hold_clock(DIP, rule=RESTART, at=after(170))
    assert same(state.started, after(120))
    assert same(state.first_started, after(0))
    assert state.counted == 50
    assert state.restarts == 1
    [found] = state.breaks
    assert same(found.at, after(96))
    assert (found.cost_hours, found.entry_id) == (120, "low")
    assert same(state.done_at, after(360))
    assert "below the floor: the count starts again, 72 h in band are lost" in whats(state)


def test_a_dip_stops_the_count_under_the_other_rule() -> None:
    state = hold_clock(DIP, rule=STOP, at=after(170))
    assert same(state.started, after(0))
    assert (state.counted, state.restarts, state.unbroken) == (122, 0, 50)
    assert [found.cost_hours for found in state.breaks] == [48]
    assert same(state.done_at, after(288))


@pytest.mark.parametrize(("rule", "choice", "end"), [(RESTART, "below: stop", 288), (STOP, "below: restart", 360)])
def test_each_rule_shows_what_the_other_would_cost(rule: HoldRule, choice: str, end: float) -> None:
    other = {found.choice: found for found in hold_clock(DIP, rule=rule, at=after(170)).instead}
    assert same(other[choice].done_at, after(end))


def test_a_dip_that_goes_on_costs_up_to_now() -> None:
    state = hold_clock(DIP[:5], rule=STOP, at=after(110))
    assert [found.cost_hours for found in state.breaks] == [38]
    assert state.slack == 0
    assert "out of band: nothing counts" in state.explain[-1].what


def test_nothing_counts_between_a_reading_in_band_and_one_below() -> None:
    """Seen from the day before, those hours counted; from now on, nobody knows when it fell."""
    assert hold_clock(DIP[:4], rule=STOP, at=after(95)).counted == 95
    assert hold_clock(DIP[:5], rule=STOP, at=after(96)).counted == 72


def test_after_a_restart_the_second_reading_is_asked_for_again() -> None:
    state = hold_clock(DIP, rule=small_rule(start="second"), at=after(170))
    assert same(state.started, after(144))


# --- the low end, not the face ----------------------------------------------------------------------------


def test_a_reading_in_band_only_by_its_face_is_unknown() -> None:
    """practice B6: held only if the lower bound is in band; 2.0 at ±5 % means 1.9 to 2.1."""
    state = hold_clock([read(0, 2.2, 0.1), read(24, 2.0, 0.1), read(48, 2.2, 0.1)], rule=RESTART, at=after(60))
    assert state.counted == 12
    assert state.restarts == 0
    assert sum(span.hours for span in state.unknown) == 48
    assert "nobody knows when it fell" in whats(state)
    assert "by its face" in whats(state)


def test_the_low_end_decides_the_start() -> None:
    assert hold_clock([read(0, 2.05, 0.1)], rule=RESTART, at=after(5)).started is None
    assert hold_clock([read(0, 2.10, 0.1)], rule=RESTART, at=after(5)).started is not None


def test_above_the_ceiling_counts_and_is_a_problem() -> None:
    state = hold_clock([read(0, 2.2), read(24, 2.7, entry_id="high")], rule=RESTART, at=after(30))
    assert state.counted == 30
    [problem] = state.problems
    assert problem.entry_id == "high"
    assert "above the ceiling of 2.5 mg/L" in problem.what


# --- what could only be guessed ---------------------------------------------------------------------------


def test_a_gap_longer_than_a_reading_carries_is_unknown() -> None:
    state = hold_clock([read(0, 2.2), read(100, 2.2)], rule=RESTART, at=after(110))
    assert state.counted == 36 + 10
    [span] = state.unknown
    assert same(span.start, after(36))
    assert same(span.end, after(100))
    assert "more than 36 h since the last reading in band" in span.why
    assert same(state.done_at, after(110 + 240 - 46))
    assert (state.restarts, state.breaks) == (0, ())


def test_what_a_reading_carries_is_the_slack() -> None:
    state = hold_clock([read(0, 2.2)], rule=RESTART, at=after(30))
    assert state.slack == 6
    [due] = state.due
    assert same(due.by, after(36))
    assert same(due.alert, after(24))


def test_past_that_nothing_counts_until_it_is_read() -> None:
    state = hold_clock([read(0, 2.2)], rule=RESTART, at=after(50))
    assert (state.counted, state.slack) == (36, 0)
    assert "could only be guessed" in state.explain[-1].what


def test_a_wrong_kit_says_nothing_of_the_level() -> None:
    """A kit of free copper reads chelated copper too low (practice B5): neither in band nor below it."""
    wrong = [read(24, 0.3, suits=False, entry_id="wrong"), read(48, 2.3, suits=False)]
    state = hold_clock([read(0, 2.2), *wrong], rule=RESTART, at=after(50))
    plain = hold_clock([read(0, 2.2)], rule=RESTART, at=after(50))
    assert (state.counted, state.restarts, state.unknown) == (36, 0, plain.unknown)
    assert [row.entry_id for row in state.problems] == ["wrong", ""]


def test_only_a_wrong_kit_never_starts_the_clock() -> None:
    state = hold_clock([read(0, 2.2, suits=False), read(24, 2.2, suits=False)], rule=RESTART, at=after(50))
    assert (state.started, state.counted) == (None, 0)
    assert "no reading in this water yet that suits the form" in whats(state)


def test_after_a_water_change_without_its_dose_the_level_is_unknown() -> None:
    change = LevelChange(at=after(10), effect="down", what="25 % changed without the dose", entry_id="c")
    state = hold_clock([read(0, 2.2), read(20, 2.1)], [change], rule=RESTART, at=after(24))
    assert state.counted == 10 + 4
    [span] = state.unknown
    assert (span.hours, span.entry_id) == (10, "c")


def test_a_change_noted_with_the_reading_came_after_it() -> None:
    change = LevelChange(at=after(0), effect="down")
    assert hold_clock([read(0, 2.2)], [change], rule=RESTART, at=after(5)).counted == 0


def test_a_change_this_very_moment_already_tells() -> None:
    change = LevelChange(at=after(5), effect="down", what="a change")
    state = hold_clock([read(0, 2.2)], [change], rule=RESTART, at=after(5))
    assert (state.counted, state.slack) == (5, 0)


def test_a_dose_into_a_held_level_breaks_nothing() -> None:
    dose = LevelChange(at=after(10), effect="up")
    assert hold_clock([read(0, 2.2), read(24, 2.3)], [dose], rule=RESTART, at=after(24)).counted == 24


def test_a_dose_into_a_low_level_may_have_brought_it_back_but_nobody_read_it() -> None:
    dose = LevelChange(at=after(25), effect="up", what="dosed")
    state = hold_clock([read(0, 2.2), read(24, 1.8)], [dose], rule=STOP, at=after(30))
    assert state.counted == 0
    assert "dosed, and not read since" in state.explain[-1].what


# --- when and in what order -------------------------------------------------------------------------------


def test_readings_entered_out_of_order() -> None:
    late = [DIP[4], DIP[0], DIP[6], DIP[2], DIP[5], DIP[1], DIP[7], DIP[3]]
    assert in_utc(hold_clock(late, rule=RESTART, at=after(170))) == in_utc(hold_clock(DIP, rule=RESTART, at=after(170)))


def test_of_two_readings_at_one_moment_the_worse_holds() -> None:
    state = hold_clock([read(0, 2.2), read(24, 2.2), read(24, 1.8)], rule=STOP, at=after(30))
    assert state.counted == 0


def test_two_readings_at_one_moment_do_not_follow_each_other() -> None:
    state = hold_clock([read(0, 2.2), read(0, 2.3)], rule=small_rule(start="second"), at=after(5))
    assert state.started is None


def test_two_readings_too_far_apart_do_not_follow_each_other() -> None:
    state = hold_clock([read(0, 2.2), read(40, 2.3)], rule=small_rule(start="second"), at=after(41))
    assert state.started is None
    assert "in band once" in whats(state)


def test_what_lies_after_the_moment_is_not_known_yet() -> None:
    assert hold_clock([read(0, 2.2), read(10, 1.0)], rule=RESTART, at=after(9)).counted == 9


def test_fish_that_come_into_a_held_level_count_from_then() -> None:
    state = hold_clock(daily(0, 72, 2.2), rule=RESTART, at=after(80), since=after(50))
    assert same(state.started, after(50))
    assert state.counted == 30
    low = hold_clock([read(0, 2.2), read(24, 1.8), read(48, 2.2)], rule=RESTART, at=after(60), since=after(40))
    assert same(low.started, after(48))
    assert low.breaks == ()


@pytest.mark.parametrize(("night", "lost"), [(dt.date(2027, 3, 28), -1), (dt.date(2027, 10, 31), 1)])
def test_a_clock_change_neither_gives_nor_takes_an_hour(night: dt.date, lost: int) -> None:
    """From noon to noon across a clock change there are 23 or 25 hours, and so many count."""
    noon = dt.datetime.combine(night - dt.timedelta(days=1), dt.time(12), tzinfo=after(0).tzinfo)
    readings = [Reading(at=noon, value=2.2, low=2.2, high=2.2)]
    state = hold_clock(readings, rule=RESTART, at=noon + dt.timedelta(days=1))
    assert state.counted == 24 + lost
    assert same(state.done_at, hours_later(noon, 240))


def test_a_keeper_who_writes_everything_on_sunday_from_paper() -> None:
    """The log orders by when things happened, not by when they were written: the clock stands the same."""

    def written(readings: list[Reading], when: dt.datetime | None) -> list[entry.Common]:
        return [
            entry.Reading(
                id=f"rrrrrr{'23456789'[n]}", at=one.at, written=when or one.at, tank="ward", what="copper",
                value=read_quantity(f"{one.value} mg/L", "copper"), kit="meter",
            )
            for n, one in enumerate(readings)
        ]  # fmt: skip

    def clock(entries: list[entry.Common]) -> object:
        log, findings = build_log(entries)
        assert findings == []
        fed = [
            Reading(at=one.at, value=one.value.value, low=one.value.value, high=one.value.value, entry_id=one.id)
            for one in log.of(entry.Reading)
        ]
        return in_utc(hold_clock(fed, rule=RESTART, at=after(170)))

    at_once = clock(written(DIP, None))
    on_sunday = clock(written(DIP, after(200))[::-1])
    assert on_sunday == at_once
