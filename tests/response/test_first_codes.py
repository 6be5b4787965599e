"""Every code of the first response fires in a room of its own, and is silent in one that has everything."""

from __future__ import annotations

from typing import Any

import pytest

from first_rooms import respond
from pratique.knowledge import store

RAY = [{"species": "bluespotted ribbontail ray", "tank": "reef"}]
FIRING: dict[str, dict[str, Any]] = {
    "X680": {"changes": {"shelf": {"formalin": None}}, "cover": ("brooklynella",)},
    "X681": {"changes": {"tanks": {"ward": None}}},
    "X682": {"changes": {"mixed_water": None, "salt": {"left": "100 g"}}},
    "X683": {"changes": {"room": {"away": [{"from": "2027-03-06", "to": "2027-03-07"}]}}},
    "X684": {"changes": {"animals": RAY}},
    "X685": {"changes": {"animals": [{"species": "cleaner shrimp", "tank": "reef"}]}},
}


@pytest.mark.parametrize("code", FIRING)
def test_a_code_fires_once_with_its_place_and_a_hint(code: str) -> None:
    sheet, _ = respond(**FIRING[code])
    found = [problem for problem in sheet.problems if problem.code == code]
    assert len(found) == 1
    assert found[0].severity == store.codes()[code].severity
    assert found[0].hint
    assert found[0].place is not None or code == "X683"


def test_none_fires_where_everything_is_there() -> None:
    sheet, _ = respond()
    assert not [problem for problem in sheet.problems if problem.code.startswith("X")]


def test_what_nothing_reaches_is_said_once_for_all_of_it() -> None:
    sheet, _ = respond(cover=("brooklynella", "gill-flukes"), changes={"shelf": None})
    (problem,) = [problem for problem in sheet.problems if problem.code == "X680"]
    assert problem.message.endswith("is used against brook, gill flukes")


@pytest.mark.parametrize(
    ("log", "said"),
    [
        ((), "if it reads above 2.5 mg/L, change water that holds none"),
        (("reading ward copper 2.2 mg/L",), "if it reads above 2.5 mg/L, change water that holds none"),
        (("reading ward copper 3.4 mg/L",), "change water that holds none"),
    ],
    ids=["not read", "in band", "too high"],
)
def test_copper_is_diluted_for_what_a_reading_shows(log: tuple[str, ...], said: str) -> None:
    changes = {
        "tanks": {"ward": {"holds": [{"treatment": "copper-chelated"}]}},
        "animals": [{"species": "yellow tang", "size": "9 cm", "tank": "ward"}],
    }
    sheet, _ = respond(tank="ward", cover=(), causes=("copper-overdose",), changes=changes, log=log)
    assert any(act.text.startswith(said) for act in sheet.now)
