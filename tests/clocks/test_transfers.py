"""The clock of a transfer series: histories as cases."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from clocks.histories import ABROAD, BEGIN, HOME, TRANSFERS, after, in_utc, same, whats
from pratique.clocks.moments import hours_later
from pratique.clocks.rules import transfer_rule
from pratique.clocks.state import ClockState
from pratique.clocks.transfers import Move, TankEvent, TransferRule, transfer_clock
from pratique.knowledge import store

assert TRANSFERS is not None
RULE: TransferRule = TRANSFERS


def series(*hours: float, begin: dt.datetime = BEGIN) -> list[Move]:
    """Moves these hours after the first tank, between two tanks that are dried each time (`dried`)."""
    moves = [Move(at=begin, to="q0", entry_id="m0")]
    for number, hour in enumerate(hours, start=1):
        source, target = f"q{(number - 1) % 2}", f"q{number % 2}"
        moves.append(Move(at=after(hour, begin=begin), to=target, from_=source, entry_id=f"m{number}"))
    return moves


def dried(moves: list[Move]) -> list[TankEvent]:
    return [TankEvent(at=hours_later(move.at, 20), tank=move.from_, what="dry") for move in moves if move.from_]


def clock(
    moves: list[Move],
    at: float,
    rule: TransferRule = RULE,
    zone: dt.tzinfo = HOME,
    tanks: list[TankEvent] | None = None,
) -> ClockState:
    return transfer_clock(moves, dried(moves) if tanks is None else tanks, rule=rule, at=after(at), zone=zone)


def test_the_classic_series_of_days_1_4_7_10_13() -> None:
    """Moves a little under 72 h apart: four moves, and by the calendar twelve days."""
    state = clock(series(71, 142, 213, 284), 290)
    assert same(state.finished, after(284))
    assert (state.steps, state.steps_needed, state.restarts, state.breaks, state.due) == (4, 4, 0, (), ())


def test_what_is_due_and_by_when() -> None:
    state = clock(series(70), 80)
    assert [due.what for due in state.due] == ["move 2", "move 3", "move 4"]
    assert same(state.due[0].by, after(142))
    assert same(state.due[0].alert, after(130))
    assert state.slack == 62
    assert same(state.done_at, after(286))
    assert "move 2 of 4 within 62 h" in whats(state)


def test_a_move_73_5_hours_after_the_last_is_day_one_again() -> None:
    state = clock(series(72, 145.5), 150)
    assert same(state.started, after(145.5))
    assert same(state.first_started, BEGIN)
    assert (state.steps, state.restarts) == (0, 1)
    [found] = state.breaks
    assert found.why == "73.5 h after the last move, 1.5 h late"
    assert (found.cost_hours, found.entry_id) == (145.5, "m2")
    assert same(state.done_at, after(145.5 + 288))


def test_a_move_late_within_the_grace_costs_one_more_move() -> None:
    state = clock(series(72, 144.5), 150)
    assert (state.steps, state.steps_needed, state.restarts) == (2, 5, 0)
    assert [found.cost_hours for found in state.breaks] == [72]
    assert "one more move makes it good" in whats(state)
    assert same(state.done_at, after(144.5 + 216))
    [other] = state.instead
    assert other.choice == "grace: accept"
    assert same(other.done_at, after(144.5 + 144))


@pytest.mark.parametrize(("hours", "restarts", "steps"), [(72, 0, 1), (73, 0, 1), (73.1, 1, 0)])
def test_the_limit_and_the_grace_themselves_are_in_time(hours: float, restarts: int, steps: int) -> None:
    state = clock(series(hours), 80)
    assert (state.restarts, state.steps) == (restarts, steps)


def test_a_move_that_is_overdue_now() -> None:
    within = clock(series(70), 70 + 72.5)
    assert within.slack == -0.5
    assert same(within.due[0].by, after(143))
    assert within.problems
    lost = clock(series(70), 70 + 75)
    assert lost.due[0].what == "move into a clean, dry tank at once: day one again"
    assert same(lost.done_at, after(145 + 288))
    assert lost.counted == 142


def test_an_early_move_counts_and_brings_the_end_no_nearer() -> None:
    """practice B17 sets a latest hour, no earliest; the least number of days stands."""

    def fresh(*hours: float) -> list[Move]:
        return [replace(move, to=f"t{n}", from_="") for n, move in enumerate(series(*hours))]

    state = clock(fresh(30, 60, 90, 120), 121)
    assert (state.steps, state.finished) == (4, None)
    assert "sooner than any interval that was tried" in whats(state)
    assert same(clock(fresh(30, 60, 90, 120, 190, 260, 289), 300).finished, after(289))


def test_four_moves_in_eleven_days_are_not_enough() -> None:
    assert clock(series(60, 120, 180, 240), 245).finished is None
    assert same(clock(series(60, 120, 180, 240, 300), 301).finished, after(300))


# --- wet tanks --------------------------------------------------------------------------------------------


def test_a_move_back_into_a_tank_not_dry() -> None:
    moves = series(72, 100, 172)
    tanks = [TankEvent(at=after(82), tank="q0", what="dry"), TankEvent(at=after(124), tank="q1", what="dry")]
    state = clock(moves, 200, tanks=tanks)
    [found] = state.breaks
    assert found.why == "`q0` was not dry: visibly dry for only 18 h"
    assert same(found.at, after(100))
    assert found.cost_hours == 172
    assert same(state.started, after(172))
    assert (state.steps, state.restarts) == (0, 1)


def test_while_the_fish_stand_in_it_nothing_counts() -> None:
    state = clock(series(72, 80), 90, tanks=[])
    assert (state.started, state.counted, state.slack) == (None, 0, 0)
    assert "move them out of it" in whats(state)
    assert same(state.due[0].by, after(90))
    assert same(state.done_at, after(90 + 288))


def test_a_tank_long_empty_whose_drying_nobody_wrote_down_counts_and_is_said() -> None:
    state = clock(series(72, 144), 150, tanks=[])
    assert (state.steps, state.restarts) == (2, 0)
    assert "its drying is not on record" in state.problems[0].what


def test_a_first_tank_left_wet_by_others() -> None:
    state = clock(series(71), 80, tanks=[TankEvent(at=after(-5), tank="q0", what="left")])
    assert same(state.started, after(71))
    assert [found.cost_hours for found in state.breaks] == [71]


def test_a_move_without_its_origin_left_the_tank_before() -> None:
    moves = [Move(at=BEGIN, to="q0"), Move(at=after(70), to="q1"), Move(at=after(90), to="q0")]
    assert clock(moves, 95, tanks=[]).started is None


# --- clocks and zones -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("night", "shift"), [(dt.date(2027, 3, 28), -1.0), (dt.date(2027, 10, 31), 1.0)], ids=["forward", "back"]
)
def test_a_clock_change_inside_the_series(night: dt.date, shift: float) -> None:
    """Same wall time three days on: 71 h when the clocks go forward, 73 h when they go back, which is late."""
    begin = dt.datetime.combine(night - dt.timedelta(days=1), dt.time(9), tzinfo=HOME)
    move = Move(at=begin + dt.timedelta(days=3), to="q1", from_="q0")
    state = transfer_clock(
        [Move(at=begin, to="q0"), move], rule=RULE, at=begin + dt.timedelta(days=3, hours=1), zone=HOME
    )
    assert state.steps == 1
    assert f"move 1, {72 + shift:g} h after the last" in whats(state)
    assert len(state.breaks) == (1 if shift > 0 else 0)
    assert state.steps_needed == (5 if shift > 0 else 4)


def test_the_deadline_keeps_its_elapsed_hours_over_a_clock_change() -> None:
    begin = dt.datetime(2027, 3, 27, 9, tzinfo=HOME)
    state = transfer_clock([Move(at=begin, to="q0")], rule=RULE, at=begin, zone=HOME)
    assert state.due[0].by == dt.datetime(2027, 3, 30, 10, tzinfo=HOME)
    assert state.due[0].by.tzinfo is HOME


def test_two_zones_agree() -> None:
    moves = series(71, 142)
    abroad = [replace(move, at=move.at.astimezone(ABROAD)) for move in moves]
    there = transfer_clock(abroad, dried(abroad), rule=RULE, at=after(150).astimezone(ABROAD), zone=HOME)
    assert in_utc(there) == in_utc(clock(moves, 150))


def test_moves_written_in_any_order() -> None:
    moves = series(71, 145.5, 200, 260)
    assert in_utc(clock(moves[::-1], 270)) == in_utc(clock(moves, 270))


def test_no_move_yet() -> None:
    state = clock([], 0)
    assert (state.started, state.done_at, state.slack, state.due) == (None, None, None, ())


# --- the rules as they are known --------------------------------------------------------------------------


def test_the_figures_of_the_rule() -> None:
    assert (RULE.interval, RULE.grace, RULE.moves, RULE.days, RULE.alert, RULE.early) == (72, 1, 4, 12, 60, 48)
    assert (RULE.dry.dry, RULE.dry.margin, RULE.late) == (24, 24, "one-more")


def test_a_keepers_own_interval_warns_earlier() -> None:
    treatment = store.treatment("tank-transfer")
    own = treatment.numbers["cautious_interval"]
    rule = transfer_rule(treatment.model_copy(update={"numbers": {**treatment.numbers, "interval": own}}), [27.0, 25.0])
    assert rule is not None
    assert (rule.interval, rule.moves, rule.days, rule.alert, rule.early) == (48, 4, 12, 36, 48)


@pytest.mark.parametrize("temperatures", [[18.0], [25.0, None], [25.0, 33.0], []])
def test_where_no_interval_was_published_there_is_no_rule(temperatures: list[float | None]) -> None:
    assert transfer_rule(store.treatment("tank-transfer"), temperatures) is None
