"""The rule that a bare tank which fouls within a day is warned of."""

from __future__ import annotations

from typing import Any

import pytest

from dosing_rooms import AT, make_room
from pratique.checks.rules import check_room, fouling_tanks
from pratique.problem import Problem

LARGE = {"animals": [{"species": "yellow tang", "size": "20 cm", "tank": "q1"}]}


def found(**changes: Any) -> list[Problem]:
    return list(fouling_tanks(make_room(**changes), AT))


def test_a_large_fish_in_a_bare_tank_is_warned_of() -> None:
    (problem,) = found(**LARGE)
    assert (problem.code, problem.severity) == ("X603", "warning")
    assert "`q1` within 5.3 h of clean water" in problem.message
    assert problem.place is not None
    assert problem.place.text.strip() == "q1:"
    assert "half of it each day and at most 0.738 g of food does" in problem.hint
    assert "`pratique water q1`" in problem.hint
    assert problem in check_room(make_room(**LARGE), AT)


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"animals": None},
        {"animals": [{"species": "yellow tang", "size": "4 cm", "tank": "q1"}]},
        LARGE | {"tanks__q1__cycled": "yes"},
        LARGE | {"tanks__q1__substrate": "calcareous"},
        LARGE | {"tanks__q1__rock": "inert"},
        LARGE | {"tanks__q1__temperature": None},
        LARGE | {"tanks__q1__salinity": None},
    ],
)
def test_nothing_is_said_where_it_does_not_foul_or_is_not_known(changes: dict[str, Any]) -> None:
    assert found(**changes) == []


def test_a_name_with_a_space_can_be_typed_as_it_is_shown() -> None:
    tank = {"use": "ward", "temperature": "25 degC", "salinity": "34 g/kg", "volume": {"measured": "60 L"}}
    room = {"tanks__blue tub": tank, "animals": [{"species": "yellow tang", "size": "20 cm", "tank": "blue tub"}]}
    (problem,) = found(**room)
    assert "`pratique water 'blue tub'`" in problem.hint
