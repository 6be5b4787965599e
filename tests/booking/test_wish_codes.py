"""Every code of wishes and bookings has a room that draws it out, with its severity, its page and a hint."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from pratique.booking.book import book
from pratique.knowledge import store
from pratique.problem import Problem
from pratique.room.load import load_room_text
from schedule_rooms import as_yaml, build, room_data, tank, tanks

AT = dt.datetime(2027, 3, 1, 9, tzinfo=dt.UTC)


def wish(*species: str, **keys: Any) -> dict[str, Any]:
    animals = [{"species": name} for name in species or ("ocellaris clownfish",)]
    days = {"earliest": "2027-04-02T18:30", "latest": "2027-04-06"}
    return {"source": "a shop", "trust": "untrusted", **days, "animals": animals, **keys}


IN_THE_FILE: dict[str, dict[str, Any]] = {
    "S531": {"wishes": {"x": wish(priority=12)}},
    "S536": {"wishes": {"x": wish(latest="2027-04-01")}},
    "S537": {"wishes": {"first": wish()}},
}

BOOKED: dict[str, dict[str, Any]] = {
    "S533": {"wishes": {"x": wish("yellow tang", "cleaner shrimp")}},
    "S534": {"wishes": {"x": wish(earliest="2027-04-02T13:00")}},
    "S535": {
        "tanks": {**tanks(), "ward": tank("ward", volume={"measured": "20 L"})},
        "wishes": {"x": wish(least="500 L", regimen="copper-hold")},
    },
}


def whole(code: str, problem: Problem) -> None:
    assert problem.code == code
    assert problem.hint
    assert not problem.message.endswith(".")
    assert problem.severity == store.codes()[code].severity


@pytest.mark.parametrize("code", IN_THE_FILE)
def test_a_wish_that_is_wrong_in_the_file_is_refused_at_its_place(code: str) -> None:
    room, problems = load_room_text(as_yaml(room_data(**IN_THE_FILE[code])))
    (found,) = [problem for problem in problems if problem.is_error]
    assert room is None
    assert found.place is not None
    whole(code, found)


def test_a_wish_of_more_than_a_year_is_refused() -> None:
    room, (found,) = load_room_text(as_yaml(room_data(wishes={"x": wish(latest="2028-05-01")})))
    assert room is None
    whole("S536", found)


@pytest.mark.parametrize("code", BOOKED)
def test_a_wish_that_can_never_come_is_broken_with_its_reason(code: str) -> None:
    answer, _ = book(build(**BOOKED[code]), None, AT)
    (broken,) = answer.broken
    assert broken.problem is not None
    whole(code, broken.problem)
