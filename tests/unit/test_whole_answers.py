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
from dosing_rooms import AT, ask, ask_dip, make_room, measure
from evidence_rooms import ask_course, ask_rise, request_for
from pratique.dosing.dose import Dose
from pratique.dosing.evidence.claim import judge_claim
from pratique.dosing.evidence.course import Course
from pratique.dosing.salinity import plan_salinity
from pratique.dosing.salinity_plan import PutIn, SalinityRequest
from pratique.dosing.spread import better_first, is_too_wide
from pratique.dosing.stock import making_lines, read_stock
from pratique.dosing.syringes import measuring_lines, shown_total, syringe_error
from pratique.figure import Figure
from pratique.room.values import treatment_for
from pratique.water.state import Readings, look_at
from prescribed_rooms import BATH, DRUG, FISH, FOOD, ask_prescribed, prescribed_room
from water_rooms import BIN, NOBODY, read_now
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
TABLETS = {"active": "praziquantel", "strength": "500 mg per tablet as praziquantel", "left": "0.5 tablet"}
TWO_KITS = {
    "total": {"measures": "copper", "forms": "chelated", "error": "2 %"},
    "free": {"measures": "copper", "forms": "ionic", "error": "2 %"},
}
LOGGED = Figure(value=1.5, unit="mg/L", low=1.4, high=1.6)
MANY_TANKS: dict[str, Any] = {
    "waters": {"all": {"temperature": "25 degC", "sump": "20 L"}},
    "tanks": {f"q{n}": {"use": "ward", "water": "all", "volume": {"nominal": "30 L"}} for n in range(1, 8)},
}
FULL = {"shape": "box", "length": "40 cm", "width": "30 cm", "fill": "20 cm", "displacement": "24 L"}

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
    "stock-parts": ("copper-chelated", {"shelf__chelate__error": "5 %"}, {"stock": read_stock("1:10")}),
    "stock-little": ("copper-ionic", {"shelf__ionic stock": SULFATE}, {"stock": read_stock("0.05 g in 12.5 mL")}),
    "stock-strong": ("copper-ionic", {"shelf__ionic stock": SULFATE}, {"stock": read_stock("100 g in 250 mL")}),
    "stock-of-powder": ("copper-ionic", {"shelf__ionic stock": SULFATE}, {"stock": read_stock("1:10")}),
    "stock-of-liquid": ("copper-chelated", {}, {"stock": read_stock("1 g in 250 mL")}),
    "stock-never": ("formalin-bath", {}, {"stock": read_stock("1:10")}),
    "tablets": ("praziquantel-bath", {"shelf__prazi": TABLETS}, {}),
    "praziquantel-again": ("praziquantel-bath", {"tanks__q1__holds": [{"treatment": "praziquantel-bath"}]}, {}),
    "copper-kit-not-said": ("copper-chelated", {"kits": TWO_KITS}, {"reading": "1.8 mg/L", "kit": None}),
    "copper-kit-blind": ("copper-chelated", {"kits": TWO_KITS}, {"reading": "1.8 mg/L", "kit": "free"}),
    "copper-lost": ("copper-chelated", {}, {"reading": "0.5 mg/L", "reckoned": LOGGED}),
    "copper-label": ("copper-ionic", {"shelf__ionic stock__claim": "1 mL per 40 L gives 0.04 mg/L"}, {}),
    "copper-all-nominal": ("copper-ionic", MANY_TANKS, {"change_share": 1.2}),
    "formalin-by-weight": ("formalin-bath", {"tanks__q1__temperature": "27.5 degC"}, {"target": "150 mg/L"}),
    "formalin-cool": ("formalin-bath", {"tanks__q1__temperature": "20 degC"}, {"target": "20 uL/L", "oxygen": 7.0}),
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
    "which-vessel": ("freshwater-dip", {"vessels__bowl": "5 L"}, {}),
    "no-such-vessel": ("freshwater-dip", {}, {"vessel": "tube"}),
    "overfilled": ("freshwater-dip", {}, {"vessel": "tub", "volume": measure("13 L"), "minutes": 0.0}),
    "rough": ("formalin-bath", {"vessels__tub": "12 L ± 2 L", "shelf__formalin__left": "1 mL"}, {}),
    "warm": ("formalin-bath", {"tanks__q1__temperature": "26.6 degC", "tanks__q1__oxygen": None}, {"oxygen": 4.9}),
    "tablets": (
        "peroxide-bath",
        {"shelf__peroxide": {"active": "peroxide", "strength": "500 mg per tablet as H2O2"}},
        {},
    ),
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
    "contradiction": ("copper-chelated", FALLING.replace("2.30", "0.23"), {}),
    "to-come": ("copper-chelated", FALLING + ", 2027-03-06T06:00 2.2 mg/L", {}),
    "now": ("copper-chelated", "2027-03-05T18:00 2.0 mg/L ± 5 %, 2027-03-05T18:00 2.1 mg/L ± 5 %", {}),
    "noughts": ("copper-chelated", "2027-03-04T18:00 0 mg/L, 2027-03-05T06:00 0 mg/L", {}),
    "below": ("copper-chelated", "2027-03-03T18:00 1.9 mg/L, 2027-03-04T18:00 1.8 mg/L", {}),
    "no-loss": ("formalin-bath", "2027-03-05T10:00 150 uL/L ± 5 %, 2027-03-05T12:00 150 uL/L ± 5 %", {}),
    "no-dose": ("observation", FALLING, {}),
    "no-level": ("formalin-bath", HOURS, {"tanks__q1__temperature": None}),
}
READ = "2027-03-05T07:00 0.05 mg/L, 2027-03-05T12:00 0.16 mg/L, 2027-03-05T17:00 0.155 mg/L"
POURED, BEFORE = "20 mL of chelate at 2027-03-03T18:00", "2027-03-03T17:00 0 mg/L"
RISES: dict[str, tuple[str, str, str, dict[str, Any]]] = {
    "measured": ("copper-ionic", "20 mL of ionic stock at 2027-03-05T08:00", READ, {}),
    "nominal": ("copper-ionic", "20 mL of ionic stock at 2027-03-05T08:00", READ, UNSURE | NOMINAL),
    "loss": ("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T06:00 1.299 mg/L, 2027-03-04T18:00 1.125 mg/L", {}),
    "either": ("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T06:00 1.2 mg/L", {}),
    "neither": ("copper-chelated", POURED, f"{BEFORE}, 2027-03-03T22:00 1.0 mg/L, 2027-03-04T18:00 1.3 mg/L", {}),
    "volume": ("copper-chelated", POURED, f"{BEFORE}, 2027-03-03T22:00 1.8 mg/L, 2027-03-04T18:00 1.8 mg/L", {}),
    "coarse": ("copper-chelated", POURED, f"{BEFORE}, 2027-03-03T22:00 1.2 mg/L", {"kits__meter__error": "0.3 mg/L"}),
    "no-rise": ("copper-chelated", POURED, f"{BEFORE.replace(' 0 ', ' 1.5 ')}, 2027-03-04T18:00 1.5 mg/L", {}),
    "none-before": ("copper-chelated", POURED, "2027-03-04T18:00 1.5 mg/L", {}),
    "none-after": ("copper-chelated", POURED, BEFORE, {}),
    "to-come": ("copper-chelated", POURED.replace("-03T", "-07T"), f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", {}),
    "other-unit": ("copper-chelated", POURED.replace("mL", "g"), f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", {}),
    "no-water": ("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", {"tanks__q1__volume": FULL}),
}
CLAIMS: dict[str, tuple[str, dict[str, Any]]] = {
    "drops": ("5 drops per 10 gal_us gives 0.15 mg/L", {"shelf__ionic stock__dropper": "20 drops/mL"}),
    "uncounted": ("5 drops per 10 gal_us", {}),
    "level": ("1 mL per 40 L gives 0.25 mg/L", {"shelf__ionic stock__error": "4 %"}),
    "followed": ("1 mL per 40 L", {}),
    "too-weak": ("1 mL per 40 L gives 0.0025 mg/L", {"shelf__ionic stock__error": "4 %"}),
    "assumed": ("20 drops per 10 L gives 0.1 mg/L at 20 drops/mL", {"shelf__ionic stock__dropper": "24 drops/mL"}),
    "assumed-uncounted": ("20 drops per 10 L gives 0.1 mg/L (20 drops/mL)", {}),
    "other-unit": ("1 g per 10 L gives 0.15 mg/L", {}),
    "unknown-substance": ("1 mL per 10 L gives 0.15 mg/L as rust", {}),
    "error-beside": ("1 mL per 10 L gives 0.15 mg/L ± 5 %", {}),
    "no-claim": ("it cures everything", {}),
}
CLEANINGS: dict[str, tuple[str, dict[str, Any], dict[str, Any]]] = {
    "bleach": ("chlorine-disinfection", {}, {}),
    "bleach-gear": ("chlorine-disinfection", {}, {"gear": "red set"}),
    "neutralise": ("thiosulfate-neutralising", {}, {"reading": "10 mg/L"}),
    "drying": ("drying", {}, {}),
    "bleach-no-crystals": ("chlorine-disinfection", {"shelf__crystals": None}, {}),
    "with-fish": ("chlorine-disinfection", {"animals": FISH}, {}),
    "bleach-unsure": (
        "chlorine-disinfection",
        {"shelf__bleach__error": "5 %", "shelf__bleach__left": "100 mL", "tanks__q1__volume": {"nominal": "200 L"}},
        {},
    ),
    "neutralise-unread": ("thiosulfate-neutralising", {"shelf__crystals__error": "5 %"}, {}),
    "neutralise-nothing": ("thiosulfate-neutralising", {}, {"reading": "0 mg/L"}),
    "neutralise-held": (
        "thiosulfate-neutralising",
        {"tanks__q1__holds": [{"treatment": "chlorine-disinfection", "level": "120 mg/L"}]},
        {},
    ),
    "drying-gear": ("drying", {}, {"gear": "red set"}),
    "drying-rock": ("drying", {"tanks__q1__rock": "calcareous"}, {}),
}
SALINITIES: dict[str, tuple[float, dict[str, Any]]] = {
    "down": (14, {"course": True}),
    "one-move": (30, {}),
    "up": (36, {"mixed_water": BIN["mixed_water"]}),
    "too-low": (8, {}),
    "ph-not-on-file": (14, {"course": True, "tanks__q1__ph": None, "now": read_now("33 g/kg", "24 degC", "7.9")}),
    "ph-fell": (14, {"course": True, "now": read_now("33 g/kg", "24 degC", "7.6")}),
    "read": (20, {"now": read_now("33 g/kg", "24 degC", "7.9")}),
    "nominal": (30, {"tanks__q1__volume": {"nominal": "200 L"}}),
    "to-mix": (34, {"now": read_now("14 g/kg")}),
    "stored": (34, {"now": read_now("28 g/kg"), **BIN}),
    "asked": (30, {"put_in": PutIn(salinity=20.0, per_day=10.0)}),
    "astray-up": (34, {"now": read_now("14 g/kg"), "put_in": PutIn(salinity=34.0)}),
    "astray-down": (30, {"put_in": PutIn(salinity=30.0)}),
    "astray-course": (13, {"course": True, "put_in": PutIn(salinity=34.0)}),
    "never": (34, {"now": read_now("14 g/kg"), "put_in": PutIn(salinity=35.0, per_day=0.1)}),
    "nobody": (5, NOBODY),
    "above-band": (16, {"course": True}),
    "below-band": (10, {"course": True}),
    "low-already": (13, {"course": True, "tanks__q1__salinity": "9 g/kg"}),
    "held-low": (13, {"course": True, "tanks__q1__salinity": "12.5 g/kg"}),
    "too-salty": (43, {}),
    "unknown": (30, {"tanks__q1__salinity": None}),
    "medicine": (16, {"tanks__q1__holds": [{"treatment": "praziquantel-bath"}]}),
}
ROSA = {"species": "royal gramma", "name": "Rosa", "tank": "q1", "weight": "20 g"}
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
    "food-tablets": (
        FOOD | {"drug": "metronidazole", "product": "tablets"},
        {"shelf__tablets": {"active": "metronidazole", "strength": "250 mg per tablet as metronidazole"}},
        {"treatment": "metronidazole-food"},
    ),
    "food-shared": (FOOD | {"for": "Rosa"}, {"animals": [ROSA, *TANG]}, {}),
    "food-no-mass": (FOOD, {"animals": [*TANG, {"species": "bamboo shark", "tank": "q1"}]}, {}),
    "food-far-too-much": (FOOD | {"dose": "750 mg/kg"}, {}, {}),
    "food-chosen": (FOOD, {}, {"target": measure("10 mg/L"), "product": "prazi"}),
    "food-no-name": (FOOD, {}, {"name": "gut"}),
    "food-other-drug": (FOOD, {}, {"name": "sheet", "treatment": "metronidazole-food"}),
    "food-not-here": (FOOD, {"animals": [{"species": "torch coral", "tank": "q1"}]}, {}),
    "not-prescribed": (FOOD, {}, {"name": "sheet", "treatment": "copper-ionic"}),
    "two-prescriptions": (FOOD, {"prescriptions": {"sheet": FOOD, "more": FOOD}}, {}),
    "bath-shared": (BATH | {"for": "Rosa", "change": "50 %"}, {"animals": [ROSA, *TANG]}, {}),
    "bath-one-change": (BATH, {}, {"change_share": 0.25}),
    "bath-far-too-much": (BATH | {"dose": "400 mg/L"}, {"shelf__drug": DRUG | {"left": "100 g"}}, {}),
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
        if answer.stock is not None:
            text += whole([line for line, _ in making_lines(answer.stock, answer.add)])
    golden(ANSWERS / f"dose-{name}.txt", text)


@pytest.mark.parametrize("name", DIPS)
def test_a_dip(name: str, golden: Golden) -> None:
    treatment, changes, options = DIPS[name]
    golden(ANSWERS / f"dip-{name}.txt", whole(ask_dip(treatment, make_room(**changes), **options)))


@pytest.mark.parametrize("name", COURSES)
def test_a_course(name: str, golden: Golden) -> None:
    treatment, readings, changes = COURSES[name]
    answer = ask_course(treatment, readings, make_room(**changes))
    text = whole(answer)
    if isinstance(answer, Course) and answer.curves is not None:
        curves = answer.curves
        found = (curves.half_life(), curves.settling(0), curves.settling(100), curves.at(0), curves.at(100))
        text += whole([entry for entry in found if entry is not None])
        text += whole([curves.possible, curves.steady_passes, curves.shows_a_loss, curves.shows_a_rise, curves.misfit])
    golden(ANSWERS / f"course-{name}.txt", text)


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


def ask_salinity(
    goal: float,
    *,
    now: Readings | None = None,
    course: bool = False,
    put_in: PutIn | None = None,
    **changes: Any,
) -> object:
    room = make_room(**changes)
    treatment = treatment_for(room, "hyposalinity")
    state = look_at(room, "q1", now)
    return plan_salinity(
        SalinityRequest(
            state=state,
            treatment=treatment,
            goal=goal,
            at=AT,
            animals=room.residents,
            course=course,
            put_in=put_in,
        )
    )
