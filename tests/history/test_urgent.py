"""What the log asks for before anything else: signs to answer, water to change, too much given, a display exposed.

Levels and litres are compared with plain arithmetic (mg in the bottle over litres of water), done here by hand.
"""

from __future__ import annotations

import pytest

from history.kept import acts, batch, build, codes, copper_room, first, history, moment, one_of_each, plan, tank, tanks
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.day import tasks_on
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import Task
from pratique.schedule.plan import make_plan
from pratique.schedule.reckoned import reckoned_level, too_high
from pratique.schedule.recorded import medicines_on_record

CAME = "2027-03-05T19:00 arrived first in tub a\n"
IN_WARD = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"
TEN_TIMES = IN_WARD.replace("12 mL", "120 mL")


def urgent(room: Room, lines: str, at: str, *of: str) -> list[Task]:
    return [task for task in plan(room, lines, at).urgent if not of or task.act in of]


def sheet(room: Room, lines: str, at: str) -> tuple[Task, ...]:
    known = history(room, lines, at)
    return tasks_on(room, make_plan(room, known), moment(at).date(), known)


# --- signs -----------------------------------------------------------------------------------------------------


def test_a_sign_leads_its_tank_until_its_line_is_ticked() -> None:
    lines = CAME + "2027-03-06T08:00 sign tub a yellow tang dust\n"
    today = sheet(one_of_each(), lines, "2027-03-06T08:30")
    own = [task for task in today if task.tank == "tub a"]
    assert own[0].act == "signs"
    assert own[0].state == "due"
    assert "`pratique signs 'tub a' dust`" in own[0].text
    tomorrow = next(task for task in sheet(one_of_each(), lines, "2027-03-07T08:30") if task.tank == "tub a")
    assert (tomorrow.act, tomorrow.state, tomorrow.id) == ("signs", "late", own[0].id)
    ticked = lines + f"2027-03-07T09:00 done {own[0].id}\n"
    (done,) = urgent(one_of_each(), ticked, "2027-03-07T09:30", "signs")
    assert done.state == "done"
    assert not urgent(one_of_each(), ticked, "2027-03-08T09:30", "signs")
    again = ticked + "2027-03-08T08:00 sign tub a scratching\n"
    assert [task.state for task in urgent(one_of_each(), again, "2027-03-08T09:30", "signs")] == ["due"]


def test_a_sign_goes_with_its_batch_into_the_next_tank() -> None:
    lines = CAME + "2027-03-07T08:00 sign tub a yellow tang dust\n2027-03-08T08:00 move first to tub b\n"
    (found,) = urgent(one_of_each(), lines, "2027-03-08T08:30", "signs")
    assert (found.tank, found.batch) == ("tub b", "first")
    assert "in tub a" in found.text


@pytest.mark.parametrize(
    ("day", "whose"), [("06", ("first", "tub b")), ("09", ("", "tub a")), ("10", ("second", "tub a"))]
)
def test_a_sign_is_of_the_batch_that_was_there_then(day: str, whose: tuple[str, str]) -> None:
    """The first left tub a on the 8th; the second came into it on the evening of the 9th."""
    room = build(batches={"first": batch("2027-03-05T18:30"), "second": batch("2027-03-08T18:30")})
    log = [CAME.strip(), "2027-03-08T08:00 move first to tub b", "2027-03-09T19:00 arrived second in tub a"]
    lines = "\n".join(sorted([*log, f"2027-03-{day}T08:00 sign tub a dust"]))
    (found,) = urgent(room, lines, "2027-03-10T09:00", "signs")
    assert (found.batch, found.tank) == whose


def test_a_sign_on_a_resident_stands_with_its_tank() -> None:
    room = one_of_each(animals=[{"species": "yellow tang", "name": "Lemon", "tank": "reef"}])
    lines = "2027-03-05T08:00 sign reef Lemon dust"
    (found,) = urgent(room, lines, "2027-03-05T09:00", "signs")
    assert (found.tank, found.batch) == ("reef", "")
    assert "S530" in codes(plan(room, lines, "2027-03-05T09:00"))


def test_the_plan_no_longer_says_that_no_signs_were_seen() -> None:
    assert any("no signs were seen" in text for text in first(one_of_each(), CAME, "2027-03-06T09:00").why)
    found = first(one_of_each(), CAME + "2027-03-06T08:00 sign tub a yellow tang dust", "2027-03-06T09:00")
    assert not any("no signs were seen" in text for text in found.why)
    assert [entry.signs for entry in found.seen] == [("dust",)]
    (said,) = [problem for problem in found.problems if problem.code == "S530"]
    assert "fine coat like dust seen on yellow tang of `first` in `tub a`" in said.message
    assert "`transfers-anthelmintic` may no longer be the answer (S518" in said.note
    assert "`pratique signs 'tub a' dust`" in said.hint


def test_a_sign_in_a_watch_begins_the_days_again_and_says_so() -> None:
    room = build(batches={"first": batch(trust="trusted", regimen="watch-only")})
    lines = "2027-03-05T19:00 arrived first in long\n2027-03-20T08:00 sign long scratching"
    found = first(room, lines, "2027-03-20T09:00")
    (said,) = [problem for problem in found.problems if problem.code == "S530"]
    assert said.note.startswith("the days of watching begin again with it")


# --- ammonia ---------------------------------------------------------------------------------------------------


def test_ammonia_asks_for_a_change_now_and_counts_an_unknown_ph_as_high() -> None:
    lines = CAME + "2027-03-06T08:00 reading tub a ammonia 1 mg/L\n"
    (found,) = urgent(one_of_each(), lines, "2027-03-06T08:30", "change-water")
    assert found.state == "due"
    assert found.text.startswith("change water NOW")
    assert "pH not known" in found.text
    assert found.amount is not None
    with_ph = "2027-03-06T07:50 reading tub a ph 7.8\n"
    (less,) = urgent(one_of_each(), CAME + with_ph + lines.removeprefix(CAME), "2027-03-06T08:30", "change-water")
    assert less.amount is not None
    assert less.amount.value < found.amount.value
    assert "pH not known" not in less.text


@pytest.mark.parametrize(
    ("line", "open_"),
    [
        ("2027-03-06T09:00 reading tub a ammonia 0 mg/L", False),
        ("2027-03-06T09:00 change tub a 99 %", False),
        ("2027-03-06T09:00 change tub a 10 %", True),
        ("2027-03-06T09:00 move first to tub b", False),
    ],
)
def test_what_ends_it(line: str, open_: bool) -> None:
    lines = CAME + "2027-03-06T08:00 reading tub a ammonia 1 mg/L\n"
    whole = urgent(one_of_each(), lines, "2027-03-06T08:30", "change-water")[0]
    found = [t for t in urgent(one_of_each(), lines + line, "2027-03-06T10:00", "change-water") if t.state != "done"]
    assert bool(found) == open_
    if found:
        assert whole.amount is not None
        assert found[0].amount is not None
        assert found[0].amount.value < whole.amount.value


def test_a_level_that_was_never_high_asks_for_nothing() -> None:
    assert not urgent(one_of_each(), CAME + "2027-03-06T08:00 reading tub a ammonia 0 mg/L", "2027-03-06T08:30")


def test_what_of_the_medicine_goes_back_is_said() -> None:
    """2 mg/L in 60 L are 120 mg, or 12 mL of 10 mg/mL; of a change of so many litres its share of that."""
    level = "2027-03-06T08:00 reading ward copper 2 mg/L\n2027-03-06T08:00 reading ward ammonia 1 mg/L\n"
    (found,) = urgent(copper_room(), IN_WARD + level, "2027-03-06T08:30", "change-water")
    assert found.amount is not None
    assert f"{found.amount.value * 2.0 / 10.0:.1f} mL of copper bottle into the new water" in found.text
    (unread,) = urgent(copper_room(), IN_WARD + level.split("\n")[1], "2027-03-06T08:30", "change-water")
    assert "mL of copper bottle into the new water keeps 2.00 mg/L" in unread.text  # by what was given


def test_without_a_salinity_no_number_is_given() -> None:
    tubs = {**tanks(), "tub a": {key: value for key, value in tank("transfer").items() if key != "salinity"}}
    lines = CAME + "2027-03-06T08:00 reading tub a ammonia 1 mg/L"
    (found,) = urgent(one_of_each(tanks=tubs), lines, "2027-03-06T09:00")
    assert (found.act, found.refused, found.amount) == ("test", "W801", None)


# --- too much given --------------------------------------------------------------------------------------------


def test_a_level_is_reckoned_from_what_was_given() -> None:
    """12 mL of 10 mg/mL in 60 L are 2 mg/L; half of the water out leaves half; 6 mL more make it 2 again."""
    copper = treatment_for(copper_room(), "copper-chelated")
    lines, at = IN_WARD + "2027-03-06T09:00 change ward 50 %\n", "2027-03-06T10:00"
    known = history(copper_room(), IN_WARD, at)
    found = reckoned_level(known, copper, "ward", known.at)
    assert found is not None
    assert found.level.value == pytest.approx(2.0)
    assert found.level.low == pytest.approx(120 / 61)
    assert found.level.high == pytest.approx(120 / 59)
    halved = history(copper_room(), lines, at)
    assert reckoned_level(halved, copper, "ward", halved.at).level.value == pytest.approx(1.0)  # type: ignore[union-attr]
    more = history(copper_room(), lines + "2027-03-06T09:30 dose ward 6 mL of copper bottle", at)
    assert reckoned_level(more, copper, "ward", more.at).level.value == pytest.approx(2.0)  # type: ignore[union-attr]
    read = history(copper_room(), lines + "2027-03-06T09:40 reading ward copper 0.9 mg/L", at)
    assert reckoned_level(read, copper, "ward", read.at) is None


def test_ten_times_the_dose_asks_for_changes_and_a_reading_and_no_more_of_it() -> None:
    """120 mL of 10 mg/mL in 60 L are 20 mg/L; four halvings bring 20 to 2.25 or less, three do not."""
    found = first(copper_room(), TEN_TIMES, "2027-03-05T19:30")
    assert "S532" in codes(found)
    assert not [task for task in acts(found, "dose", "redose") if task.state != "done"]
    (change,) = [task for task in acts(found, "change-water") if task.urgent]
    assert "20.0 mg/L" in change.text
    assert "4 times" in change.text
    assert change.amount is not None
    assert 20 * (1 - change.amount.value / 60) ** 4 == pytest.approx(2.25, rel=0.01)
    (read,) = [task for task in acts(found, "test") if task.urgent]
    assert read.state == "due"
    own = [task for task in sheet(copper_room(), TEN_TIMES, "2027-03-05T19:30") if task.tank == "ward"]
    assert [task.act for task in own[:2]] == ["test", "change-water"]


def test_a_reading_in_band_ends_it_and_one_above_goes_on() -> None:
    low = first(copper_room(), TEN_TIMES + "2027-03-06T08:00 reading ward copper 2.2 mg/L", "2027-03-06T08:30")
    assert "S532" not in codes(low)
    assert not [task for task in low.tasks if task.urgent]
    high = first(copper_room(), TEN_TIMES + "2027-03-06T08:00 reading ward copper 9 mg/L", "2027-03-06T08:30")
    assert "S532" not in codes(high)
    assert [task.act for task in high.tasks if task.urgent] == ["change-water"]
    assert not [task for task in acts(high, "dose", "redose") if task.state != "done"]


def test_the_dose_of_the_sheet_is_never_too_much() -> None:
    known = history(copper_room(), IN_WARD + "2027-03-07T19:10 dose ward 1.5 mL of copper bottle", "2027-03-07T20:00")
    assert too_high(known, treatment_for(copper_room(), "copper-chelated"), "ward", known.at) is None


def test_too_much_where_no_stage_holds_it() -> None:
    """0.6 g of 95 % in 60 L are 9.5 mg/L, more than twice the level in use."""
    room = build(batches={"first": batch(regimen="without-copper")})
    lines = "2027-03-05T19:00 arrived first in ward\n2027-03-06T19:00 dose ward praziquantel-bath 0.6 g of fluke powder"
    found = plan(room, lines, "2027-03-06T19:30")
    assert "S532" in codes(found)
    assert [task.act for task in found.urgent] == ["test", "change-water"]
    assert "9.50 mg/L" in found.urgent[0].text


# --- a display exposed -----------------------------------------------------------------------------------------


def test_straight_into_the_display_the_residents_are_counted_with_it_and_the_sheet_says_what_to_do() -> None:
    room = one_of_each(animals=[{"species": "yellow tang", "name": "Lemon", "tank": "reef"}])
    lines = "2027-03-05T19:00 arrived first in reef"
    today = sheet(room, lines, "2027-03-06T08:00")
    own = [task for task in today if task.tank == "reef"]
    assert own[0].act == "trace"
    assert "`pratique trace reef`" in own[0].text
    assert "`pratique signs reef" in own[0].text
    assert next(task for task in own if task.act == "look").text.startswith("count heads (3)")


# --- the dead --------------------------------------------------------------------------------------------------

DEAD = CAME + "2027-03-06T08:00 death tub a yellow tang\n2027-03-07T08:00 death tub a ocellaris clownfish\n"


def test_a_batch_all_dead_is_closed_and_its_tank_still_asked_about() -> None:
    found = first(one_of_each(), DEAD, "2027-03-07T09:00")
    assert found.over.startswith("all of it has died")
    assert found.release is None
    assert found.is_whole
    assert {task.act: task.state for task in acts(found, "strip", "dry")} == {"strip": "due", "dry": "due"}
    days_later = [task.act for task in sheet(one_of_each(), DEAD, "2027-03-10T09:00") if task.tank == "tub a"]
    assert days_later == ["strip", "dry"]
    dried = DEAD + "2027-03-08T09:00 dried tub a\n"
    assert {task.state for task in acts(first(one_of_each(), dried, "2027-03-10T09:00"), "strip", "dry")} == {"done"}
    assert not [task for task in sheet(one_of_each(), dried, "2027-03-10T09:00") if task.tank == "tub a"]


def test_a_tank_that_fish_left_is_asked_about_until_it_is_stripped() -> None:
    lines = CAME + "2027-03-08T08:00 move first to tub b\n"
    own = [task.act for task in sheet(one_of_each(), lines, "2027-03-09T08:00") if task.tank == "tub a"]
    assert own == ["strip", "dry"]


# --- ticked doses, and the lines of a sheet --------------------------------------------------------------------


def test_a_dose_that_was_only_ticked_is_in_the_water() -> None:
    room = copper_room()
    ticked = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:20 done first/copper/dose/1\n"
    known = history(room, ticked, "2027-03-06T09:00")
    assert medicines_on_record(room, known, "ward") == ("copper-chelated",)
    emptied = history(room, ticked + "2027-03-06T08:00 cleaned ward", "2027-03-06T09:00")
    assert medicines_on_record(room, emptied, "ward") == ()


def test_lines_keep_their_numbers_when_something_urgent_comes_in() -> None:
    room = one_of_each()
    before = history(room, CAME, "2027-03-06T07:30")
    lines = CAME + "2027-03-06T08:00 sign tub a yellow tang dust\n"
    after = history(room, lines, "2027-03-06T08:30")
    date = moment("2027-03-06T08:00").date()
    printed = [task.id for task in lines_of_day(room, make_plan(room, before), before, date)]
    now = [task.id for task in lines_of_day(room, make_plan(room, after), after, date)]
    assert now[: len(printed)] == printed
    assert now[len(printed)].startswith("tub-a/signs/")
