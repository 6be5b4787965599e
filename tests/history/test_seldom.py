"""What a log says only now and then: a skipped move, a mark without an amount, a tank cleaned twice, an hour itself."""

from __future__ import annotations

import datetime as dt

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
)
from pratique.history.fold import fold
from pratique.room.values import treatment_for
from pratique.schedule.basis import Basis
from pratique.schedule.day import medicines_in, stage_of, tasks_on
from pratique.schedule.known_level import known_level
from pratique.schedule.occupants import everyone_now, with_signs
from pratique.schedule.plan import closed_long_ago, make_plan
from pratique.schedule.recorded import medicines_on_record, room_as_recorded

IN_WARD = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"
IN_BAND = IN_WARD + "2027-03-06T08:00 reading ward copper 2.1 mg/L\n"
CAME = "2027-03-05T19:00 arrived first in tub a\n"


def test_where_the_move_after_copper_is_skipped_they_stay_for_the_longer_course() -> None:
    """treatments 3: 14 days and then a clean tank, or 30 days in the same one, with the copper taken out after."""
    moved = first(copper_room(), IN_BAND, "2027-03-06T08:30")
    stays = first(copper_room(), IN_BAND + "2027-03-06T08:10 skipped first/copper/move/1", "2027-03-06T08:30")
    assert [stage.tank for stage in moved.stages] == ["ward", "long"]
    assert [stage.tank for stage in stays.stages] == ["ward", "ward"]
    assert any("14 days are counted" in task.text for task in acts(moved, "test"))
    assert any("30 days are counted" in task.text for task in acts(stays, "test"))
    assert any("no copper into the new water (1 of" in task.text for task in acts(stays, "change-water"))


def test_at_the_hour_of_the_arrival_nobody_is_missed_yet() -> None:
    log = "2027-03-01T08:00 note the log begins"
    assert "S521" not in codes(first(one_of_each(), log, "2027-03-05T18:30"))
    assert "S521" in codes(first(one_of_each(), log, "2027-03-05T18:31"))


@pytest.mark.parametrize(
    ("lines", "standing"),
    [
        ("2027-03-04T08:00 cleaned tank ward\n" + IN_WARD, "unread"),
        ("2027-03-04T08:00 cleaned tank ward\n" + IN_WARD + "2027-03-06T08:00 cleaned tank ward", "none"),
    ],
)
def test_only_the_last_cleaning_of_a_tank_tells_what_is_in_it(lines: str, standing: str) -> None:
    room = copper_room()
    at = moment("2027-03-07T08:00")
    found = known_level(history(room, lines, "2027-03-07T08:00"), treatment_for(room, "copper-chelated"), "ward", at)
    assert found.standing == standing


def test_a_dose_marked_done_is_that_of_its_own_stage() -> None:
    """The series comes first and gives nothing; the mark is of the second stage, in the tank they were in then."""
    room = one_of_each()
    lines = CAME + "2027-03-17T19:00 move first to ward\n2027-03-18T19:30 done first/anthelmintic/dose/1"
    assert medicines_on_record(room, history(room, lines, "2027-03-19T08:00"), "ward") == ("praziquantel-bath",)


def test_what_the_file_and_the_log_say_of_one_medicine_is_said_once() -> None:
    held = tank("ward", holds=[{"treatment": "copper-chelated", "level": "2 mg/L"}])
    room = copper_room(tanks={"reef": tank("display"), "ward": held, "long": tank("observation")})
    recorded = room_as_recorded(room, history(room, IN_WARD, "2027-03-06T08:00")).waters["ward"].conditions.holds
    assert [entry.treatment for entry in recorded] == ["copper-chelated"]


def test_how_often_water_is_changed_hangs_on_what_the_keepers_own_kit_can_tell() -> None:
    """2.5 mg/L halved five times is 0.08 mg/L, six times 0.04; the kit on file tells 0.07 mg/L, the keeper's 0.1."""
    own = build(values={"copper-chelated.kit_detection": {"value": "0.1 mg/L", "reason": "the label of the kit"}})
    for room, times in ((build(), 6), (own, 5)):
        count, share = Basis(room).copper_out(treatment_for(room, "copper-chelated"))
        assert count == times
        unseen = treatment_for(room, "copper-chelated").needed("kit_detection").value
        assert 2.5 * (1 - share) ** count == pytest.approx(unseen)


def test_a_reading_at_a_rung_of_the_ramp_has_climbed_it() -> None:
    for level, left in (("2.25", 0), ("2.24", 1)):
        found = first(copper_room(), IN_WARD + f"2027-03-06T08:00 reading ward copper {level} mg/L", "2027-03-06T08:30")
        assert len([task for task in acts(found, "redose") if not task.routine]) == left


def test_of_two_wards_each_is_named_once_and_only_what_they_swam_in_is_counted() -> None:
    """The second ward had its copper a day before they came into it."""
    wards = {"reef": tank("display"), "ward": tank("ward"), "ward 2": tank("ward"), "long": tank("observation")}
    poured = IN_WARD + "2027-03-06T08:00 dose ward 2 copper-chelated 12 mL of copper bottle\n"
    moved = poured + "2027-03-07T08:00 move first to ward 2\n"
    there = first(copper_room(tanks=wards), moved, "2027-03-07T09:00")
    assert there.stages[0].tanks == ("ward", "ward 2")
    assert [task.at for task in acts(there, "dose", "redose") if task.state == "done"] == [moment("2027-03-05T19:10")]
    back = first(copper_room(tanks=wards), moved + "2027-03-08T08:00 move first to ward", "2027-03-08T09:00")
    assert back.stages[0].tanks == ("ward 2", "ward")


def test_where_copper_is_too_high_none_goes_into_the_new_water() -> None:
    """120 mL of 10 mg/mL in 60 L are 20 mg/L, ten times the band."""
    high = IN_WARD.replace("12 mL", "120 mL") + "2027-03-06T08:00 reading ward copper 20 mg/L\n"
    lines = high + "2027-03-06T08:00 reading ward ammonia 1 mg/L"
    found = [task.text for task in plan(copper_room(), lines, "2027-03-06T08:30").urgent]
    (ammonia,) = [text for text in found if text.startswith("change water NOW")]
    assert "; no copper into the new water: its level is too high;" in ammonia
    assert "keeps" not in ammonia


def test_of_three_tubs_the_one_they_were_in_longest_ago_is_next() -> None:
    three = build(tanks={**tanks(), "tub c": tank("transfer")})
    found = first(
        three, "2027-03-05T19:00 arrived first in tub b\n2027-03-08T08:00 move first to tub c", "2027-03-08T12:00"
    )
    assert [task.tank for task in acts(found, "transfer")] == ["tub c", "tub b", "tub c", "ward"]


def test_out_of_a_wet_tub_they_go_when_the_other_is_dry() -> None:
    """Tub b was left 5 h before they came back into it; tub a, left at 13:00, is dry 24 h and 24 h later."""
    back = "2027-03-08T08:00 move first to tub a\n2027-03-08T13:00 move first to tub b"
    found = first(one_of_each(), f"2027-03-05T19:00 arrived first in tub b\n{back}", "2027-03-08T18:00")
    coming = next(task for task in acts(found, "transfer") if task.state != "done")
    assert (coming.tank, coming.at) == ("tub a", moment("2027-03-10T18:00"))  # the first hour after Wed 13:00
    assert "tub b was not dry when they came into it" in coming.text


def test_a_batch_is_out_of_mind_a_hundred_and_twenty_days_after_it_left() -> None:
    log = CAME + "2027-03-08T08:00 move first to reef"
    for at, gone in (("2027-07-06T09:00", frozenset()), ("2027-07-06T09:01", frozenset({"first"}))):
        assert closed_long_ago(one_of_each(), history(one_of_each(), log, at)) == gone


def test_a_batch_straight_in_the_display_is_said_beside_one_that_is_not() -> None:
    room = build(batches={"first": batch("2027-03-05T18:30"), "second": batch("2027-03-08T18:30")})
    log = CAME + "2027-03-06T10:00 arrived second in reef"
    found = [task for task in plan(room, log, "2027-03-06T12:00").urgent if task.act == "trace"]
    assert [(task.batch, task.tank) for task in found] == [("second", "reef")]


IN_TUB = "2027-03-10T08:00 gear red set in tub a\n"
WARD_USED = "2027-03-10T08:00 gear red set in ward\n2027-03-11T08:00 gear red set in long"
TUB_AGAIN = "2027-03-11T20:00 gear red set in tub a\n2027-03-12T07:00 gear red set in long"


@pytest.mark.parametrize(
    ("gear", "restarts"),
    [
        (IN_TUB + "2027-03-12T07:59 gear red set in long", 1),
        (IN_TUB + "2027-03-12T08:01 gear red set in long", 0),
        (IN_TUB + "2027-03-10T09:00 dried red set\n2027-03-11T10:00 gear red set in long", 0),
        (IN_TUB + "2027-03-10T12:00 dried red set\n2027-03-11T10:00 gear red set in long", 1),
        (IN_TUB + "2027-03-10T09:00 cleaned gear red set\n2027-03-11T10:00 gear red set in long", 1),
        (IN_TUB + "2027-03-10T09:00 dried red set\n" + TUB_AGAIN, 1),
        (WARD_USED, 0),
        ("2027-03-06T08:00 sign ward dust\n" + WARD_USED, 1),
        ("2027-03-10T08:00 gear red set in long\n2027-03-11T08:00 gear red set in long", 0),
    ],
)
def test_wet_gear_from_a_suspect_water_begins_a_watch_again(gear: str, restarts: int) -> None:
    """practice B20: dry is 24 h after it was seen dry, or 48 h after its last use; scrubbed is not dry."""
    two = {"first": batch("2027-03-05T18:30", "trusted"), "second": batch("2027-03-05T18:30")}
    came = "2027-03-05T19:00 arrived first in long\n2027-03-05T19:00 arrived second in tub a\n"
    watched = first(build(batches=two), came + gear, "2027-03-13T08:00").stages[-1].state
    assert watched is not None
    assert watched.restarts == restarts
    if restarts:
        assert "a suspect water: red set, last in " in watched.breaks[0].why


def test_a_batch_for_which_there_is_no_tank_is_not_asked_about() -> None:
    room = build(tanks={"ward": tank("ward")}, batches={"first": batch(), "second": batch()})
    found = plan(room, "2027-03-01T08:00 note the log begins", "2027-03-06T08:00").batches
    assert [codes(batch) for batch in found] == [["S521"], ["S501"]]


def test_a_tub_without_a_lid_is_covered_the_first_time() -> None:
    tubs = {**tanks(), "tub a": tank("transfer", lid="no"), "tub b": tank("transfer", lid="no")}
    (planned,) = make_plan(one_of_each(tanks=tubs)).batches
    covered = [(task.tank, "cover it" in task.text) for task in acts(planned, "set-up")]
    assert covered == [
        ("tub a", True), ("tub b", True), ("tub a", False), ("tub b", False), ("ward", False), ("long", False),
    ]  # fmt: skip


def test_a_medicine_is_in_the_water_from_the_moment_of_its_dose() -> None:
    room = copper_room()
    found = make_plan(room)
    given = acts(found.batches[0], "dose")[0].at
    assert [one.since for one in medicines_in(room, found, "ward", given)] == [given]
    assert medicines_in(room, found, "ward", given - dt.timedelta(seconds=1)) == ()


@pytest.mark.parametrize(("at", "counts"), [("2027-04-09T21:00", True), ("2027-04-09T21:01", False)])
def test_a_sign_counts_for_a_month(at: str, counts: bool) -> None:
    """Thirty days of 24 h; the clocks went forward between."""
    room = build(batches={"first": batch("2027-03-05T18:30", "trusted")})
    log = "2027-03-05T19:00 arrived first in long\n2027-03-10T20:00 sign long dust"
    assert any("before signs were seen (Wed 10 Mar 20:00)" in why for why in first(room, log, at).why) == counts


def test_a_move_that_came_late_is_not_called_late_once_it_is_made() -> None:
    late = CAME + "2027-03-08T21:00 move first to tub b"
    made, coming = acts(first(one_of_each(), late, "2027-03-08T21:30"), "transfer")[:2]
    assert "by Mon 8 Mar 19:00 with net" in made.text
    assert "it was due" not in made.text + coming.text
    assert "it was due by Thu 11 Mar 21:00" in acts(first(one_of_each(), late, "2027-03-11T22:00"), "transfer")[1].text


def test_a_level_that_one_change_does_not_mend_takes_two() -> None:
    """30 mL of 10 mg/mL in 60 L are 5 mg/L: half of it is still above the 2.25 mg/L in use, a quarter is not."""
    found = plan(copper_room(), IN_WARD.replace("12 mL", "30 mL"), "2027-03-06T08:00")
    said = [task.text for task in (*found.urgent, *found.batches[0].tasks) if task.act == "change-water"]
    assert any("change water that holds none, 2 times, read after each" in text for text in said)


WORMED = "".join(
    f"2027-03-{day}T19:00 dose ward praziquantel-bath 0.12 g of fluke powder\n" for day in ("06", "15", "24")
)


@pytest.mark.parametrize(
    ("lines", "cleared"), [(WORMED, True), (WORMED.splitlines()[0] + "\n2027-03-10T08:00 move first to reef", False)]
)
def test_a_medicine_is_cleared_out_of_the_tank_they_stay_in_and_of_no_other(lines: str, cleared: bool) -> None:
    one_tank = {"reef": tank("display"), "ward": tank("ward")}
    chosen = batch("2027-03-05T18:30", regimen="without-copper", because="bred in this house")
    room = build(batches={"first": chosen}, tanks=one_tank)
    found = first(room, "2027-03-05T19:00 arrived first in ward\n" + lines, "2027-04-05T20:00")
    assert found.stages[0].over
    assert [stage.tank for stage in found.stages] == ["ward"] * len(found.stages)
    assert any("the medicine has done its work" in task.text for task in acts(found, "change-water")) == cleared


def test_a_dose_that_is_only_marked_counts_for_the_steps_after_it() -> None:
    log = "2027-03-05T19:00 arrived first in ward\n2027-03-05T20:00 done first/copper/dose/1"
    given, coming = acts(first(copper_room(), log, "2027-03-05T21:00"), "dose", "redose")
    assert (given.state, given.done_at) == ("done", moment("2027-03-05T20:00"))
    assert coming.at == moment("2027-03-07T20:00")  # treatments 3, ramp: about 48 hours later
    assert "addition 2" in coming.text


def test_that_the_regimen_may_not_be_the_answer_is_said_whatever_else_is_wrong() -> None:
    away = one_of_each(room={"away": [{"from": "2027-05-07", "to": "2027-05-11"}]})
    for signs, said in (("dust", True), ("cloudy-eye", False)):
        found = plan(away, CAME + f"2027-03-06T08:00 sign tub a {signs}", "2027-03-06T08:30")
        (task,) = [task for task in found.urgent if task.act == "signs"]
        assert "S504" in codes(found.batches[0])
        assert ("what it is going through may not be the answer" in task.text) == said


def test_a_fish_that_has_come_is_not_to_be_left_at_the_shop() -> None:
    """S519: what is asked of a veterinarian is asked now, and nobody is told to refuse a fish that is in the ward."""
    room = copper_room()
    before = next(problem for problem in first(room, "", "2027-03-04T08:00").problems if problem.code == "S519")
    dosed = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 6 mL of copper bottle"
    since = next(problem for problem in first(room, dosed, "2027-03-05T20:00").problems if problem.code == "S519")
    assert before.hint.endswith("or do not take a fish that shows this")
    assert since.hint.startswith("ask a veterinarian now")
    assert "do not take" not in since.hint
    assert "before it comes" not in before.hint + since.hint


def test_a_sign_of_one_batch_is_no_sign_of_the_other_in_its_water() -> None:
    room = build(batches={"first": batch(), "second": batch("2027-03-06T08:00")})
    came = "2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 arrived second in ward\n"
    *entries, sign = typed(room, came + "2027-03-06T09:00 sign ward dust")
    log = log_of([*entries, sign.model_copy(update={"batch": "second"})])
    known = fold(room, log, moment("2027-03-06T10:00"))
    there = with_signs(everyone_now(room, known)["ward"], known, known.at)
    assert [(one.path[1], one.signs) for one in there] == [("first", ()), ("second", ("dust",))]


def test_the_stage_of_a_line_is_that_of_its_batch_and_its_id() -> None:
    room = one_of_each(animals=[{"species": "yellow tang", "tank": "reef"}])
    made = make_plan(room)
    (dose,) = acts(made.batches[0], "dose")
    stage = stage_of(made, dose)
    assert stage is not None
    assert stage.name == "anthelmintic"
    others = [task for task in tasks_on(room, made, dt.date(2027, 3, 18)) if not task.batch]
    assert others
    assert {stage_of(made, task) for task in others} == {None}
