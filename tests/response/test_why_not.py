"""The run sheet says why a tank, or a treatment that would work, is not taken; and what nobody has read."""

from __future__ import annotations

import datetime as dt

import pytest

from first_rooms import FRIDAY, history, house, respond, words_of
from pratique.response.first import first_response
from pratique.response.suspicion import Suspicion

SPRING = {
    "batches": {
        "spring": {
            "trust": "untrusted",
            "arrives": "2027-03-01T18:00",
            "animals": [{"species": "ocellaris clownfish", "size": "5 cm"}],
        }
    }
}


def test_a_tank_with_somebody_in_it_is_named_with_who_is() -> None:
    sheet, _ = respond(changes=SPRING, log=("2027-03-01T18:00 arrived spring in ward",))
    assert sheet.place != "ward"
    assert "not into ward (75.0 L): ocellaris clownfish in it" in words_of(sheet)


def test_one_that_only_the_plan_has_filled_may_stand_empty() -> None:
    sheet, _ = respond(changes=SPRING, log=("2027-02-01T18:00 note a beginning",))
    said = words_of(sheet)
    assert "not into ward (75.0 L): by the plan spring is in it, and no arrival is in the log" in said
    assert "if it stands empty, it is the better place" in said


def test_a_tank_that_is_taken_is_not_passed_over() -> None:
    sheet, _ = respond()
    assert sheet.place == "ward"
    assert "not into" not in words_of(sheet)


def test_what_is_held_back_says_why() -> None:
    for cover in (("amyloodinium",), ("amyloodinium", "brooklynella"), ("neobenedenia",)):
        sheet, _ = respond(cover=cover)
        held = [option for option in sheet.options if option.answer is not None and not option.chosen]
        assert held
        assert all(option.note for option in held)


@pytest.mark.parametrize("unread", [("oxygen", "ammonia"), ("ammonia",)])
def test_what_nobody_read_is_read_in_the_first_minutes(unread: tuple[str, ...]) -> None:
    room = house()
    suspicion = Suspicion(tank="reef", at=FRIDAY, signs=("gasping",), cover=("amyloodinium",), unread=unread)
    sheet = first_response(room, history(room, (), FRIDAY), suspicion)
    assert f"then read {', '.join(unread)} and temperature" in sheet.now[0].text
    assert sheet.now[0].at <= FRIDAY + dt.timedelta(minutes=15)
