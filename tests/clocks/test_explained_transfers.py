"""What the clock of a transfer series says of a history, sentence for sentence; hours worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clocks.histories import BEGIN, HOME, TRANSFERS, after, broken, day, hours, said
from pratique.clocks.dryness import Dryness, DryRule, TankEvent
from pratique.clocks.rules import transfer_rule
from pratique.clocks.state import ClockState
from pratique.clocks.transfers import Grace, Move, transfer_clock
from pratique.knowledge import store

assert TRANSFERS is not None


def moves(*at: float) -> list[Move]:
    """Into tanks that nobody has used: dryness plays no part."""
    return [Move(at=after(hour), to=f"q{number}", entry_id=f"m{number}") for number, hour in enumerate(at)]


def series(found: list[Move], at: float, tanks: list[TankEvent] | None = None) -> ClockState:
    return transfer_clock(found, tanks or [], rule=TRANSFERS, at=after(at), zone=HOME)


def test_a_series_that_has_not_begun() -> None:
    assert said(series([], 5)) == [("now", 5, "the fish are not in the first tank yet", "")]


def test_a_whole_series() -> None:
    """agents 15, in use: in on day 1, moved on days 4, 7, 10 and 13; the hours end with the last move."""
    state = series(moves(0, 71, 142, 213, 284), 300)
    assert said(state) == [
        ("start", 0, "day one: into `q0`", "m0"),
        ("count", 71, "move 1, 71 h after the last", "m1"),
        ("count", 142, "move 2, 71 h after the last", "m2"),
        ("count", 213, "move 3, 71 h after the last", "m3"),
        ("count", 284, "move 4, 71 h after the last", "m4"),
        ("done", 284, "move 4 of 4, day 13: the series is whole", "m4"),
    ]
    assert (state.counted, state.needed, state.slack) == (284, 12 * 24, None)
    assert hours(state.done_at or BEGIN) == 284


def test_at_the_limit_itself_a_move_is_still_in_time() -> None:
    assert said(series(moves(0, 71), 71 + 72))[-1] == ("now", 143, "move 2 of 4 within 0 h", "")


def test_a_move_that_is_past_its_limit_is_named() -> None:
    state = series(moves(0, 71), 71 + 72.5)
    assert said(state)[-1] == ("problem", 143.5, "move 2, late: 30 min past the limit", "")
    assert (state.counted, state.slack) == (143, -0.5)
    dues = [(due.what, hours(due.by), hours(due.alert)) for due in state.due]
    # made now it is move 2 of five: three more, 72 h apart, each called 60 h after the one before
    assert dues == [
        ("move 2, late", 144, 143.5),
        ("move 3", 215.5, 203.5),
        ("move 4", 287.5, 275.5),
        ("move 5", 359.5, 347.5),
    ]


def test_a_late_move_that_is_accepted_needs_no_other() -> None:
    accepting = replace(TRANSFERS, late="accept")
    state = transfer_clock(moves(0, 71), [], rule=accepting, at=after(143.5), zone=HOME)
    assert [due.what for due in state.due] == ["move 2, late", "move 3", "move 4"]
    done = transfer_clock(moves(0, 71, 143.5), [], rule=accepting, at=after(150), zone=HOME)
    assert broken(done) == [(143.5, "30 min late, within the grace of 1 h", 0, "m2")]


@pytest.mark.parametrize(("late", "whats"), [("accept", ["move 4, late"]), ("one-more", ["move 4, late", "move 5"])])
def test_the_last_move_late(late: Grace, whats: list[str]) -> None:
    """285.5 h after the first tank it is day 13: with the fourth move now the series is whole, or one more is due."""
    rule = replace(TRANSFERS, late=late)
    state = transfer_clock(moves(0, 71, 142, 213), [], rule=rule, at=after(285.5), zone=HOME)
    assert [due.what for due in state.due] == whats


def test_a_move_too_late_says_what_is_lost() -> None:
    assert said(series(moves(0, 71, 145), 150))[2:4] == [
        ("restart", 145, "74 h after the last move, 2 h late: the series begins again, 6 days are lost", "m2"),
        ("start", 145, "day one again: into `q2`", "m2"),
    ]


def test_a_move_far_past_its_limit_begins_again() -> None:
    state = series(moves(0, 71), 71 + 74)
    assert said(state)[-1] == (
        "problem",
        145,
        "move into a clean, dry tank at once: day one again: 2 h past the limit",
        "",
    )
    dues = [(due.what, hours(due.by)) for due in state.due]
    assert dues == [
        ("move into a clean, dry tank at once: day one again", 145),
        ("move 1", 217),
        ("move 2", 289),
        ("move 3", 361),
        ("move 4", 433),
    ]


def test_a_move_into_a_wet_tank() -> None:
    wet = [TankEvent(at=after(60), tank="q1", what="left")]
    state = series(moves(0, 71), 80, wet)
    assert said(state) == [
        ("start", 0, "day one: into `q0`", "m0"),
        ("count", 71, "move 1, 71 h after the last", "m1"),
        ("restart", 71, "into `q1`, which was not dry (left 11 h before): day one is the move out of it", "m1"),
        ("now", 80, "the fish are in a tank that was not dry: move them out of it", ""),
    ]
    assert broken(state) == [(71, "`q1` was not dry: left 11 h before", 80, "m1")]
    assert (state.steps, state.steps_needed, state.restarts, state.started) == (0, 4, 1, None)


def test_an_old_tank_without_a_word_of_its_drying_is_said_and_no_other() -> None:
    used = [TankEvent(at=day(-20), tank="q1", what="left")]
    state = series(moves(0, 71), 80, used)
    assert [row[:3] for row in said(state) if row[0] == "problem"] == [
        ("problem", 71, "`q1` is used again, and its drying is not on record (left 23 days before)")
    ]
    assert [row for row in said(series(moves(0, 71), 80)) if row[0] == "problem"] == []


@pytest.mark.parametrize(("hours_since", "state"), [(47.9, "wet"), (48, "unproven")])
def test_a_tank_may_be_dry_after_the_time_to_dry_and_the_margin(hours_since: float, state: str) -> None:
    """24 h visibly dry, and 24 h more where nobody wrote down when it was dry."""
    left = Dryness([TankEvent(at=after(0), tank="q1", what="left")], DryRule(dry=24, margin=24))
    assert left.of("q1", after(hours_since)).state == state


def test_a_tank_seen_dry_only_now_is_wet_whatever_was_before() -> None:
    seen = Dryness([TankEvent(at=after(10), tank="q1", what="dry")], DryRule(dry=24, margin=24))
    assert seen.of("q1", after(12)) == ("wet", "visibly dry for only 2 h")
    assert seen.of("q1", after(34)).state == "dry"
    assert seen.of("q2", after(12)).state == "dry"


def test_moves_and_days_of_a_series_are_whole_numbers() -> None:
    rule = transfer_rule(store.treatment("tank-transfer"), [25.0])
    assert rule is not None
    assert (repr(rule.moves), repr(rule.days)) == ("4", "12")
    assert (rule.early, rule.alert) == (48, 60)


def test_the_tank_they_left_is_the_one_that_was_written_down() -> None:
    """The move says that they came out of `q7`; so `q7` is wet, though nobody wrote how they came into it."""
    found = [*moves(0), Move(at=after(71), to="q1", from_="q7"), Move(at=after(80), to="q7", from_="q1")]
    assert "into `q7`, which was not dry (left 9 h before): day one is the move out of it" in [
        row[2] for row in said(series(found, 81))
    ]
