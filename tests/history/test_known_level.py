"""The level of a medicine by the record, and the room as the record leaves it."""

from __future__ import annotations

import pytest

from history.kept import copper_room, history, moment
from pratique.knowledge import store
from pratique.room.resolve import Room
from pratique.schedule.feeds import hold_reading, water_changes
from pratique.schedule.known_level import KnownLevel, known_level
from pratique.schedule.recorded import medicines_on_record, room_as_recorded

CHELATED = store.treatment("copper-chelated")
DOSED = "2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle\n"
READ = DOSED + "2027-03-06T08:00 reading ward copper 2.0 mg/L\n"


def level(lines: str, at: str, room: Room | None = None) -> KnownLevel:
    room = room or copper_room()
    return known_level(history(room, lines, at), CHELATED, "ward", moment(at))


def test_a_reading_that_still_holds_with_the_error_of_its_kit() -> None:
    found = level(READ, "2027-03-06T12:00")
    assert found.standing == "known"
    assert found.measure is not None
    assert (found.measure.value, found.measure.low, found.measure.high) == (2.0, 1.94, 2.06)


def test_an_error_written_beside_it_comes_before_that_of_the_kit() -> None:
    found = level(DOSED + "2027-03-06T08:00 reading ward copper 2.0 mg/L ± 0.2 mg/L", "2027-03-06T12:00")
    assert found.measure is not None
    assert (found.measure.low, found.measure.high) == (1.8, 2.2)


@pytest.mark.parametrize(
    ("lines", "at", "standing"),
    [
        ("", "2027-03-06T12:00", "none"),
        (DOSED, "2027-03-06T12:00", "unread"),
        (READ, "2027-03-07T20:01", "old"),
        (READ, "2027-03-07T20:00", "known"),
        (READ + "2027-03-06T09:00 dose ward 1 mL of copper bottle", "2027-03-06T12:00", "changed"),
        (READ + "2027-03-06T09:00 change ward 20 %", "2027-03-06T12:00", "changed"),
        (READ + "2027-03-06T09:00 change ward 10 L with 2.2 mL of copper bottle", "2027-03-06T12:00", "known"),
        (READ + "2027-03-06T09:00 change ward 10 L with 0.5 mL of copper bottle", "2027-03-06T12:00", "changed"),
        (READ + "2027-03-06T08:00 dose ward 1 mL of copper bottle", "2027-03-06T12:00", "changed"),
        (READ + "2027-03-06T09:00 top-off ward 2 L", "2027-03-06T12:00", "known"),
        (READ + "2027-03-06T09:00 cleaned tank ward", "2027-03-06T12:00", "none"),
        (READ + "2027-03-06T09:00 dose ward 5 mL of copper bottle into new water", "2027-03-06T12:00", "known"),
    ],
)
def test_what_makes_a_level_known_or_not(lines: str, at: str, standing: str) -> None:
    found = level(lines, at)
    assert found.standing == standing
    assert (found.measure is None) == (found.standing != "known")


def test_an_act_noted_at_the_moment_of_a_reading_came_after_it() -> None:
    room = copper_room()
    record = history(room, READ + "2027-03-06T08:00 dose ward 1 mL of copper bottle", "2027-03-06T12:00")
    changes = list(water_changes(record, CHELATED, "ward", (moment("2027-03-06T08:00"), None)))
    assert [change.effect for change in changes] == ["up"]


KITS = {
    "meter": {"measures": "copper", "forms": ["chelated"], "error": "3 %"},
    "old meter": {"measures": "copper", "forms": ["chelated"], "error": "3 %", "expires": "2027-01-31"},
    "ionic kit": {"measures": "copper", "forms": ["ionic"], "error": "3 %"},
    "drops": {"measures": "ammonia", "error": "0.1 mg/L"},
}


@pytest.mark.parametrize(
    ("kits", "words", "suits"),
    [
        (["meter"], "", True),
        (["meter", "drops"], "", True),
        (["meter", "ionic kit"], "with meter", True),
        (["meter", "ionic kit"], "with ionic kit", False),
        (["meter", "ionic kit"], "", False),
        (["meter", "old meter"], "with old meter", False),
        (["meter", "old meter"], "", True),
        ([], "", False),
    ],
)
def test_which_kit_suits(kits: list[str], words: str, suits: bool) -> None:
    room = copper_room(kits={name: KITS[name] for name in kits})
    record = history(room, f"2027-03-06T08:00 reading ward copper 2.2 mg/L {words}", "2027-03-06T12:00")
    (reading,) = record.of_water("ward").readings
    assert hold_reading(room, reading, CHELATED).suits is suits


def test_what_is_in_the_water_by_the_record() -> None:
    room = copper_room()

    def held(lines: str, at: str = "2027-03-10T12:00") -> tuple[str, ...]:
        return medicines_on_record(room, history(room, lines, at), "ward")

    assert held("") == ()
    assert held(DOSED) == ("copper-chelated",)
    assert held("2027-03-05T18:50 dose ward 12 mL of copper bottle") == ("copper-chelated",)
    assert held(DOSED + "2027-03-08T08:00 cleaned tank ward") == ()
    assert held(DOSED + "2027-03-08T08:00 reading ward copper 0 mg/L") == ()
    assert held("2027-03-05T18:50 dose ward copper-chelated 5 mL of copper bottle into new water") == ()
    worms = "2027-03-05T18:50 dose ward praziquantel-bath 0.12 g of fluke powder"
    assert held(worms) == ("praziquantel-bath",)
    assert held(worms, "2027-03-20T12:00") == ()


def test_the_room_as_recorded() -> None:
    room = copper_room()
    assert room_as_recorded(room, history(room, "", "2027-03-06T08:00")) is room
    after = room_as_recorded(room, history(room, DOSED, "2027-03-06T08:00"))
    assert [holds.treatment for holds in after.waters["ward"].conditions.holds] == ["copper-chelated"]
    assert after.waters["reef"] == room.waters["reef"]
    left = after.written.shelf["copper bottle"].left
    assert left is not None
    assert (left.value, left.unit) == (888, "mL")
