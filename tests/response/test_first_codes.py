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
