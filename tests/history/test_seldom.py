"""What a log says only now and then: a skipped move, a mark without an amount, a tank cleaned twice, an hour itself."""

from __future__ import annotations

import pytest

from history.kept import acts, build, codes, copper_room, first, history, moment, one_of_each, plan, tank
from pratique.room.values import treatment_for
from pratique.schedule.basis import Basis
from pratique.schedule.known_level import known_level
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


def test_where_copper_is_too_high_none_goes_into_the_new_water() -> None:
    """120 mL of 10 mg/mL in 60 L are 20 mg/L, ten times the band."""
    high = IN_WARD.replace("12 mL", "120 mL") + "2027-03-06T08:00 reading ward copper 20 mg/L\n"
    lines = high + "2027-03-06T08:00 reading ward ammonia 1 mg/L"
    found = [task.text for task in plan(copper_room(), lines, "2027-03-06T08:30").urgent]
    (ammonia,) = [text for text in found if text.startswith("change water NOW")]
    assert "; no copper into the new water: its level is too high;" in ammonia
    assert "keeps" not in ammonia
