"""What shows only in a long or crowded record: the longer course in one tank, newcomers, tubs dried, days away."""

from __future__ import annotations

import datetime as dt
import re

import pytest

from history.kept import (
    acts,
    batch,
    build,
    codes,
    copper_room,
    first,
    history,
    log_of,
    moment,
    one_of_each,
    plan,
    tank,
    tanks,
    typed,
)  # fmt: skip
from pratique.history.fold import fold
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.basis import Basis
from pratique.schedule.day import tasks_on
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import BatchPlan
from pratique.schedule.plan import make_plan
from pratique.schedule.reckoned import too_high
from pratique.schedule.track import track_of

CAME = "2027-03-05T19:00 arrived first in tub a\n"
IN_WARD = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"
KITS = {
    "meter": {"measures": "copper", "forms": ["chelated"], "error": "3 %"},
    "ionic kit": {"measures": "copper", "forms": ["ionic"], "error": "3 %"},
}


def thirty_days(zero: str = "") -> BatchPlan:
    """A month in band, the move skipped, six changes of half the water, and perhaps a reading of zero; a week on."""
    days = [dt.date(2027, 3, 6) + dt.timedelta(days=number) for number in range(32)]  # 31 days: one has 23 h
    lines = [f"{day}T08:00 reading ward copper 2.2 mg/L with meter" for day in days]
    lines.insert(1, "2027-03-06T08:10 skipped first/copper/move/1")
    lines += [f"2027-04-{day:02}T08:30 change ward 50 %" for day in range(7, 13)]
    log = IN_WARD + "\n".join([*lines, zero])
    return first(copper_room(kits=KITS), log, "2027-04-20T08:00")


@pytest.mark.parametrize(
    ("zero", "watched_from"),
    [
        ("", "2027-04-20T08:00"),
        ("2027-04-13T08:00 reading ward copper 0.05 mg/L with meter", "2027-04-13T08:00"),
        ("2027-04-13T08:00 reading ward copper 0.05 mg/L with ionic kit", "2027-04-20T08:00"),
        ("2027-04-13T08:00 reading ward copper 0.5 mg/L with meter", "2027-04-20T08:00"),
    ],
)
def test_in_the_same_tank_the_watch_counts_from_a_zero_that_can_be_believed(zero: str, watched_from: str) -> None:
    found = thirty_days(zero)
    assert [stage.tank for stage in found.stages] == ["ward", "ward"]
    assert found.stages[1].start == moment(watched_from)


def test_each_newcomer_costs_what_had_been_counted_by_then() -> None:
    """One before day one, who costs nothing; then 36 h, the most that a reading carries, and 36 h again."""
    log = (
        IN_WARD
        + """
        2027-03-05T20:00 found ward a damselfish
        2027-03-06T08:00 reading ward copper 2.2 mg/L
        2027-03-08T08:00 found ward a damselfish
        2027-03-08T09:00 reading ward copper 2.2 mg/L
        2027-03-10T08:00 found ward a damselfish
        2027-03-10T09:00 reading ward copper 2.2 mg/L
    """
    )
    state = first(copper_room(), log, "2027-03-11T08:00").stages[0].state
    assert state is not None
    assert (state.first_started, state.started) == (moment("2027-03-06T08:00"), moment("2027-03-10T09:00"))
    assert [(one.at, one.cost_hours) for one in state.breaks] == [
        (moment("2027-03-05T20:00"), 0),
        (moment("2027-03-08T08:00"), 36),
        (moment("2027-03-10T08:00"), 36),
    ]


@pytest.mark.parametrize(("mark", "restarts"), [("2027-03-08T09:00 done first/transfers/dry/1\n", 0), ("", 1)])
def test_a_drying_that_is_ticked_off_makes_the_tub_dry(mark: str, restarts: int) -> None:
    """Back in it 26 h after they left: dry where the line was ticked 25 h before, else not."""
    log = CAME + "2027-03-08T08:00 move first to tub b\n" + mark + "2027-03-09T10:00 move first to tub a"
    state = first(one_of_each(), log, "2027-03-09T12:00").stages[0].state
    assert state is not None
    assert state.restarts == restarts


def test_a_tub_that_was_scrubbed_is_not_dry_for_that() -> None:
    log = CAME + "2027-03-08T08:00 move first to tub b\n2027-03-08T08:30 cleaned tub a"
    found = first(one_of_each(), log, "2027-03-08T22:30")
    left = {task.act: task.state for task in acts(found, "strip", "dry") if task.tank == "tub a" and task.at.day == 8}
    assert (left["strip"], left["dry"] != "done") == ("done", True)


@pytest.mark.parametrize(("kits", "known"), [(KITS, True), ({"ionic kit": KITS["ionic kit"]}, False), ({}, False)])
def test_copper_is_at_hand_only_with_a_kit_that_reads_its_form(kits: dict[str, object], known: bool) -> None:
    basis = Basis(build(kits=kits))
    assert basis.is_at_hand(treatment_for(basis.room, "copper-chelated")) == known
    assert basis.is_at_hand(treatment_for(basis.room, "tank-transfer"))


def test_gear_from_a_tank_in_which_a_batch_came_only_later_is_clean() -> None:
    two = {"first": batch("2027-03-05T18:30", "trusted"), "second": batch("2027-03-05T18:30")}
    log = """
        2027-03-05T19:00 arrived first in long
        2027-03-10T08:00 gear red set in ward
        2027-03-10T19:00 arrived second in ward
        2027-03-11T08:00 gear red set in long
    """
    watched = first(build(batches=two), log, "2027-03-13T08:00").stages[-1].state
    assert watched is not None
    assert watched.restarts == 0


def test_days_away_are_counted_as_days() -> None:
    room = one_of_each(room={"away": [{"from": "2027-05-01", "to": "2027-05-12"}]})
    (said,) = [problem for problem in make_plan(room).batches[0].problems if problem.code == "S504"]
    assert "nobody looks after `first` for 12 d from" in said.message


def cleared(last: dict[str, object]) -> bool:
    """Whether the tank of the watch is stripped after the release."""
    room: Room = build(tanks={**tanks(), "long": tank("observation", **last)})
    return any(task.tank == "long" for task in acts(make_plan(room).batches[0], "strip"))


def test_only_a_bare_tank_without_a_living_filter_is_emptied_after_the_watch() -> None:
    bare = {"substrate": "bare", "rock": "none"}
    assert cleared({**bare, "cycled": "no"})
    assert not cleared({**bare, "cycled": "yes"})
    assert not cleared({"cycled": "no"})


@pytest.mark.parametrize(("millilitres", "times"), [(20, ""), (30, ", 2 times,")])
def test_too_much_is_brought_down_by_as_many_changes_as_it_takes(millilitres: int, times: str) -> None:
    """3.33 and 5 mg/L to the 2.25 in use: 1 − 2.25/3.33 is less than half, 1 − 2.25/5 more."""
    found = plan(copper_room(), IN_WARD.replace("12 mL", f"{millilitres} mL"), "2027-03-06T08:00")
    (said,) = [problem for problem in found.problems if problem.code == "S532"]
    litres, changes = re.fullmatch(r"change ([0-9.]+) L(, \d times,)? with .*", said.hint).groups()
    assert (changes or "") == times
    (task,) = [
        task for task in (*found.urgent, *found.batches[0].tasks) if "by reckoning, " in task.text and task.amount
    ]
    assert (", 2 times, read" if times else "holds none, read") in task.text
    assert millilitres / 6 * (1 - float(litres) / 60) ** (2 if times else 1) == pytest.approx(2.25, rel=0.01)


def test_it_is_reckoned_too_high_where_nobody_took_the_temperature() -> None:
    cold = tank("ward")
    del cold["temperature"]
    room = copper_room(tanks={"reef": tank("display"), "ward": cold, "long": tank("observation")})
    record = history(room, IN_WARD.replace("12 mL", "120 mL"), "2027-03-06T08:00")
    found = too_high(record, treatment_for(room, "copper-chelated"), "ward", moment("2027-03-06T08:00"))
    assert found is not None
    assert found.reckoned.level.value == pytest.approx(20)


def test_a_bottle_that_was_taken_off_the_shelf_is_no_riddle() -> None:
    log = log_of(typed(copper_room(), IN_WARD + "2027-03-06T08:00 change ward 10 L with 2.2 mL of copper bottle"))
    gone = copper_room(shelf={"fluke powder": {"active": "praziquantel", "strength": "95 % w/w as praziquantel"}})
    record = fold(gone, log, moment("2027-03-06T09:00"))
    assert "D449" in codes(make_plan(gone, record))


def test_what_was_seen_in_the_evening_is_not_the_look_of_the_next_morning() -> None:
    room = one_of_each()
    record = history(room, CAME + "2027-03-05T20:00 sign tub a dust", "2027-03-06T08:00")
    lines = lines_of_day(room, make_plan(room, record), record, record.at.date())
    assert [task.state for task in lines if task.act == "look"] == ["due"]


def test_a_medicine_that_no_kit_reads_is_asked_about_before_water_is_changed() -> None:
    worms = "2027-03-05T19:10 dose ward praziquantel-bath 0.12 g of fluke powder\n"
    log = f"2027-03-05T19:00 arrived first in ward\n{worms}2027-03-06T08:00 reading ward ammonia 1 mg/L"
    (said,) = [task.text for task in plan(build(), log, "2027-03-06T08:30").urgent]
    assert "praziquantel goes out with it: `pratique dose ward praziquantel-bath --change" in said
    assert re.search(r"--change '[0-9.]+ %' --reading '…'` says what goes back", said)


@pytest.mark.parametrize(("into", "name"), [({}, "reef"), ({"into": "lagoon"}, "lagoon")])
def test_they_are_released_into_the_display_that_is_meant(into: dict[str, str], name: str) -> None:
    both = {**tanks(), "lagoon": tank("display", cycled="yes")}
    (found,) = make_plan(build(tanks=both, batches={"first": batch("2027-03-05T18:30", **into)})).batches
    (release,) = acts(found, "release")
    assert release.text.startswith(f"the earliest day from long into {name}, ")


def test_a_sign_in_a_water_that_is_empty_by_now_asks_for_nothing() -> None:
    log = CAME + "2027-03-06T08:00 sign reef dust\n2027-03-06T08:10 sign tub a dust"
    found = plan(one_of_each(), log, "2027-03-06T08:30")
    assert [task.tank for task in found.urgent if task.act == "signs"] == ["tub a"]


def test_ammonia_is_read_where_the_fish_are_and_not_believed_beside_a_medicine() -> None:
    (found,) = make_plan(one_of_each()).batches
    texts = {stage.kind: [r.text for r in stage.routines if r.text.startswith("ammonia")] for stage in found.stages}
    assert texts["transfers"] == ["ammonia, temperature, of the tank the fish are in now"]
    assert texts["course"] == ["ammonia, pH, temperature; a medicine may falsify the ammonia test"]
    assert texts["observation"] == []  # a living filter


@pytest.mark.parametrize("last", ["ward", "tub a"])
def test_a_series_is_whole_with_its_last_move_wherever_that_goes(last: str) -> None:
    """In on day 1, moved on days 4, 7, 10 and 13 (agents 15)."""
    moves = (("08", "08:00", "tub b"), ("11", "07:30", "tub a"), ("14", "07:00", "tub b"), ("17", "07:00", last))
    log = CAME + "\n".join(f"2027-03-{day}T{hour} move first to {name}" for day, hour, name in moves)
    series, course = first(one_of_each(), log, "2027-03-18T08:00").stages[:2]
    assert series.over
    assert (series.end, course.tank) == (moment("2027-03-17T07:00"), last)


def test_a_track_begins_with_the_first_tank() -> None:
    room = one_of_each()
    record = history(room, CAME + "2027-03-08T08:00 move first to tub b", "2027-03-09T08:00")
    track = track_of(room, record, room.batches["first"])
    assert track is not None
    assert track.start == moment("2027-03-05T19:00")
    assert [visit.tank for visit in track.since(moment("2027-03-08T08:00"))] == ["tub b"]


def test_gear_is_no_matter_where_nothing_is_moved_to_and_fro() -> None:
    watched = {"first": batch("2027-03-05T18:30", "trusted")}
    assert "S509" not in codes(make_plan(build(batches=watched, gear={})))


def test_what_is_urgent_stands_on_the_sheet_of_its_own_day() -> None:
    room = one_of_each()
    record = history(room, CAME + "2027-03-06T08:00 sign tub a dust", "2027-03-06T08:30")
    found = make_plan(room, record)
    days = [moment(f"2027-03-0{day}T08:00").date() for day in (6, 7)]
    assert [any(task.act == "signs" for task in tasks_on(room, found, day, record)) for day in days] == [True, False]


def test_a_sign_keeps_its_line_when_the_fish_go_elsewhere() -> None:
    log = CAME + "2027-03-07T08:00 sign tub a dust"
    (before,) = [task for task in plan(one_of_each(), log, "2027-03-07T08:30").urgent if task.act == "signs"]
    moved = log + "\n2027-03-08T08:00 move first to tub b"
    (after,) = [task for task in plan(one_of_each(), moved, "2027-03-08T08:30").urgent if task.act == "signs"]
    assert (before.tank, after.tank) == ("tub a", "tub b")
    assert before.id.split("/")[:2] == after.id.split("/")[:2] == ["tub-a", "signs"]


@pytest.mark.parametrize(("marked", "additions"), [("2027-03-05T19:30", 1), ("2027-03-07T19:30", 2)])
def test_a_dose_that_is_written_and_marked_is_one_dose(marked: str, additions: int) -> None:
    line = "dose/1" if additions == 1 else "redose/1"
    found = first(copper_room(), IN_WARD + f"{marked} done first/copper/{line}", "2027-03-07T20:00")
    assert sum(task.state == "done" for task in acts(found, "dose", "redose")) == additions


def test_what_is_ticked_today_stands_on_the_sheet_as_done_and_tomorrow_no_more() -> None:
    room = build(batches={"first": batch("2027-03-05T18:30")})
    log = "2027-03-06T10:00 arrived first in reef\n"
    (trace,) = [task for task in plan(room, log, "2027-03-06T12:00").urgent if task.act == "trace"]
    ticked = log + f"2027-03-06T12:30 done {trace.id}"
    for at, states in (("2027-03-06T13:00", ["done"]), ("2027-03-07T08:00", [])):
        assert [task.state for task in plan(room, ticked, at).urgent if task.act == "trace"] == states


def test_on_a_day_on_which_nobody_comes_what_is_urgent_is_for_now() -> None:
    away = one_of_each(room={"away": [{"from": "2027-03-07", "to": "2027-03-08"}]})
    found = plan(away, CAME + "2027-03-06T20:00 sign tub a dust", "2027-03-07T12:34").urgent
    assert [(task.at, task.state) for task in found if task.act == "signs"] == [(moment("2027-03-07T12:34"), "late")]
