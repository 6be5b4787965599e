"""Each limit of a dose at its very edge: what still holds there, and what holds no longer just beyond."""

from __future__ import annotations

from typing import Any

import pytest

from cleaning_rooms import ask_cleaning, cleaning, empty_room
from dosing_rooms import ask, ask_dip, codes, dip, dose, make_room
from pratique.dosing.dip import Dip
from pratique.dosing.draws import find_draw
from pratique.dosing.stock import read_stock
from prescribed_rooms import bath_course, food_course, prescribed_room

CHELATED = {"measures": "copper", "forms": "chelated"}
SHARED = {"use": "ward", "water": "all", "volume": {"measured": "60 L"}}
CORALS = [{"species": "torch coral", "name": name, "tank": "q1"} for name in "abcd"]


def said(notes: tuple[str, ...], words: str) -> bool:
    return any(words in note for note in notes)


class TestKits:
    @pytest.mark.parametrize(
        ("kit", "coarse"),
        [
            ({"limit": "0.15 mg/L"}, False),  # the floor of the band, 0.15 to 0.2
            ({"limit": "0.151 mg/L"}, True),
            ({"resolution": "0.049 mg/L"}, False),
            ({"resolution": "0.05 mg/L"}, True),  # one step is the whole band
            ({"error": "0.025 mg/L"}, False),
            ({"error": "0.026 mg/L"}, True),
        ],
    )
    def test_too_coarse_for_the_band(self, kit: dict[str, str], coarse: bool) -> None:
        room = make_room(kits={"strip": {"measures": "copper", "forms": "ionic"} | kit})
        assert ("D410" in codes(ask("copper-ionic", room))) is coarse

    @pytest.mark.parametrize(("reading", "found"), [("0.07 mg/L", []), ("0.069 mg/L", ["D452"]), ("0 mg/L", [])])
    def test_a_reading_at_the_limit_of_its_kit(self, reading: str, found: list[str]) -> None:
        """Nought under the limit is what is to be expected; it may be anything up to the limit all the same."""
        answer = dose("copper-ionic", make_room(kits__meter__limit="0.07 mg/L"), reading=reading)
        assert codes(answer) == found
        assert answer.before.low == (pytest.approx(0.065) if reading == "0.07 mg/L" else 0.0)

    @pytest.mark.parametrize(("limit", "code"), [("0.199 mg/L", "D452"), ("0.2 mg/L", "D465")])
    def test_a_kit_that_sees_nothing_under_the_ceiling(self, limit: str, code: str) -> None:
        assert code in codes(ask("copper-ionic", make_room(kits__meter__limit=limit), reading="0.1 mg/L"))

    def test_a_kit_for_something_else_is_no_copper_kit(self) -> None:
        (problem,) = ask("copper-ionic", make_room(kits={"meter": {"measures": "ph"}})).problems
        assert problem.message.endswith("(there is no copper kit under `kits:`)")

    def test_of_two_equal_kits_the_name_decides(self) -> None:
        kits = {name: CHELATED | {"error": "0.1 mg/L"} for name in ("b", "a")}
        kits["a"]["limit"] = "0.5 mg/L"
        assert dose("copper-chelated", make_room(kits=kits), reading="0.4 mg/L").before.high == 0.5

    def test_the_kit_that_was_named_gives_the_error(self) -> None:
        kits = {"fine": CHELATED | {"error": "0.01 mg/L"}, "rough": CHELATED | {"error": "0.1 mg/L"}}
        for kit, error in (("fine", 0.01), ("rough", 0.1), ("", 0.01), (None, 0.01)):
            before = dose("copper-chelated", make_room(kits=kits), reading="2 mg/L", kit=kit).before
            assert before.high == pytest.approx(2 + error)


class TestBottles:
    @pytest.mark.parametrize(("litres", "little"), [("40 L ± 0.01 L", False), ("39.9 L ± 0.01 L", True)])
    def test_a_tenth_of_a_millilitre_is_measured(self, litres: str, little: bool) -> None:
        """0.09375 mg/L in 40 L are 3.75 mg: 0.1 mL of 37.5 mg/mL."""
        changes = {"tanks__q1__volume": {"measured": litres}, "shelf__chelate__strength": "37.5 mg/mL as Cu"}
        reading = f"{2.25 - 0.09375:.5f} mg/L ± 0.00001 mg/L"
        answer = dose("copper-chelated", make_room(**changes), reading=reading)
        assert said(answer.notes, "too little to measure") is little

    @pytest.mark.parametrize(("litres", "little"), [("23.75 L ± 0.01 L", False), ("23.7 L ± 0.01 L", True)])
    def test_five_hundredths_of_a_gram_are_weighed(self, litres: str, little: bool) -> None:
        """2 mg/L in 23.75 L of a powder of 950 mg/g."""
        answer = dose("praziquantel-bath", make_room(tanks__q1__volume={"measured": litres}))
        assert said(answer.notes, "too little to measure") is little
        assert not little or said(answer.notes, "shaken")

    @pytest.mark.parametrize(("recipe", "found"), [("30 mL in 300 mL", []), ("29 mL in 290 mL", ["D543"])])
    def test_a_stock_that_is_just_enough(self, recipe: str, found: list[str]) -> None:
        """2.25 mg/L in 200 L are 450 mg: 300 mL of 1.5 mg/mL."""
        assert codes(dose("copper-chelated", stock=read_stock(recipe))) == found

    def test_a_stock_of_a_thousand_parts_is_made(self) -> None:
        assert read_stock("1:1000").parts == 1000

    @pytest.mark.parametrize(("left", "found"), [("35 mL", []), ("34.99 mL", ["D457"])])
    def test_a_bottle_that_is_just_enough(self, left: str, found: list[str]) -> None:
        assert codes(dose("copper-ionic", make_room(**{"shelf__ionic stock__left": left}))) == found

    @pytest.mark.parametrize("amount", [2.0, 1.9])
    def test_two_steps_are_read_and_less_is_guessed(self, amount: float) -> None:
        room = make_room(
            syringes={"fine": {"volume": "20 mL", "step": "1 mL"}, "cup": {"volume": "1 L", "step": "1 L"}}
        )
        assert find_draw(room, amount) is None, "half a step is a quarter of it"
        fine = make_room(syringes={"fine": {"volume": "1 mL", "step": "0.1 mL"}})
        assert find_draw(fine, 1.0) is not None
        assert find_draw(fine, 0.49) is None

    @pytest.mark.parametrize(("amount", "draws"), [(10.0, 10), (10.1, None)])
    def test_a_small_syringe_is_drawn_ten_times_at_the_most(self, amount: float, draws: int | None) -> None:
        """Unless there is no larger one."""
        syringe = {"volume": "1 mL", "step": "0.1 mL"}
        found = find_draw(make_room(syringes={"small": syringe, "jug": {"volume": "1 L", "step": "0.1 L"}}), amount)
        assert (found.count if found is not None else None) == draws
        alone = find_draw(make_room(syringes={"small": syringe}), 20.0)
        assert alone is not None
        assert alone.count == 20


class TestDips:
    @pytest.mark.parametrize(("degrees", "fits"), [(23.5, True), (23.4, False), (26.5, True), (26.6, False)])
    def test_the_vessel_may_match_any_warmth_the_tank_may_have(self, degrees: float, fits: bool) -> None:
        room = make_room(tanks__q1__temperature="25 degC ± 0.5 degC")
        assert isinstance(ask_dip("freshwater-dip", room, temperature=degrees), Dip) is fits

    @pytest.mark.parametrize(("minutes", "short"), [(2.0, False), (1.9, True)])
    def test_the_shortest_time_on_record(self, minutes: float, short: bool) -> None:
        assert said(dip("freshwater-dip", minutes=minutes).notes, "shorter than any time on record") is short

    @pytest.mark.parametrize(("minutes", "uneasy"), [(3.0, 0), (3.1, 1)])
    def test_a_dip_of_three_minutes_ends_before_fish_grow_uneasy(self, minutes: float, uneasy: int) -> None:
        assert sum("uneasy" in step.text for step in dip("freshwater-dip", minutes=minutes).steps) == uneasy

    @pytest.mark.parametrize(("volume", "found"), [("12 L", []), ("12.1 L", ["D458"])])
    def test_a_vessel_filled_to_the_brim(self, volume: str, found: list[str]) -> None:
        assert codes(ask_dip("peroxide-bath", vessel="tub", volume=volume)) == found
        assert codes(ask_dip("peroxide-bath", volume="13 L")) == [], "some other vessel"

    @pytest.mark.parametrize(("oxygen", "found"), [(5.0, []), (4.99, ["D417"])])
    def test_the_least_oxygen(self, oxygen: float, found: list[str]) -> None:
        assert codes(ask_dip("formalin-bath", oxygen=oxygen)) == found


class TestWords:
    @pytest.mark.parametrize(
        ("count", "ending"), [(1, "(a)"), (2, "(a, b)"), (3, "(a, b, c)"), (4, "(a, b, c and 1 more)")]
    )
    def test_three_are_named(self, count: int, ending: str) -> None:
        (problem,) = ask("copper-ionic", make_room(animals=CORALS[:count])).problems
        assert problem.message.endswith(ending)

    @pytest.mark.parametrize(("target", "more"), [("40 uL/L", False), ("41 uL/L", True)])
    def test_oxygen_that_the_water_does_not_hold(self, target: str, more: bool) -> None:
        """A fifth of the level, against 8 mg/L."""
        answer = dose("formalin-bath", target=target)
        assert said(answer.notes, "mg/L of oxygen over")
        assert said(answer.notes, "more than the water holds") is more

    @pytest.mark.parametrize(("tanks", "sump", "whole"), [(1, None, False), (1, "20 L", True), (2, None, True)])
    def test_a_water_of_more_than_its_tank_is_named(self, tanks: int, sump: str | None, whole: bool) -> None:
        water: dict[str, Any] = {"temperature": "25 degC"} | ({"sump": sump} if sump else {})
        room = make_room(tanks={f"q{n}": SHARED for n in range(1, tanks + 1)}, waters={"all": water})
        assert said(dose("praziquantel-bath", room).notes, "this is for the whole water") is whole

    @pytest.mark.parametrize(
        ("reading", "share", "after"),
        [("0.266 mg/L", 0.25, False), ("0.27 mg/L", 0.25, True), ("0.175 mg/L", 0.99, False)],
    )
    def test_a_change_that_leaves_too_much(self, reading: str, share: float, after: bool) -> None:
        """Three quarters of 0.266 mg/L are just under 0.2 mg/L."""
        notes = dose("copper-ionic", reading=reading, change_share=share).notes
        assert said(notes, "above the ceiling") is after
        assert not said(notes, "all the water at once")

    @pytest.mark.parametrize(
        ("reading", "times"), [("0.35 mg/L", 1), ("0.36 mg/L", 2), ("0.7 mg/L", 2), ("0.71 mg/L", 3)]
    )
    def test_half_the_water_at_the_most_in_one_change(self, reading: str, times: int) -> None:
        found = dose("copper-ionic", reading=reading)
        change = found.change
        assert change is not None
        assert change.count == times
        assert change.volume <= 100 * (1 + 1e-9)
        litres = "change 100 L with water" if times == 1 else f" L, {times} times, with water"
        assert reading in ("0.36 mg/L", "0.71 mg/L") or said(found.notes, litres)

    def test_a_change_of_a_very_small_water(self) -> None:
        answer = dose(
            "copper-ionic",
            make_room(tanks__q1__volume={"measured": "0.5 L ± 0.001 L"}),
            reading="0.175 mg/L",
            change_litres="0.1 L",
        )
        assert answer.change is not None
        assert answer.change.volume == pytest.approx(0.1)

    @pytest.mark.parametrize(
        ("reading", "form"),
        [("0.5 mg/L", "amine"), ("0.6 mg/L", "amine"), ("2 mg/L", "chelated"), ("2.5 mg/L", "chelated")],
    )
    def test_the_ends_of_another_form_are_in_its_band(self, reading: str, form: str) -> None:
        (problem,) = [p for p in dose("copper-ionic", reading=reading).problems if p.code == "D464"]
        assert f"lies in the band of `copper-{form}`" in problem.note

    @pytest.mark.parametrize(
        ("reading", "words"), [("0.175 mg/L", "at its target"), ("0.176 mg/L", "above the target")]
    )
    def test_what_is_said_where_nothing_is_added(self, reading: str, words: str) -> None:
        assert said(dose("copper-ionic", reading=reading).notes, words)


class TestPrescribed:
    @pytest.mark.parametrize(("weight", "rough"), [("20 g ± 5 g", False), ("20 g ± 6 g", True)])
    def test_a_mass_that_may_be_a_quarter_more_is_weighed(self, weight: str, rough: bool) -> None:
        fish = [{"species": "royal gramma", "tank": "q1", "weight": weight}]
        assert said(food_course(prescribed_room(animals=fish)).notes, "weigh them") is rough

    @pytest.mark.parametrize(("left", "found"), [("1.05 g", []), ("1.04 g", ["D457"])])
    def test_a_bottle_for_the_whole_course(self, left: str, found: list[str]) -> None:
        """15 mg a day for seven days, of 100 mg/g."""
        drug = {"active": "antibiotic", "strength": "100 mg/g as oxytetracycline", "left": left}
        assert codes(food_course(prescribed_room(shelf__drug=drug))) == found

    def test_a_bath_without_a_change_of_water_is_dosed_onto_what_is_left(self) -> None:
        given = {"way": "bath", "by": "Dr. Example", "for": "q1", "drug": "oxytetracycline", "product": "drug"}
        given |= {"dose": "40 mg/L", "every": "48 h", "days": "3 d"}
        found = bath_course(prescribed_room(given, tanks__q1__volume={"measured": "200 L ± 0.0001 L"}))
        assert [redose.change for redose in found.redoses] == [0.0]
        assert [redose.after.high for redose in found.redoses] == pytest.approx([80.0], rel=1e-5)


class TestCleaning:
    @pytest.mark.parametrize(("left", "found"), [("762 mL", []), ("761 mL", ["D457"])])
    def test_bleach_that_is_just_enough(self, left: str, found: list[str]) -> None:
        """200 mg/L in 200 L of 52.5 mg/mL are 761.9 mL, rounded up to 762."""
        assert codes(ask_cleaning("chlorine-disinfection", empty_room(shelf__bleach__left=left))) == found

    @pytest.mark.parametrize(
        ("changes", "unsure"),
        [
            ({}, False),
            ({"tanks__q1__volume": {"measured": "200 L ± 5 L"}}, True),
            ({"shelf__bleach__error": "5 %"}, True),
        ],
    )
    def test_either_error_takes_more_bleach(self, changes: dict[str, Any], unsure: bool) -> None:
        room = empty_room(**changes)
        gear = cleaning("chlorine-disinfection", room) if changes else cleaning("chlorine-disinfection", gear="red set")
        assert said(gear.notes, "enough for the largest water and the weakest bottle") is unsure

    @pytest.mark.parametrize(
        ("held", "level"),
        [
            ({"treatment": "chlorine-disinfection", "level": "120 mg/L"}, 120),
            ({"treatment": "chlorine-disinfection"}, 200),
            ({"treatment": "copper-ionic", "level": "0.1 mg/L"}, 200),
        ],
    )
    def test_only_chlorine_that_is_on_file_is_neutralised_by_the_file(self, held: dict[str, str], level: float) -> None:
        found = cleaning("thiosulfate-neutralising", empty_room(tanks__q1__holds=[held])).level
        assert found is not None
        assert found.value == level
