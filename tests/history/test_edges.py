"""The last minute at which something still counts, and the first at which it does not: each limit from both sides."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable

import pytest

from history.kept import (
    acts,
    batch,
    build,
    codes,
    copper_room,
    first,
    history,
    moment,
    one_of_each,
    plan,
    tank,
    tanks,
)  # fmt: skip
from history.test_whole_plans import CAME, IN_BAND, IN_WARD
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import Calendar
from pratique.schedule.day import routine_tasks, tasks_on
from pratique.schedule.feeds import seen_sick
from pratique.schedule.known_level import known_level
from pratique.schedule.model import Task
from pratique.schedule.occupants import everyone_now, with_signs
from pratique.schedule.plan import make_plan
from pratique.schedule.reckoned import reckoned_level
from pratique.schedule.recorded import medicines_on_record
from pratique.schedule.slip import slip_of

WORM = "dose ward praziquantel-bath 0.126 g of fluke powder\n"
RESIDENTS = [{"species": "yellow tang", "name": "Lemon", "tank": "reef"}]


def said(room: Room, lines: str, at: str) -> list[str]:
    return codes(plan(room, lines, at))


def urgent(room: Room, lines: str, at: str, act: str) -> list[str]:
    return [task.text for task in plan(room, lines, at).urgent if task.act == act]


def routines(room: Room, lines: str, at: str, day: str) -> list[Task]:
    known = history(room, lines, at)
    batch_plan = make_plan(room, known).batches[0]
    return list(routine_tasks(batch_plan, Calendar(room), dt.date.fromisoformat(day), known))


LEFT = IN_BAND + "2027-03-12T09:00 move first to long\n"
KITS = {
    "copper meter": {"measures": "copper", "forms": ["chelated"], "resolution": "0.01 mg/L", "error": "3 %"},
    "ionic kit": {"measures": "copper", "forms": ["ionic"], "resolution": "0.01 mg/L", "error": "3 %"},
}
UNREADABLE = IN_BAND + "2027-03-10T08:00 reading ward copper 2.2 mg/L with ionic kit\n"


def two_kits() -> Room:
    return copper_room(kits=KITS)


@pytest.mark.parametrize(
    ("code", "room", "lines", "inside", "outside"),
    [
        ("S525", copper_room, LEFT, "2027-04-05T10:00", "2027-04-05T10:01"),  # 24 days of 24 h; the clocks went forward
        ("S527", two_kits, UNREADABLE, "2027-03-11T08:00", "2027-03-11T08:01"),
        ("S527", two_kits, UNREADABLE, "2027-03-10T08:01", "2027-03-10T07:59"),
        ("S530", one_of_each, CAME + "2027-03-06T08:00 sign tub a dust", "2027-03-20T08:00", "2027-03-20T08:01"),
    ],
)
def test_what_is_said_for_so_long(code: str, room: Callable[[], Room], lines: str, inside: str, outside: str) -> None:
    assert code in said(room(), lines, inside)
    assert code not in said(room(), lines, outside)


@pytest.mark.parametrize(("degrees", "warm"), [("26 degC", True), ("25.9 degC", False)])
def test_water_is_warm_from_26_degrees(degrees: str, warm: bool) -> None:
    room = build(tanks={**tanks(), "tub a": tank("transfer", temperature=degrees)})
    assert ("S513" in codes(make_plan(room))) == warm


def test_a_water_is_suspect_for_thirty_days_after_a_sign() -> None:
    known = history(one_of_each(), CAME + "2027-03-06T08:00 sign tub a dust", "2027-04-20T08:00")
    assert seen_sick(known, "tub a", moment("2027-04-05T09:00"))  # the clocks went forward
    assert not seen_sick(known, "tub a", moment("2027-04-05T09:01"))
    assert seen_sick(known, "tub a", moment("2027-03-06T08:00"))
    assert not seen_sick(known, "tub a", moment("2027-03-06T07:59"))


@pytest.mark.parametrize(
    ("sign", "inside", "outside"),
    [
        ("open-wounds", "2027-03-20T08:00", "2027-03-20T08:01"),
        ("dust", "2027-04-05T09:00", "2027-04-05T09:01"),
    ],
)
def test_a_sign_is_the_animals_for_two_weeks_one_of_velvet_for_thirty_days(
    sign: str, inside: str, outside: str
) -> None:
    room = one_of_each()
    for at, shows in ((inside, (sign,)), (outside, ())):
        known = history(room, CAME + f"2027-03-06T08:00 sign tub a yellow tang {sign}", at)
        there = with_signs(everyone_now(room, known)["tub a"], known, known.at)
        assert {one.label: one.signs for one in there} == {"ocellaris clownfish": (), "yellow tang": shows}


DOSED_APART = "dose ward 3.4 mL of copper bottle into new water\n2027-03-10T09:00 change ward 15 L"


@pytest.mark.parametrize(
    ("changed", "standing"),
    [
        (f"2027-03-09T09:00 {DOSED_APART}", "known"),
        (f"2027-03-09T08:59 {DOSED_APART}", "changed"),
        ("2027-03-10T09:00 change ward 15 L with 2.71 mL of copper bottle", "known"),
        ("2027-03-10T09:00 change ward 15 L with 2.69 mL of copper bottle", "changed"),
        ("2027-03-10T09:00 change ward 15 L with 4.04 mL of copper bottle", "known"),
        ("2027-03-10T09:00 change ward 15 L with 4.06 mL of copper bottle", "changed"),
    ],
)  # fmt: skip
def test_a_change_leaves_the_level_where_its_dose_is_near_enough_in_time_and_amount(
    changed: str, standing: str
) -> None:
    """15 L at 2.25 mg/L take 3.375 mL of 10 mg/mL; a fifth less is 2.70, a fifth more 4.05."""
    room = copper_room()
    known = history(room, IN_BAND + changed, "2027-03-10T09:30")
    assert known_level(known, treatment_for(room, "copper-chelated"), "ward", known.at).standing == standing


@pytest.mark.parametrize(("at", "by_reading"), [("2027-03-06T20:00", True), ("2027-03-06T20:01", False)])
def test_a_dose_is_worked_out_from_a_reading_of_the_last_twelve_hours(at: str, by_reading: bool) -> None:
    found = first(copper_room(), IN_WARD + "2027-03-06T08:00 reading ward copper 2.1 mg/L", at)
    (coming,) = [task for task in acts(found, "redose") if not task.routine]
    assert ("by the reading 2.1 mg/L" in coming.text, coming.amount is not None) == (by_reading, by_reading)


IN_COURSE = f"2027-03-05T19:00 arrived first in ward\n2027-03-06T19:00 {WORM}"


@pytest.mark.parametrize(
    ("second", "what"),
    [
        ("2027-03-12T18:00", ""),
        ("2027-03-12T17:59", "came before its window"),
        ("2027-03-16T20:00", ""),
        ("2027-03-16T20:01", "past its window"),
    ],
)
def test_a_dose_counts_from_an_hour_before_its_window_to_an_hour_after_it(second: str, what: str) -> None:
    """At 25 degC the second is due six to ten days after the first."""
    room = build(batches={"first": batch(regimen="without-copper")})
    found = first(room, IN_COURSE + f"{second} {WORM}", "2027-03-17T09:00")
    messages = [problem.message for problem in found.problems if problem.code == "S524"]
    assert [what in message for message in messages] == ([True] if what else [])


@pytest.mark.parametrize(("left", "early"), [("2027-03-22T07:00", False), ("2027-03-22T06:59", True)])
def test_a_stage_left_an_hour_before_its_clock_was_full_is_whole(left: str, early: bool) -> None:
    days = "".join(f"2027-03-{day:02}T08:00 reading ward copper 2.25 mg/L\n" for day in range(10, 22))
    found = first(copper_room(), IN_BAND + days + f"{left} move first to long", "2027-03-22T12:00")
    assert ("S525" in codes(found)) == early


@pytest.mark.parametrize(("read", "known"), [("2027-03-06T08:00", True), ("2027-03-06T07:59", False)])
def test_a_ph_of_the_day_before_is_that_of_the_ammonia(read: str, known: bool) -> None:
    lines = CAME + f"{read} reading tub a ph 8.2\n2027-03-07T08:00 reading tub a ammonia 1 mg/L"
    (text,) = urgent(one_of_each(), lines, "2027-03-07T09:00", "change-water")
    assert ("pH not known" not in text) == known


@pytest.mark.parametrize(("read", "state"), [("2027-03-06T12:59", "done"), ("2027-03-06T13:01", "late")])
def test_a_test_of_the_morning_was_made_within_six_hours(read: str, state: str) -> None:
    lines = CAME + f"{read} reading tub a ammonia 0 mg/L"
    (test,) = [task for task in routines(one_of_each(), lines, "2027-03-06T14:00", "2027-03-06") if task.act == "test"]
    assert test.state == state


@pytest.mark.parametrize(("changed", "mixed"), [("2027-03-12T05:59", True), ("2027-03-12T06:01", False)])
def test_water_that_was_changed_in_by_the_second_morning_was_mixed(changed: str, mixed: bool) -> None:
    """The water mixed on Wednesday at 18:00 for the change of Thursday, and used within 36 hours."""
    found = routines(copper_room(), IN_BAND + f"{changed} change ward 15 L", "2027-03-12T09:00", "2027-03-10")
    water = [task for task in found if task.act == "prepare-water"]
    assert [task.state == "done" for task in water] == [mixed]


def test_what_was_to_be_done_yesterday_and_comes_again_is_missed_and_not_late() -> None:
    """A round has its day: nobody makes yesterday's look, nor the dose of a change that was not made."""
    found = routines(copper_room(), IN_BAND, "2027-03-12T09:00", "2027-03-11")
    assert {task.act for task in found} >= {"look", "feed", "test", "change-water", "redose"}
    assert {task.state for task in found} == {"missed"}


@pytest.mark.parametrize(("level", "too_high"), [("2.5", False), ("2.51", True)])
def test_at_the_ceiling_itself_nothing_is_changed(level: str, too_high: bool) -> None:
    found = first(copper_room(), IN_BAND + f"2027-03-10T08:00 reading ward copper {level} mg/L", "2027-03-10T09:00")
    texts = [task.text for task in acts(found, "change-water")]
    assert any(text.startswith("copper too high") for text in texts) == too_high


def test_of_two_of_a_kind_written_apart_one_death_is_one() -> None:
    room = build(batches={"first": batch("2027-03-05T18:30", "untrusted", *["ocellaris clownfish"] * 2)})
    found = first(room, CAME + "2027-03-06T08:00 died tub a ocellaris clownfish", "2027-03-06T09:00")
    assert found.batch.head_count == 1


def test_a_medicine_that_stays_is_in_the_water_after_a_change_and_one_that_goes_is_not() -> None:
    shelf = {
        "copper bottle": {"active": "copper", "form": "chelated", "strength": "10 mg/mL as Cu", "left": "900 mL"},
        "formalin": {"active": "formalin", "strength": "37 % w/v as formaldehyde", "left": "500 mL"},
    }
    room = copper_room(shelf=shelf)
    lines = IN_WARD + "2027-03-06T08:00 dose ward 1 mL of formalin\n"

    def there(more: str) -> Iterable[str]:
        return medicines_on_record(room, history(room, lines + more, "2027-03-06T09:00"), "ward")

    assert set(there("")) > {"copper-chelated"}
    assert set(there("2027-03-06T08:30 change ward 50 %")) == {"copper-chelated"}


def test_a_batch_in_its_watch_is_cleaner_than_one_in_copper_whatever_it_went_through() -> None:
    batches = {"first": batch(), "second": batch("2027-05-05T18:30", regimen="copper-hold")}
    room = build(batches=batches)
    looks = [task.tank for task in tasks_on(room, make_plan(room), dt.date(2027, 5, 8)) if task.act == "look"]
    assert looks == ["long", "tub a"]


def test_the_first_minutes_after_coming_home_are_no_shortened_round() -> None:
    """Twenty minutes from midnight on, when the days away end: the round is whole, and not one cut short."""
    room = build(room={"hours": "00:00-00:20, 18:00-22:00", "away": [{"from": "2027-03-05", "to": "2027-03-06"}]})
    windows = Calendar(room).windows(dt.date(2027, 3, 7))
    assert [f"{one.start:%H:%M}-{one.end:%H:%M}" for one in windows] == ["00:00-00:20", "18:00-22:00"]


LATE = [
    (copper_room, "2027-03-05T19:00 arrived first in ward", "2027-03-06T07:00", "2027-03-06T07:01"),
    (copper_room, IN_WARD, "2027-03-08T07:10", "2027-03-08T07:11"),
    (one_of_each, CAME, "2027-03-08T19:00", "2027-03-08T19:01"),
    (lambda: build(batches={"first": batch(regimen="without-copper")}), IN_COURSE, "2027-03-16T19:00",
     "2027-03-16T19:01"),
]  # fmt: skip


@pytest.mark.parametrize(("make", "lines", "inside", "outside"), LATE)
def test_an_act_is_late_once_its_window_has_closed(
    make: Callable[[], Room], lines: str, inside: str, outside: str
) -> None:
    """A first dose after twelve hours, a move after seventy-two, a second dose on the tenth day after the first."""
    assert "S522" not in said(make(), lines, inside)
    assert "S522" in said(make(), lines, outside)


def test_what_is_urgent_today_is_on_no_other_days_sheet() -> None:
    room = one_of_each()
    known = history(room, CAME + "2027-03-06T08:00 sign tub a dust", "2027-03-06T09:00")
    made = make_plan(room, known)
    for day, there in ((6, True), (7, False)):
        acts_of_day = [task.act for task in tasks_on(room, made, dt.date(2027, 3, day), known)]
        assert ("signs" in acts_of_day) == there


def test_what_fish_in_a_refuge_need_does_not_wait() -> None:
    """Fish without a filter, for whom nobody planned: a day later the water may have killed them."""
    room = one_of_each(animals=RESIDENTS)
    known = history(room, CAME + "2027-03-06T19:30 move Lemon to ward", "2027-03-07T07:30")
    found = tasks_on(room, make_plan(room, known), dt.date(2027, 3, 7), known)
    (change,) = [task for task in found if task.act == "change-water" and task.tank == "ward"]
    assert not slip_of(change).may


def test_what_the_file_says_of_another_medicine_is_not_added_to_the_copper() -> None:
    held = tank("ward", holds=[{"treatment": "praziquantel-bath", "level": "2 mg/L"}])
    room = copper_room(tanks={"reef": tank("display"), "ward": held, "long": tank("observation")})
    known = history(room, IN_WARD, "2027-03-05T20:00")
    level = reckoned_level(known, treatment_for(room, "copper-chelated"), "ward", known.at)
    assert level is not None
    assert level.level.value == pytest.approx(2.0)  # 12 mL of 10 mg/mL in 60 L
