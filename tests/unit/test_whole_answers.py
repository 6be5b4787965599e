"""Answers written out whole, with every sum, source and note. The numbers are held against the world outside elsewhere
(`tests/published`, `tests/unit/test_work.py` …); here a change that no other test notices is shown to whoever makes it.

After a change that is meant: `python -m pytest tests/unit/test_whole_answers.py --golden`, and read the difference.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cleaning_rooms import ask_cleaning, empty_room
from dosing_rooms import AT, ask, ask_dip, make_room
from evidence_rooms import ask_course, ask_rise, request_for
from pratique.dosing.dose import Dose
from pratique.dosing.evidence.claim import judge_claim
from pratique.dosing.salinity import plan_salinity
from pratique.dosing.salinity_plan import SalinityRequest
from pratique.dosing.spread import better_first, is_too_wide
from pratique.dosing.stock import read_stock
from pratique.dosing.syringes import measuring_lines, shown_total, syringe_error
from pratique.room.values import treatment_for
from pratique.water.state import Readings, look_at
from prescribed_rooms import BATH, FISH, FOOD, ask_prescribed, prescribed_room
from water_rooms import BIN, read_now
from whole import whole

ANSWERS = Path(__file__).parent / "answers"
Golden = Callable[[Path, str], None]

UNSURE: dict[str, Any] = {
    "tanks__q1__volume": {"measured": "200 L ± 10 L"},
    "kits__meter__error": "0.02 mg/L",
    "shelf__ionic stock__error": "5 %",
    "shelf__chelate__error": "5 %",
    "shelf__prazi__error": "4 %",
    "syringes": {"fine": {"volume": "1 mL", "step": "0.02 mL"}, "big": {"volume": "20 mL", "step": "0.5 mL"}},
}
NOMINAL: dict[str, Any] = {"tanks__q1__volume": {"nominal": "200 L"}, "shelf__chelate__left": "10 mL"}
CORALS = [{"species": "torch coral", "name": name, "tank": "q1"} for name in ("a", "b", "c", "d")]
SULFATE = {"active": "copper", "form": "ionic", "strength": "100 % w/w as CuSO4.5H2O"}
TANG = [{"species": "yellow tang", "tank": "q1", "count": 2}]

DOSES: dict[str, tuple[str, dict[str, Any], dict[str, Any]]] = {
    "copper": ("copper-ionic", {}, {}),
    "copper-unsure": ("copper-ionic", UNSURE, {"reading": "0.06 mg/L"}),
    "copper-guarded": ("copper-ionic", {"animals": [{"species": "mandarin", "tank": "q1"}]}, {}),
    "copper-nominal": ("copper-chelated", NOMINAL, {"reading": "1.5 mg/L"}),
    "copper-too-high": ("copper-ionic", UNSURE, {"reading": "0.5 mg/L"}),
    "copper-above-target": ("copper-ionic", {}, {"reading": "0.19 mg/L"}),
    "copper-on-target": ("copper-ionic", {}, {"reading": "0.175 mg/L"}),
    "copper-change": ("copper-chelated", UNSURE, {"reading": "2.0 mg/L", "change_litres": "40 L"}),
    "copper-change-high": ("copper-ionic", {}, {"reading": "0.4 mg/L", "change_share": 0.25}),
    "copper-change-all": ("copper-ionic", {}, {"reading": "0.175 mg/L", "change_share": 1.0}),
    "amine": ("copper-amine", {}, {}),
    "praziquantel": ("praziquantel-bath", UNSURE, {}),
    "formalin": ("formalin-bath", {}, {"oxygen": 7.0}),
    "methylene-blue": ("methylene-blue-bath", {}, {}),
    "peroxide": ("peroxide-bath", {}, {}),
    "peroxide-small": ("peroxide-bath", {"tanks__q1__volume": {"measured": "5 L"}, "syringes": UNSURE["syringes"]}, {}),
    "copper-coarse-kit": ("copper-ionic", {"kits__meter__resolution": "0.02 mg/L"}, {"reading": "0.06 mg/L"}),
    "copper-at-ceiling": ("copper-ionic", {"kits__meter__error": "0.05 mg/L"}, {"reading": "0.16 mg/L"}),
    "copper-blind-kit": ("copper-ionic", {"kits__meter__limit": "0.2 mg/L"}, {"reading": "0.1 mg/L"}),
    "copper-dim-kit": ("copper-ionic", {"kits__meter__limit": "0.1 mg/L"}, {"reading": "0.05 mg/L"}),
    "copper-corals": ("copper-ionic", {"animals": CORALS}, {"because": ("it is only one day",)}),
    "formalin-unknown": ("formalin-bath", {"tanks__q1__temperature": None}, {"oxygen": 7.0}),
    "copper-refused": (
        "copper-ionic",
        {"animals": [{"species": "torch coral", "tank": "q1"}], "shelf__ionic stock": None, "kits": None},
        {"product": "amine stock"},
    ),
    "stock": ("copper-ionic", {"shelf__ionic stock": SULFATE}, {"stock": read_stock("1 g in 250 mL")}),
}

DIPS: dict[str, tuple[str, dict[str, Any], dict[str, Any]]] = {
    "fresh": ("freshwater-dip", {}, {}),
    "fresh-long": ("freshwater-dip", {"animals": TANG}, {"minutes": 8.0, "temperature": 25.0}),
    "fresh-short": ("freshwater-dip", {"tanks__q1__temperature": None, "tanks__q1__ph": None}, {"minutes": 1.0}),
    "fresh-unread": ("freshwater-dip", {"tanks__q1__temperature": None}, {"temperature": 25.0}),
    "fresh-off": ("freshwater-dip", {}, {"temperature": 20.0}),
    "formalin": ("formalin-bath", {}, {}),
    "formalin-holds": ("formalin-bath", {"tanks__q1__holds": [{"treatment": "copper-ionic", "level": "0.1 mg/L"}]}, {}),
    "peroxide": ("peroxide-bath", {}, {}),
    "unnamed": ("peroxide-bath", {"tanks__q1__salinity": None}, {"animals": ()}),
    "nowhere": ("peroxide-bath", {}, {"source_water": None, "temperature": 25.0}),
}


FALLING = "2027-03-03T18:00 2.40 mg/L, 2027-03-04T18:00 2.30 mg/L, 2027-03-05T06:00 2.25 mg/L"
FEW = "2027-03-04T18:00 2.40 mg/L"
HOURS = "2027-03-05T10:00 150 uL/L ± 5 %, 2027-03-05T12:00 140 uL/L ± 5 %, 2027-03-05T16:00 118 uL/L ± 5 %"
LOST = "2027-03-03T18:00 0.18 mg/L, 2027-03-04T06:00 0.10 mg/L, 2027-03-04T18:00 0.17 mg/L, 2027-03-05T06:00 0.16 mg/L"
COURSES = {
    "falling": ("copper-chelated", FALLING, UNSURE),
    "few": ("copper-chelated", FEW, {}),
    "odd-one": ("copper-ionic", LOST, {}),
    "published": ("praziquantel-bath", "2027-03-01T18:00 2.0 mg/L ± 10 %", {}),
    "odd-high": ("copper-ionic", LOST.replace("0.10", "0.24"), {}),
    "no-error": ("copper-chelated", FALLING, {"kits": None}),
    "no-error-drug": ("praziquantel-bath", "2027-03-04T18:00 2 mg/L, 2027-03-05T06:00 1.9 mg/L", {}),
    "models": ("formalin-bath", HOURS, {}),
    "rising": ("copper-chelated", "2027-03-03T18:00 2.0 mg/L, 2027-03-04T18:00 2.3 mg/L", {}),
}
READ = "2027-03-05T07:00 0.05 mg/L, 2027-03-05T12:00 0.16 mg/L, 2027-03-05T17:00 0.155 mg/L"
RISES: dict[str, tuple[str, str, str, dict[str, Any]]] = {
    "measured": ("copper-ionic", "20 mL of ionic stock at 2027-03-05T08:00", READ, {}),
    "nominal": ("copper-ionic", "20 mL of ionic stock at 2027-03-05T08:00", READ, UNSURE | NOMINAL),
}
CLAIMS: dict[str, tuple[str, dict[str, Any]]] = {
    "drops": ("5 drops per 10 gal_us gives 0.15 mg/L", {"shelf__ionic stock__dropper": "20 drops/mL"}),
    "uncounted": ("5 drops per 10 gal_us", {}),
    "level": ("1 mL per 40 L gives 0.25 mg/L", {"shelf__ionic stock__error": "4 %"}),
    "followed": ("1 mL per 40 L", {}),
}
CLEANINGS: dict[str, tuple[str, dict[str, Any], dict[str, Any]]] = {
    "bleach": ("chlorine-disinfection", {}, {}),
    "bleach-gear": ("chlorine-disinfection", {}, {"gear": "red set"}),
    "neutralise": ("thiosulfate-neutralising", {}, {"reading": "10 mg/L"}),
    "drying": ("drying", {}, {}),
    "bleach-no-crystals": ("chlorine-disinfection", {"shelf__crystals": None}, {}),
    "with-fish": ("chlorine-disinfection", {"animals": FISH}, {}),
}
SALINITIES: dict[str, tuple[float, dict[str, Any]]] = {
    "down": (14, {"course": True}),
    "one-move": (30, {}),
    "up": (36, {"mixed_water": BIN["mixed_water"]}),
    "too-low": (8, {}),
    "ph-not-on-file": (14, {"course": True, "tanks__q1__ph": None, "now": read_now("33 g/kg", "24 degC", "7.9")}),
    "ph-fell": (14, {"course": True, "now": read_now("33 g/kg", "24 degC", "7.6")}),
    "read": (20, {"now": read_now("33 g/kg", "24 degC", "7.9")}),
}
GIVEN: dict[str, tuple[dict[str, Any], dict[str, Any], dict[str, Any]]] = {
    "food": (FOOD, {}, {"food": "3 g"}),
    "food-unsure": (
        FOOD | {"days": "3 d"},
        {"animals": [{"species": "royal gramma", "tank": "q1", "size": "6 cm"}]},
        {},
    ),
    "bath": (
        BATH,
        {"tanks__q1__volume": {"measured": "200 L ± 10 L"}, "shelf__drug__error": "5 %"},
        {"off": frozenset({"uv"})},
    ),
}


@pytest.mark.parametrize("name", DOSES)
def test_a_dose(name: str, golden: Golden) -> None:
    treatment, changes, options = DOSES[name]
    room = make_room(**changes)
    answer = ask(treatment, room, **options)
    text = whole(answer)
    if isinstance(answer, Dose):
        text += whole(better_first(answer, room)) + whole([line for line, _ in measuring_lines(answer, room)])
        text += whole([shown_total(answer, room), *syringe_error(answer, room), is_too_wide(answer)])
    golden(ANSWERS / f"dose-{name}.txt", text)


@pytest.mark.parametrize("name", DIPS)
def test_a_dip(name: str, golden: Golden) -> None:
    treatment, changes, options = DIPS[name]
    golden(ANSWERS / f"dip-{name}.txt", whole(ask_dip(treatment, make_room(**changes), **options)))


@pytest.mark.parametrize("name", COURSES)
def test_a_course(name: str, golden: Golden) -> None:
    treatment, readings, changes = COURSES[name]
    golden(ANSWERS / f"course-{name}.txt", whole(ask_course(treatment, readings, make_room(**changes))))


@pytest.mark.parametrize("name", RISES)
def test_a_rise(name: str, golden: Golden) -> None:
    treatment, added, readings, changes = RISES[name]
    golden(ANSWERS / f"rise-{name}.txt", whole(ask_rise(treatment, added, readings, make_room(**changes))))


@pytest.mark.parametrize("name", CLAIMS)
def test_a_claim(name: str, golden: Golden) -> None:
    claim, changes = CLAIMS[name]
    golden(ANSWERS / f"claim-{name}.txt", whole(judge_claim(request_for("copper-ionic", make_room(**changes)), claim)))


@pytest.mark.parametrize("name", CLEANINGS)
def test_a_cleaning(name: str, golden: Golden) -> None:
    treatment, changes, options = CLEANINGS[name]
    golden(ANSWERS / f"clean-{name}.txt", whole(ask_cleaning(treatment, empty_room(**changes), **options)))


@pytest.mark.parametrize("name", SALINITIES)
def test_a_salinity(name: str, golden: Golden) -> None:
    goal, changes = SALINITIES[name]
    golden(ANSWERS / f"salinity-{name}.txt", whole(ask_salinity(goal, **changes)))


@pytest.mark.parametrize("name", GIVEN)
def test_a_prescription(name: str, golden: Golden) -> None:
    given, changes, options = GIVEN[name]
    golden(ANSWERS / f"given-{name}.txt", whole(ask_prescribed(prescribed_room(given, **changes), **options)))


def ask_salinity(goal: float, *, now: Readings | None = None, course: bool = False, **changes: Any) -> object:
    room = make_room(**changes)
    treatment = treatment_for(room, "hyposalinity")
    state = look_at(room, "q1", now)
    asked = SalinityRequest(state=state, treatment=treatment, goal=goal, at=AT, animals=room.residents, course=course)
    return plan_salinity(asked)
