"""How tasks stand by the log, and the numbered lines of a day."""

from __future__ import annotations

import datetime as dt

import pytest

from history.kept import (
    HOME,
    acts,
    batch,
    build,
    copper_room,
    first,
    history,
    log_of,
    moment,
    one_of_each,
    plan,
    tank,
    typed,
)
from pratique.history.fold import fold
from pratique.logbook.entry import Correction
from pratique.room.resolve import Room
from pratique.schedule.day import tasks_on
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import Task
from pratique.schedule.plan import make_plan

CAME = "2027-03-05T19:00 arrived first in tub a\n"
RESIDENTS = [{"species": "yellow tang", "tank": "reef"}]


def lines(room: Room, log: str, at: str, date: str = "") -> tuple[Task, ...]:
    record = history(room, log, at)
    day = dt.date.fromisoformat(date) if date else record.at.date()
    return lines_of_day(room, make_plan(room, record), record, day)


def state(found: tuple[Task, ...], act: str, tank: str = "") -> list[str]:
    return [task.state for task in found if task.act == act and (not tank or task.tank == tank)]


@pytest.mark.parametrize(
    ("at", "look", "feed"),
    [("06T06:30", "", ""), ("06T08:00", "due", ""), ("06T12:00", "late", ""), ("06T23:00", "late", "late")],
)
def test_what_is_to_come_is_due_and_late_on_its_day(at: str, look: str, feed: str) -> None:
    found = lines(one_of_each(), CAME, f"2027-03-{at}")
    assert (state(found, "look"), state(found, "feed")) == ([look], [feed])


def test_and_missed_on_a_later_day() -> None:
    found = lines(one_of_each(), CAME, "2027-03-07T08:00", "2027-03-06")
    assert state(found, "look") == ["missed"]


@pytest.mark.parametrize(
    ("entry", "act"),
    [
        ("2027-03-06T07:20 done first/transfers/look/0/2027-03-06", "look"),
        ("2027-03-06T07:20 sign tub a dust", "look"),
        ("2027-03-06T07:20 reading tub a ammonia 0.25 mg/L", "test"),
        ("2027-03-06T18:20 fed tub a", "feed"),
    ],
)
def test_what_shows_that_a_repeated_act_was_done(entry: str, act: str) -> None:
    found = lines(one_of_each(), CAME + entry, "2027-03-06T22:30")
    task = next(task for task in found if task.act == act)
    assert task.state == "done"
    assert task.done_at == moment(entry[:16])


def test_what_shows_that_a_single_act_was_done() -> None:
    log = CAME + """
        2027-03-08T08:00 move first to tub b
        2027-03-08T08:30 cleaned tub a
        2027-03-08T09:30 dried tub a
    """
    found = first(one_of_each(), log, "2027-03-08T10:00")
    done = {task.id.partition("/")[2]: f"{task.done_at:%d %H:%M}" for task in found.tasks if task.done_at}
    assert done == {
        "transfers/prepare-water/1": "05 19:00",
        "transfers/set-up/1": "05 19:00",
        "transfers/arrive/1": "05 19:00",
        "transfers/prepare-water/2": "08 08:00",
        "transfers/set-up/2": "08 08:00",
        "transfers/transfer/1": "08 08:00",
        "transfers/strip/1": "08 08:30",
        "transfers/dry/1": "08 09:30",
    }


@pytest.mark.parametrize(
    ("then", "dried", "left"),
    [
        ("arrived second in tub a", "12", "done"),
        ("arrived second in tub a", "20", "due"),
        ("move first to tub a", "20", "missed"),
        ("move first to ward", "20", "done"),
    ],
)
def test_a_tub_that_fish_came_into_since_is_not_shown_dried(then: str, dried: str, left: str) -> None:
    """The first batch left tub a in the morning; at 19:00 it comes back, goes elsewhere, or another comes into it."""
    room = build(batches={"first": batch("2027-03-05T18:30"), "second": batch("2027-03-08T18:30")})
    log = [CAME.strip(), "2027-03-08T08:00 move first to tub b", f"2027-03-08T19:00 {then}"]
    text = "\n".join(sorted([*log, f"2027-03-08T{dried}:00 dried tub a"]))
    found = next(found for found in plan(room, text, "2027-03-08T21:00").batches if found.batch.name == "first")
    assert [task.state for task in acts(found, "dry") if task.at == moment("2027-03-08T08:00")] == [left]


@pytest.mark.parametrize(
    ("mark", "state"),
    [
        ("2027-03-05T19:00 done first/transfers/transfer/1", ""),
        ("2027-03-05T19:01 done first/transfers/transfer/1", "due"),
        ("2027-03-05T20:00 skipped first/transfers/transfer/1", ""),
    ],
)
def test_a_move_that_is_marked_done_moves_them_after_they_came(mark: str, state: str) -> None:
    """In tub b since the evening of the 5th, the next move of the 8th is due; where nothing moved them it is not."""
    came = "2027-03-05T19:00 done first/transfers/arrive/1\n"
    found = first(one_of_each(), came + mark, "2027-03-08T09:00")
    assert found.stages[0].tanks[0] == "tub a"
    assert acts(found, "transfer")[1].state == state


def test_a_move_marked_done_after_they_went_into_the_display_moves_nobody() -> None:
    gone = CAME + "2027-03-07T18:00 move first to reef\n2027-03-08T08:00 done first/transfers/transfer/1"
    found = first(one_of_each(), gone, "2027-03-08T09:00")
    assert (found.over, [stage.tanks for stage in found.stages]) == ("went into reef on Sun 7 Mar 18:00", [("tub a",)])


def test_skipped_is_skipped() -> None:
    log = CAME + "2027-03-06T07:20 skipped first/transfers/look/0/2027-03-06 because ill"
    assert state(lines(one_of_each(), log, "2027-03-06T22:30"), "look") == ["skipped"]


def test_nothing_is_said_of_the_time_before_the_log_nor_of_a_batch_that_has_not_come() -> None:
    room = one_of_each(animals=RESIDENTS)
    found = lines(room, "2027-03-10T12:00 note the log begins", "2027-03-10T20:00")
    assert state(found, "look", "reef") == [""]
    assert state(found, "feed", "reef") == ["due"]
    assert state(found, "look", "tub b") == [""]
    before = lines(room, "2027-03-10T12:00 note the log begins", "2027-03-10T20:00", "2027-03-09")
    assert set(task.state for task in before) == {""}  # noqa: C401


def test_residents_are_counted_where_they_are() -> None:
    room = one_of_each(animals=[{"species": "yellow tang", "count": 3, "tank": "reef"}])
    log = "2027-03-01T08:00 death reef yellow tang\n2027-03-01T09:00 move 1 yellow tang to ward"
    found = lines(room, log, "2027-03-02T06:00")
    assert {task.tank: task.text[:15] for task in found if task.act == "look"} == {
        "reef": "count heads (1)",
        "ward": "count heads (1)",
    }


def test_copper_readings_and_changes_of_a_day() -> None:
    ward = tank("ward", change="25 % every 1 d")
    room = copper_room(tanks={"reef": tank("display"), "ward": ward, "long": tank("observation")})
    log = """
        2027-03-05T18:40 arrived first in ward
        2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle
        2027-03-06T07:30 reading ward copper 2.0 mg/L
        2027-03-06T08:00 change ward 25 % with 3 mL of copper bottle
    """
    found = lines(room, log, "2027-03-06T21:00")
    copper = [(f"{t.at:%H}", t.state) for t in found if t.act == "test" and t.text.startswith("copper: write")]
    assert copper == [("07", "done"), ("18", "due")]
    assert state(found, "change-water") == ["done"]
    assert state(found, "redose")[0] == "done"


# --- numbered lines ---------------------------------------------------------------------------------------------


def test_lines_keep_their_numbers_when_a_move_is_made_earlier_than_planned() -> None:
    room = one_of_each(animals=RESIDENTS)
    morning = lines(room, CAME, "2027-03-08T06:30")
    later = lines(room, CAME + "2027-03-08T07:05 move first to tub b", "2027-03-08T12:00")
    assert [task.id for task in later[: len(morning)]] == [task.id for task in morning]
    moved = next(task for task in later if task.act == "transfer")
    assert (moved.state, moved.done_at) == ("done", moment("2027-03-08T07:05"))


def test_what_a_reading_adds_comes_after_the_lines_of_the_morning() -> None:
    log = """
        2027-03-05T18:40 arrived first in ward
        2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle
        2027-03-07T18:50 dose ward 1.5 mL of copper bottle
        2027-03-08T08:00 reading ward copper 2.25 mg/L
    """
    morning = lines(copper_room(), log, "2027-03-09T06:30")
    low = lines(copper_room(), log + "2027-03-09T07:30 reading ward copper 1.7 mg/L", "2027-03-09T08:00")
    assert [task.id for task in low[: len(morning)]] == [task.id for task in morning]
    assert [task.act for task in low[len(morning) :]] == ["redose"]


def test_what_is_no_longer_for_today_stays_on_its_line_and_says_so() -> None:
    """The second step of the ramp was for the evening; a reading shows the level to be there already."""
    log = """
        2027-03-05T18:40 arrived first in ward
        2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle
    """
    morning = lines(copper_room(), log, "2027-03-07T06:30")
    number = next(number for number, task in enumerate(morning) if task.act == "redose")
    there = lines(copper_room(), log + "2027-03-07T08:00 reading ward copper 2.3 mg/L", "2027-03-07T09:00")
    assert there[number].id == morning[number].id
    assert there[number].state == "off"
    assert there[number].text.endswith("no longer planned")


def test_a_move_that_is_put_off_says_until_when() -> None:
    """The arrival is set right to a day later: the move that stood on the sheet of the 8th is for the 9th."""
    room = one_of_each()
    morning = lines(room, CAME, "2027-03-08T06:30")
    number = next(number for number, task in enumerate(morning) if task.act == "transfer")
    entries = typed(room, CAME)
    right = typed(room, "2027-03-06T21:00 arrived first in tub a")[0]
    at = moment("2027-03-08T07:00")
    later = Correction(
        id="9999999", at=at, written=at, of=entries[0].id,
        instead=right.model_copy(update={"id": entries[0].id}),
    )  # fmt: skip
    record = fold(room, log_of([*entries, later]), moment("2027-03-08T08:00"))
    found = lines_of_day(room, make_plan(room, record), record, dt.date(2027, 3, 8))
    assert found[number].state == "off"
    assert "now on Tue 9 Mar" in found[number].text


def test_a_day_without_a_log_and_a_day_to_come_are_as_the_plan_has_them() -> None:
    room = one_of_each()
    record = history(room, CAME, "2027-03-06T08:00")
    plan = make_plan(room, record)
    date = dt.date(2027, 3, 8)
    assert lines_of_day(room, plan, record, date) == tasks_on(room, plan, date, record)
    empty = fold(room, log_of([]), moment("2027-03-08T08:00"))
    assert lines_of_day(room, make_plan(room), empty, date) == tasks_on(room, make_plan(room), date)


def test_two_batches_of_one_day_and_another_zone() -> None:
    about = {"time_zone": "America/New_York", "hours": "07:00-09:00, 18:00-22:00"}
    room = build(room=about, batches={"a": batch("2027-03-05T18:30"), "b": batch("2027-04-30T18:30")})
    record = history(room, "2027-03-05T19:00 arrived a in tub a", "2027-03-06T08:00")
    found = lines_of_day(room, make_plan(room, record), record, record.at.date())
    assert found
    assert record.at.tzinfo is not HOME
    assert {task.batch for task in found} == {"a"}
