"""The plan follows what happened: the histories the task was given, each as a keeper would have written it."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from history.kept import acts, batch, build, codes, copper_room, first, history, moment, one_of_each, plan, tank, tanks
from pratique.schedule.changes import changes_since_yesterday
from pratique.schedule.day import tasks_on
from pratique.schedule.model import BatchPlan, Stage
from pratique.schedule.plan import make_plan
from schedule_rooms import COPPER

IN_BAND = """
    2027-03-05T18:40 arrived first in ward
    2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle
    2027-03-07T18:50 dose ward 1.5 mL of copper bottle
    2027-03-08T08:00 reading ward copper 2.25 mg/L with copper meter
"""
"""In band on Monday morning; fourteen days from there are Monday 22 March."""


def daily(first_day: int, last_day: int, level: str = "2.25 mg/L") -> str:
    return "".join(f"2027-03-{day:02}T08:00 reading ward copper {level}\n" for day in range(first_day, last_day + 1))


def stage(found: BatchPlan, name: str) -> Stage:
    return next(stage for stage in found.stages if stage.name == name)


def release(found: BatchPlan) -> dt.date:
    assert found.release is not None
    return found.release.earliest.date()


# --- arrival ---------------------------------------------------------------------------------------------------


def test_the_real_arrival_replaces_the_announced_one() -> None:
    room = one_of_each()
    found = first(room, "2027-03-06T20:10 arrived first in tub b", "2027-03-07T08:00")
    assert found.begun
    assert found.batch.arrives == moment("2027-03-06T20:10")
    assert found.stages[0].tanks[:2] == ("tub b", "tub a")
    (arrival,) = acts(found, "arrive")
    assert (arrival.state, arrival.done_at, arrival.tank) == ("done", moment("2027-03-06T20:10"), "tub b")


def test_an_arrival_that_is_not_in_the_log_is_asked_about() -> None:
    found = first(one_of_each(), "2027-03-01T08:00 note the log begins", "2027-03-06T08:00")
    assert "S521" in codes(found)
    assert [task.state for task in acts(found, "arrive")] == ["late"]
    assert found.stages == make_plan(one_of_each()).batches[0].stages
    late_log = first(one_of_each(), "2027-03-06T07:00 note the log begins", "2027-03-06T08:00")
    assert "S521" not in codes(late_log)


def test_the_tank_it_went_into_decides_the_regimen() -> None:
    found = first(one_of_each(), "2027-03-05T19:00 arrived first in ward", "2027-03-06T08:00")
    assert found.regimen.id == "copper-hold"
    kept = one_of_each(tanks={**tanks(), "long": tank("observation", temperature="24 degC")})
    watched = first(kept, "2027-03-05T19:00 arrived first in long", "2027-03-06T08:00")
    assert watched.regimen.id == "watch-only"


def test_a_tank_not_meant_for_the_chosen_regimen_is_said() -> None:
    room = build(batches={"first": batch(regimen="transfers-anthelmintic")})
    assert "S523" in codes(first(room, "2027-03-05T19:00 arrived first in ward", "2027-03-06T08:00"))


def test_straight_into_the_display() -> None:
    found = first(one_of_each(), "2027-03-05T19:00 arrived first in reef", "2027-03-06T08:00")
    assert codes(found) == ["S528"]
    assert not found.stages
    out = "2027-03-05T19:00 arrived first in reef\n2027-03-05T21:00 move first to tub a"
    assert first(one_of_each(), out, "2027-03-06T08:00").batch.arrives == moment("2027-03-05T21:00")


# --- transfers -------------------------------------------------------------------------------------------------

SERIES = """
    2027-03-05T19:00 arrived first in tub a
    2027-03-08T08:00 move first to tub b
    2027-03-08T09:00 dried tub a
"""


def test_transfers_done_replace_the_planned_ones_and_the_rest_follow_them() -> None:
    found = first(one_of_each(), SERIES, "2027-03-09T10:00")
    moves = acts(found, "transfer")
    assert [task.state for task in moves] == ["done", "", "", ""]
    assert moves[0].done_at == moment("2027-03-08T08:00")
    assert moves[1].until == moment("2027-03-11T08:00")
    assert [task.tank for task in moves] == ["tub b", "tub a", "tub b", "ward"]
    assert "move 1 of 4; the next within 46 h" in stage(found, "transfers").clock


def test_a_move_inside_its_window_keeps_its_hour_and_is_due() -> None:
    found = first(one_of_each(), "2027-03-05T19:00 arrived first in tub a", "2027-03-08T12:00")
    move = acts(found, "transfer")[0]
    assert (move.state, f"{move.at:%d %H:%M}", f"{move.until:%d %H:%M}") == ("due", "08 08:30", "08 19:00")


def test_a_move_that_is_late_now_is_shouted_and_costs_one_more() -> None:
    found = first(one_of_each(), SERIES, "2027-03-11T08:30")
    move = acts(found, "transfer")[1]
    assert (move.state, f"{move.at:%d %H:%M}") == ("late", "11 08:30")
    assert "now, it was due by Thu 11 Mar 08:00" in move.text
    assert "until Thu 11 Mar 09:00 it costs one move more" in move.text
    assert "S522" in codes(found)
    assert len(acts(found, "transfer")) == 5


def test_a_transfer_73_5_hours_after_the_last() -> None:
    """Half an hour past the grace: day one again, and the whole series from there."""
    late = SERIES + "2027-03-11T09:30 move first to tub a"
    found = first(one_of_each(), late, "2027-03-11T12:00")
    state = stage(found, "transfers").state
    assert state is not None
    assert [broken.why for broken in state.breaks] == ["73.5 h after the last move, 1.5 h late"]
    assert (state.restarts, state.steps) == (1, 0)
    assert [task.state for task in acts(found, "transfer")] == ["done", "done", "", "", "", ""]
    in_time = first(one_of_each(), SERIES + "2027-03-11T07:30 move first to tub a", "2027-03-11T12:00")
    assert (release(found) - release(in_time)).days >= 6


def test_the_series_is_whole_and_the_next_stage_begins_with_its_last_move() -> None:
    lines = SERIES + """
        2027-03-11T07:30 move first to tub a
        2027-03-11T09:30 dried tub b
        2027-03-14T07:00 move first to tub b
        2027-03-14T09:30 dried tub a
        2027-03-17T07:00 move first to ward
    """
    found = first(one_of_each(), lines, "2027-03-17T10:00")
    assert stage(found, "transfers").end == stage(found, "anthelmintic").start == moment("2027-03-17T07:00")
    assert stage(found, "anthelmintic").tank == "ward"
    assert not [code for code in codes(found) if code.startswith("S52")]


def test_a_series_broken_off_is_said_and_the_next_stage_goes_on() -> None:
    found = first(one_of_each(), SERIES + "2027-03-10T08:00 move first to ward", "2027-03-11T08:00")
    assert stage(found, "anthelmintic").start == moment("2027-03-10T08:00")
    (said,) = [problem for problem in found.problems if problem.code == "S525"]
    assert "after 2 of 4 moves" in said.message


def test_a_clock_change_during_a_transfer_series() -> None:
    """The clocks go forward in the night to 28 March: 72 h after 27 March 19:00 are 30 March 20:00."""
    room = build(batches={"first": batch("2027-03-27T18:30")})
    found = first(room, "2027-03-27T19:00 arrived first in tub a", "2027-03-28T12:00")
    move = acts(found, "transfer")[0]
    assert f"{move.until:%d %H:%M %z}" == "30 20:00 +0100"
    same_wall = "2027-03-27T19:00 arrived first in tub a\n2027-03-30T19:30 move first to tub b"
    kept = first(room, same_wall, "2027-03-30T20:00")
    state = stage(kept, "transfers").state
    assert state is not None
    assert not state.breaks
    autumn = build(batches={"first": batch("2027-10-30T08:00")})
    back = "2027-10-30T08:00 arrived first in tub a\n2027-11-02T07:30 move first to tub b"
    late = stage(first(autumn, back, "2027-11-02T08:00"), "transfers").state
    assert late is not None
    assert [broken.why for broken in late.breaks] == ["30 min late, within the grace of 1 h"]


@pytest.mark.parametrize(
    ("animals", "before"),
    [
        ([{"species": "yellow tang", "name": "Lemon", "tank": "reef"}], "2027-03-07T08:00 move Lemon to tub b\n"),
        ([{"species": "yellow tang", "name": "Lemon", "tank": "tub b"}], ""),
    ],
)
def test_a_move_to_a_tub_in_which_another_fish_lives_is_none_into_a_dry_one(animals: list[Any], before: str) -> None:
    """Lemon came there while they were in tub a, or was always there: what it carries, they met."""
    room = one_of_each(animals=animals)
    lines = "2027-03-05T19:00 arrived first in tub a\n" + before + "2027-03-08T08:00 move first to tub b"
    state = stage(first(room, lines, "2027-03-08T09:00"), "transfers").state
    alone = stage(first(one_of_each(), lines.replace(before, ""), "2027-03-08T09:00"), "transfers").state
    assert state is not None
    assert alone is not None
    assert not [row for row in alone.explain if row.mark == "restart"]
    assert [row for row in state.explain if row.mark == "restart"]
    assert state.steps < alone.steps


def test_no_other_tank_left_for_the_next_move() -> None:
    room = one_of_each(
        animals=[{"species": "yellow tang", "name": "Lemon", "tank": "reef"}],
        gear={"red set": {"for": "transfers"}},
    )
    lines = "2027-03-05T19:00 arrived first in tub a\n2027-03-06T08:00 move Lemon to tub b"
    found = first(room, lines, "2027-03-06T12:00")
    assert "S501" in codes(found)
    assert not found.is_whole
    assert [stage.name for stage in found.stages] == ["transfers"]
    assert found.stages[0].routines, "the fish that are there are still looked after"


# --- copper ----------------------------------------------------------------------------------------------------


def test_the_days_of_copper_count_from_the_first_reading_in_band() -> None:
    found = first(copper_room(), IN_BAND, "2027-03-08T08:10")
    copper = stage(found, "copper")
    assert copper.state is not None
    assert copper.state.started == moment("2027-03-08T08:00")
    assert "day 1 of 14; slack 35.8 h" in copper.clock
    assert [task.state for task in acts(found, "dose", "redose")] == ["done", "done"]
    assert [task.amount.value for task in acts(found, "dose", "redose") if task.amount] == [12.0, 1.5]


RAMP = """
    2027-03-05T18:40 arrived first in ward
    2027-03-05T18:50 dose ward copper-chelated 9 mL of copper bottle
"""


@pytest.mark.parametrize(
    ("parts", "lines"),
    [
        ("18:50 dose ward copper-chelated 4.5 mL of copper bottle|18:50 dose ward 4.5 mL of copper bottle", 1),
        ("18:50 dose ward copper-chelated 4.5 mL of copper bottle|19:40 dose ward 4.5 mL of copper bottle", 2),
        ("18:50 dose ward copper-chelated 4.5 mL of copper bottle|18:50 dose ward 4.5 mL of second bottle", 2),
    ],
)
def test_the_parts_of_one_dose_are_one_step_of_the_ramp(parts: str, lines: int) -> None:
    """At one moment, slowly, or the rest from a new bottle: what is still to come is what it would have been."""
    room = copper_room(shelf={"copper bottle": COPPER, "second bottle": COPPER})
    before = RAMP.rpartition("2027-03-05")[0]
    written = before + "\n".join(f"2027-03-05T{part}" for part in parts.split("|"))
    found, whole = (first(room, text, "2027-03-06T08:00") for text in (written, RAMP))
    doses = acts(found, "dose", "redose")
    done, coming = ([task for task in doses if (task.state == "done") is over] for over in (True, False))
    assert len(done) == lines
    assert sum(task.amount.value for task in done if task.amount) == pytest.approx(9.0)
    meant = [task for task in acts(whole, "dose", "redose") if task.state != "done"]
    assert len(coming) == len(meant) > 0
    for one, other in zip(coming, meant, strict=True):
        assert one.amount == other.amount
        assert dt.timedelta(0) <= one.at - other.at <= dt.timedelta(hours=1)


def test_or_from_the_second_by_choice() -> None:
    second = copper_room(room={"clocks": {"copper_start": "second"}})
    found = first(second, IN_BAND + daily(9, 9), "2027-03-09T08:10")
    state = stage(found, "copper").state
    assert state is not None
    assert state.started == moment("2027-03-09T08:00")
    planned = make_plan(second).batches[0]
    assert release(planned) >= release(make_plan(copper_room()).batches[0])


@pytest.mark.parametrize(
    ("rule", "word", "counted"), [("stop", "stopped", 5 * 24.0), ("restart", "restarted", 0.0)]
)
def test_a_hold_with_a_dip_below_the_floor(rule: str, word: str, counted: float) -> None:
    room = copper_room(room={"clocks": {"below_floor": rule}})
    lines = IN_BAND + daily(9, 13) + "2027-03-14T08:00 reading ward copper 1.7 mg/L"
    record = history(room, lines, "2027-03-14T08:10")
    found = make_plan(room, record).batches[0]
    state = stage(found, "copper").state
    assert state is not None
    assert state.counted == counted
    (change,) = changes_since_yesterday(room, make_plan(room, record), record)
    assert change.text.startswith(f"copper clock {word}: 1.70 mg/L")
    assert "on Sun 14 Mar; release moves from Sun 20 Jun to " in change.text
    next_dose = next(task for task in acts(found, "redose") if task.state == "due")
    assert next_dose.at == moment("2027-03-14T08:00")
    assert "by the reading 1.7 mg/L" in next_dose.text
    assert next_dose.amount is not None
    assert next_dose.amount.value == pytest.approx(1.8)


def test_the_other_rule_would_cost_so_much_more() -> None:
    lines = IN_BAND + daily(9, 13) + "2027-03-14T08:00 reading ward copper 1.7 mg/L"
    ends = {}
    for rule in ("stop", "restart"):
        room = copper_room(room={"clocks": {"below_floor": rule}})
        ends[rule] = release(first(room, lines, "2027-03-14T08:10"))
    assert (ends["restart"] - ends["stop"]).days == 5


def test_back_in_band_after_the_dose() -> None:
    lines = IN_BAND + daily(9, 13) + """
        2027-03-14T08:00 reading ward copper 1.7 mg/L
        2027-03-14T08:30 dose ward copper-chelated 3.3 mL of copper bottle
        2027-03-14T20:30 reading ward copper 2.25 mg/L
    """
    found = first(copper_room(), lines, "2027-03-14T21:00")
    copper = stage(found, "copper")
    assert copper.state is not None
    assert copper.state.slack is not None
    assert copper.state.slack > 30
    assert "day 6 of 14" in copper.clock
    assert not [task for task in acts(found, "redose") if task.state != "done"]


def test_a_reading_with_the_wrong_kit_counts_for_nothing() -> None:
    kits = {
        "copper meter": {"measures": "copper", "forms": ["ionic", "amine", "chelated"], "error": "3 %"},
        "free kit": {"measures": "copper", "forms": ["ionic"], "error": "3 %"},
    }
    room = copper_room(kits=kits)
    wrong = IN_BAND.replace("with copper meter", "with free kit")
    found = first(room, wrong, "2027-03-08T08:10")
    state = stage(found, "copper").state
    assert state is not None
    assert state.started is None
    assert "S527" in codes(found)
    nobody_said = first(room, IN_BAND.replace(" with copper meter", ""), "2027-03-08T08:10")
    guessed = stage(nobody_said, "copper").state
    assert guessed is not None
    assert guessed.started is None, "which of the two kits it was is not known"
    assert stage(first(room, IN_BAND, "2027-03-08T08:10"), "copper").state.started is not None  # type: ignore[union-attr]


def test_a_dose_stays_where_it_was_given_when_the_fish_go_on_to_another_ward() -> None:
    room = copper_room(tanks={"reef": tank("display"), "ward": tank("ward"), "ward 2": tank("ward")})
    moved = """
        2027-03-09T08:00 dose ward 2 copper-chelated 13.5 mL of copper bottle
        2027-03-09T09:00 move first to ward 2
        2027-03-10T08:00 dose ward 2 0.2 mL of copper bottle
    """
    found = first(room, IN_BAND + moved, "2027-03-10T09:00")
    done = [task.tank for task in acts(found, "dose", "redose") if task.state == "done"]
    assert done == ["ward", "ward", "ward 2"]
    assert {task.tank for task in found.tasks if task.state != "done" and task.act in ("dose", "redose")} <= {"ward 2"}


def test_a_water_change_without_its_dose_makes_the_level_unknown() -> None:
    lines = IN_BAND + "2027-03-08T20:00 change ward 30 %\n"
    unknown = stage(first(copper_room(), lines, "2027-03-08T21:00"), "copper")
    assert "not counting now: read the level" in unknown.clock
    put_back = IN_BAND + "2027-03-08T20:00 change ward 30 % with 4 mL of copper bottle\n"
    assert "slack" in stage(first(copper_room(), put_back, "2027-03-08T21:00"), "copper").clock
    before = IN_BAND + """
        2027-03-08T19:00 dose ward copper-chelated 4 mL of copper bottle into new water
        2027-03-08T20:00 change ward 18 L
    """
    assert "slack" in stage(first(copper_room(), before, "2027-03-08T21:00"), "copper").clock


def test_too_high_water_is_changed_and_nothing_added() -> None:
    lines = IN_BAND + "2027-03-09T08:00 reading ward copper 2.9 mg/L"
    found = first(copper_room(), lines, "2027-03-09T08:10")
    change = next(task for task in acts(found, "change-water") if "too high" in task.text)
    assert change.amount is not None
    assert not [task for task in acts(found, "dose", "redose") if task.state != "done"]
    assert "S527" in codes(found)


def test_after_the_course_the_move_is_late_until_it_is_made() -> None:
    lines = IN_BAND + daily(9, 23)
    found = first(copper_room(), lines, "2027-03-24T08:10")
    (move,) = acts(found, "move")
    assert (move.state, f"{move.at:%d %H:%M}", f"{move.until:%d %H:%M}") == ("late", "24 08:10", "22 08:00")
    assert stage(found, "observation").start == move.at
    moved = first(copper_room(), lines + "2027-03-24T08:30 move first to long", "2027-03-24T09:00")
    assert acts(moved, "move")[0].state == "done"
    assert stage(moved, "observation").start == moment("2027-03-24T08:30")
    assert stage(moved, "observation").state is not None


def test_the_fish_stay_where_they_are_where_there_is_no_other_tank() -> None:
    room = copper_room(tanks={"reef": tank("display"), "ward": tank("ward")})
    found = first(room, IN_BAND + daily(9, 23), "2027-03-24T08:10")
    assert [stage.tank for stage in found.stages] == ["ward", "ward"]
    assert "day 17 of 30" in stage(found, "copper").clock
    lines = IN_BAND + daily(9, 31) + "".join(
        f"2027-04-{day:02}T08:00 reading ward copper 2.25 mg/L\n" for day in range(1, 8)
    )
    clearing = first(room, lines, "2027-04-08T08:00")
    assert [task for task in acts(clearing, "change-water") if "no copper into the new water" in task.text]
    clean = first(room, lines + "2027-04-15T08:00 reading ward copper 0 mg/L", "2027-04-15T09:00")
    assert stage(clean, "observation").start == moment("2027-04-15T08:00")


# --- courses, watches, newcomers, deaths ------------------------------------------------------------------------

AFTER_SERIES = SERIES + """
    2027-03-11T07:30 move first to tub a
    2027-03-11T09:30 dried tub b
    2027-03-14T07:00 move first to tub b
    2027-03-14T09:30 dried tub a
    2027-03-17T07:00 move first to ward
    2027-03-18T07:00 dose ward praziquantel-bath 0.126 g of fluke powder
"""
AFTER_COURSE = AFTER_SERIES + """
    2027-03-26T07:00 dose ward praziquantel-bath 0.126 g of fluke powder
    2027-04-02T07:00 dose ward praziquantel-bath 0.126 g of fluke powder
    2027-04-05T08:00 move first to long
"""


def early_ends(lines: str, at: str = "2027-04-06T08:00") -> list[str]:
    found = first(one_of_each(), lines, at)
    return [problem.message.partition("`first` ")[2] for problem in found.problems if problem.code == "S525"]


TO_WARD = AFTER_SERIES.rpartition("2027-03-18")[0]
IN_REEF = "went into `reef` on"


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (TO_WARD, ["left anthelmintic on Fri 19 Mar 08:00, after 0 of 3 doses that count"]),
        (AFTER_SERIES, ["left anthelmintic on Fri 19 Mar 08:00, after 1 of 3 doses that count"]),
        (SERIES.rpartition("2027-03-08T09:00")[0], ["left transfers on Fri 19 Mar 08:00, after 1 of 4 moves"]),
    ],
)
def test_into_the_display_in_mid_course_is_said_with_what_was_left_out(lines: str, said: list[str]) -> None:
    left_out = "observation" if "ward" in lines else "anthelmintic and observation"
    gone = f"{IN_REEF} Fri 19 Mar 08:00 without {left_out}"
    assert early_ends(lines + "2027-03-19T08:00 move first to reef") == [*said, gone]


def test_a_whole_course_and_a_watch_left_early_is_said_once() -> None:
    assert early_ends(AFTER_COURSE) == []
    (said,) = early_ends(AFTER_COURSE + "2027-04-06T07:00 move first to reef")
    assert said == "left observation on Tue 6 Apr 07:00, 89 days before its clock was full"
    died = "2027-03-19T08:00 death ward yellow tang\n2027-03-19T08:00 death ward 2 ocellaris clownfish"
    assert early_ends(AFTER_SERIES + died) == [], "they went nowhere"


def test_from_a_course_of_too_few_doses_to_the_watch_is_said() -> None:
    """As long as the batch goes on it is said for some weeks; nothing was left out that may still come."""
    lines = AFTER_SERIES + "2027-03-27T08:00 move first to long"
    said = ["left anthelmintic on Sat 27 Mar 08:00, after 1 of 3 doses that count"]
    assert early_ends(lines, "2027-03-28T08:00") == said


def test_the_later_doses_are_dated_from_the_first_real_one() -> None:
    found = first(one_of_each(), AFTER_SERIES.replace("18T07:00 dose", "18T20:00 dose"), "2027-03-19T08:00")
    doses = acts(found, "dose", "redose")
    assert [task.state for task in doses] == ["done", "", ""]
    assert doses[1].at.date() == dt.date(2027, 3, 26)


def test_a_dose_past_its_window_begins_the_course_again() -> None:
    late = AFTER_SERIES + "2027-03-31T07:00 dose ward praziquantel-bath 0.126 g of fluke powder"
    found = first(one_of_each(), late, "2027-04-01T08:00")
    assert "S524" in codes(found)
    assert [task.state for task in acts(found, "dose", "redose")] == ["done", "done", "", ""]
    early = AFTER_SERIES + "2027-03-20T07:00 dose ward praziquantel-bath 0.126 g of fluke powder"
    ignored = first(one_of_each(), early, "2027-03-21T08:00")
    assert "S524" in codes(ignored)
    assert [task.state for task in acts(ignored, "dose", "redose")] == ["done", "done", "", ""]


def test_the_rest_of_a_dose_from_another_bottle_is_no_dose_before_its_window() -> None:
    """An hour after the first part: the course goes on from the first as if it had been given at once."""
    half = AFTER_SERIES.replace("0.126 g", "0.063 g")
    parts = half + "2027-03-18T08:00 dose ward praziquantel-bath 0.063 g of fluke powder"
    found, whole = (first(one_of_each(), lines, "2027-03-19T08:00") for lines in (parts, AFTER_SERIES))
    assert "S524" not in codes(found)
    coming, meant = ([task.at for task in acts(one, "dose", "redose") if not task.state] for one in (found, whole))
    assert coming == meant
    later = half + "2027-03-18T10:30 dose ward praziquantel-bath 0.063 g of fluke powder"
    assert "S524" in codes(first(one_of_each(), later, "2027-03-19T08:00")), "more than three hours are two doses"


def test_a_dose_overdue_now_is_late_and_the_count_begins_with_it() -> None:
    found = first(one_of_each(), AFTER_SERIES, "2027-04-01T08:00")
    doses = acts(found, "dose", "redose")
    assert [task.state for task in doses] == ["done", "late", "", ""]
    assert "the doses are counted again from it" in doses[1].text
    assert "S522" in codes(found)


def test_a_fish_added_on_day_18() -> None:
    """A watch of 90 days begins on 5 April; on its eighteenth day another batch is put into the same water."""
    two = {"first": batch("2027-03-05T18:30"), "second": batch("2027-04-22T18:30")}
    room = build(batches=two)
    lines = AFTER_COURSE.replace("ocellaris clownfish", "")
    before = first(room, lines, "2027-04-22T12:00")
    record = history(room, lines + "2027-04-22T20:00 arrived second in long", "2027-04-22T21:00")
    found = make_plan(room, record).batches[0]
    assert (release(found) - release(before)).days == 17
    changes = changes_since_yesterday(room, make_plan(room, record), record)
    (change,) = [change for change in changes if change.batch == "first"]
    assert "watch restarted: a new animal in the same water: 1 ocellaris clownfish of second" in change.text
    state = stage(found, "observation").state
    assert state is not None
    assert round(state.breaks[0].cost_hours / 24, 1) == 17.5


def test_a_fish_put_into_a_hold_restarts_all_in_it() -> None:
    room = copper_room(animals=[{"species": "yellow tang", "name": "Lemon", "tank": "reef"}])
    lines = IN_BAND + daily(9, 12) + "2027-03-12T20:00 move Lemon to ward\n" + daily(13, 13)
    state = stage(first(room, lines, "2027-03-13T08:10"), "copper").state
    assert state is not None
    assert state.restarts == 1
    assert state.started == moment("2027-03-12T20:00")
    assert "1 Lemon put into the same water; day one again" in "\n".join(row.what for row in state.explain)


def test_a_hidden_fish_found_in_the_water_of_a_batch() -> None:
    lines = AFTER_COURSE + "2027-05-10T08:00 found long damselfish"
    state = stage(first(one_of_each(), lines, "2027-05-10T09:00"), "observation").state
    assert state is not None
    assert state.started == moment("2027-05-10T08:00")


@pytest.mark.parametrize(
    ("line", "restarts"),
    [
        ("2027-04-20T08:00 sign long white-spots", 1),
        ("2027-04-20T08:00 gear red set in ward; gear red set in long", 0),
        ("2027-04-20T08:00 move rock from ward to long", 0),
        ("2027-04-20T08:00 death long yellow tang", 0),
    ],
)
def test_what_restarts_a_watch_and_what_does_not(line: str, restarts: int) -> None:
    state = stage(first(one_of_each(), AFTER_COURSE + line, "2027-04-21T08:00"), "observation").state
    assert state is not None
    assert state.restarts == restarts


def test_wet_gear_and_rock_from_a_suspect_water_restart_it() -> None:
    two = {"first": batch("2027-03-05T18:30"), "second": batch("2027-04-12T18:30")}
    room = build(batches=two)
    begun = AFTER_COURSE + "2027-04-12T19:00 arrived second in tub a\n"
    gear = begun + "2027-04-20T08:00 gear red set in tub a\n2027-04-20T09:00 gear red set in long"
    state = stage(first(room, gear, "2027-04-21T08:00"), "observation").state
    assert state is not None
    assert state.restarts == 1
    dried = begun + """
        2027-04-18T08:00 gear red set in tub a
        2027-04-18T08:30 dried red set
        2027-04-20T09:00 gear red set in long
    """
    assert stage(first(room, dried, "2027-04-21T08:00"), "observation").state.restarts == 0  # type: ignore[union-attr]
    rock = begun + "2027-04-20T08:00 move rock from tub a to long"
    assert stage(first(room, rock, "2027-04-21T08:00"), "observation").state.restarts == 1  # type: ignore[union-attr]


def test_deaths_reduce_the_batch_and_the_last_one_ends_it() -> None:
    lines = "2027-03-05T19:00 arrived first in tub a\n2027-03-06T08:00 death tub a yellow tang\n"
    found = first(one_of_each(), lines, "2027-03-06T09:00")
    assert found.batch.head_count == 1
    assert acts(found, "arrive")[0].text.startswith("2 animals")
    none_left = first(one_of_each(), lines + "2027-03-07T08:00 death tub a ocellaris clownfish", "2027-03-07T09:00")
    assert none_left.over == "all of it has died, the last Sun 7 Mar 08:00: this batch is closed"
    assert not acts(none_left, "transfer", "release")


def test_a_batch_in_two_waters_is_said() -> None:
    lines = "2027-03-05T19:00 arrived first in tub a\n2027-03-06T09:00 move yellow tang to ward"
    assert "S526" in codes(first(one_of_each(), lines, "2027-03-06T10:00"))


def test_it_went_into_the_display() -> None:
    early = first(one_of_each(), AFTER_COURSE + "2027-05-01T18:00 move first to reef", "2027-05-02T08:00")
    assert early.over == "went into reef on Sat 1 May 18:00"
    assert "S525" in codes(early)
    in_time = first(one_of_each(), AFTER_COURSE + "2027-07-05T18:00 move first to reef", "2027-07-06T08:00")
    assert "S525" not in codes(in_time)
    (out,) = acts(in_time, "release")
    assert (out.state, out.done_at) == ("done", moment("2027-07-05T18:00"))


def test_a_watch_that_is_over_goes_on_being_cared_for_until_they_go() -> None:
    found = first(one_of_each(), AFTER_COURSE, "2027-07-10T08:00")
    assert release(found) == dt.date(2027, 7, 4)
    assert [task.state for task in acts(found, "release")] == ["due"]
    assert stage(found, "observation").end > moment("2027-07-10T08:00")


def test_a_tank_with_a_resident_that_was_moved_into_it_is_taken() -> None:
    room = one_of_each(animals=[{"species": "yellow tang", "name": "Lemon", "tank": "reef"}])
    found = plan(room, "2027-03-01T08:00 move Lemon to ward", "2027-03-02T08:00").batches[0]
    assert "ward" in {stage.tank for stage in make_plan(room).batches[0].stages}
    assert "ward" not in {stage.tank for stage in found.stages}


def test_a_later_batch_is_not_planned_into_a_tank_that_another_is_in() -> None:
    two = {"first": batch("2027-03-05T18:30"), "second": batch("2027-03-06T18:30")}
    room = build(batches=two)
    found = plan(room, "2027-03-05T19:00 arrived second in tub a", "2027-03-05T20:00")
    taken = {plan.batch.name: plan for plan in found.batches}
    assert taken["second"].begun
    assert "S501" in codes(taken["first"]) or taken["first"].stages[0].tank != "tub a"


# --- ways of writing ------------------------------------------------------------------------------------------


def test_acts_known_only_from_tasks_marked_done() -> None:
    marks = """
        2027-03-05T19:00 done first/transfers/arrive/1
        2027-03-08T08:00 done first/transfers/transfer/1
        2027-03-08T09:00 done first/transfers/dry/1
        2027-03-11T07:30 done first/transfers/transfer/2
    """
    found = first(one_of_each(), marks, "2027-03-12T10:00")
    typed = SERIES + "2027-03-11T07:30 move first to tub a"
    other = first(one_of_each(), typed, "2027-03-12T10:00")
    assert [(s.tanks, s.start, s.end) for s in found.stages] == [(s.tanks, s.start, s.end) for s in other.stages]
    assert [task.state for task in acts(found, "transfer")] == ["done", "done", "", ""]


def test_a_keeper_who_writes_everything_on_sunday_from_paper() -> None:
    lines = IN_BAND + daily(9, 13)
    each_day = make_plan(copper_room(), history(copper_room(), lines, "2027-03-14T18:00"))
    on_sunday = history(copper_room(), lines, "2027-03-14T18:00", written="2027-03-14T17:00")
    followed = make_plan(copper_room(), on_sunday)
    for one, other in zip(each_day.batches, followed.batches, strict=True):
        assert one.tasks == other.tasks
        assert one.release == other.release
        assert [(s.start, s.end, s.clock) for s in one.stages] == [(s.start, s.end, s.clock) for s in other.stages]
    (change,) = changes_since_yesterday(copper_room(), followed, on_sunday)
    assert "arrived Fri 5 Mar 18:40 in ward" in change.text


def test_own_batches_apart_from_the_log() -> None:
    """Two batches, one of them followed: the other is planned as it was."""
    two = {"first": batch("2027-03-05T18:30"), "second": batch("2027-08-22T18:30")}
    room = build(batches=two)
    followed = plan(room, SERIES, "2027-03-09T10:00")
    assert followed.batches[1] == make_plan(room).batches[1]


def test_a_sign_in_the_log_is_held_against_the_regimen() -> None:
    lines = "2027-03-05T19:00 arrived first in tub a\n2027-03-06T08:00 sign tub a dust"
    assert "S518" in codes(first(one_of_each(), lines, "2027-03-06T09:00"))
    assert "S518" not in codes(first(one_of_each(), lines, "2027-03-06T07:00"))


def test_a_look_at_the_hour_of_a_late_move_is_at_the_tank_they_are_still_in() -> None:
    room = one_of_each()
    record = history(room, "2027-03-05T05:10 arrived first in tub a", "2027-03-08T06:30")
    tasks = tasks_on(room, make_plan(room, record), dt.date(2027, 3, 8), record)
    assert [task.tank for task in tasks if task.act == "look"] == ["tub a"]
