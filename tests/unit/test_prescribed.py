"""Prescriptions: which one fits, the sums and dates of food and bath, and everything that is not ours to choose."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given as varied
from hypothesis import settings
from hypothesis import strategies as st

from dosing_rooms import AT, ask, codes, measure
from pratique.cli.main import cli
from pratique.dosing.prescribed.said import doses_in
from pratique.knowledge import store
from prescribed_rooms import (
    BATH,
    FISH,
    FOOD,
    bath_course,
    food_course,
    prescribed_refusal,
    prescribed_room,
)

KNOWN = ("--off", "uv", "--because", "Dr. Example knows of the copper")
"""The plan has copper in the ward by then, which an antibiotic does not meet without a word of the veterinarian."""

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
SHARED = {
    "waters": {"system": {"temperature": "25 degC", "salinity": "34 g/kg"}},
    "tanks": {name: {"use": "ward", "water": "system", "volume": {"measured": "100 L"}} for name in ("q1", "q2")},
}


class TestChoosing:
    def test_without_a_prescription_it_says_how_to_write_one(self) -> None:
        found = ask("antibiotic-course", prescribed_room(prescriptions=None))
        assert codes(found) == ["D454"]
        assert "prescriptions:" in found.problems[0].hint
        asked = prescribed_refusal(prescribed_room(prescriptions=None))
        assert codes(asked) == ["D454"]
        page = store.codes()["D454"]
        assert all(f"{key}:" in page.instead for key in FOOD), "the page shows every key"

    def test_the_only_one_that_fits_is_taken(self) -> None:
        assert food_course(prescribed_room()).given.name == "sheet"

    def test_several_that_fit_are_not_guessed_between(self) -> None:
        room = prescribed_room(prescriptions={"sheet": FOOD, "other": FOOD | {"dose": "50 mg/kg"}})
        found = prescribed_refusal(room)
        assert codes(found) == ["D533"]
        assert "`sheet`, `other`" in found.first.message
        assert food_course(room, name="other").dose.value == 50

    def test_one_for_another_tank_does_not_make_two(self) -> None:
        changes = {"prescriptions": {"sheet": FOOD, "far": FOOD | {"for": "q9"}}}
        room = prescribed_room(**changes, tanks__q9={"use": "reserve", "volume": {"measured": "50 L"}})
        assert food_course(room).given.name == "sheet"

    def test_a_treatment_with_a_level_of_its_own_needs_none(self) -> None:
        assert codes(prescribed_refusal(prescribed_room(), "copper-ionic", name="sheet")) == ["D530"]

    def test_a_name_that_is_not_on_file(self) -> None:
        found = prescribed_refusal(prescribed_room(), name="shet")
        assert codes(found) == ["D530"]
        assert "did you mean `sheet`" in found.first.hint
        assert prescribed_refusal(prescribed_room(prescriptions=None), name="sheet").first.hint == "on file: none"

    def test_another_drug_is_named_by_its_treatment(self) -> None:
        found = prescribed_refusal(prescribed_room(), "metronidazole-food", name="sheet")
        assert codes(found) == ["D531"]
        assert found.first.hint == "`pratique dose q1 antibiotic-course --prescription sheet`"

    def test_nobody_it_is_for_is_here(self) -> None:
        room = prescribed_room(FOOD | {"for": "q2"}, **SHARED)
        found = prescribed_refusal(room)
        assert codes(found) == ["D532"]
        assert found.first.place is not None
        none = prescribed_room(animals=[{"species": "torch coral", "tank": "q1"}])
        assert codes(prescribed_refusal(none)) == ["D532"], "a coral is no patient"

    @pytest.mark.parametrize("who", ["royal gramma", "Gramma loreto", "Rosa", "q1"])
    def test_patients_by_tank_name_and_species(self, who: str) -> None:
        animal = {"species": "royal gramma", "tank": "q1", "weight": "20 g", "name": "Rosa"}
        others = [{"species": "yellow tang", "tank": "q1", "weight": "80 g"}]
        room = prescribed_room(
            FOOD | {"for": who if who != "Gramma loreto" else "royal gramma"}, animals=[animal, *others]
        )
        mass = food_course(room).mass.value
        assert mass == (100 if who == "q1" else 20)

    def test_a_batch_is_its_animals(self) -> None:
        batch = {"trust": "unsure", "arrives": "2027-03-01", "animals": [{"species": "royal gramma", "weight": "30 g"}]}
        room = prescribed_room(FOOD | {"for": "order"}, animals=None, batches__order=batch)
        arrived = room.batches["order"].animals
        assert food_course(room, animals=arrived, in_tank=arrived).mass.value == 30
        assert codes(prescribed_refusal(room, animals=arrived, in_tank=())) == ["D532"], "another tank of the water"

    @pytest.mark.parametrize(
        ("given", "more"),
        [
            (FOOD, {"target": "10 mg/L"}),
            (BATH, {"target": "10 mg/L"}),
            (FOOD, {"product": "prazi"}),
            (BATH, {"product": "prazi"}),
        ],
    )
    def test_what_was_prescribed_is_not_chosen_again(self, given: dict, more: dict) -> None:
        if "target" in more:
            more = {"target": measure(more["target"])}
        assert codes(prescribed_refusal(prescribed_room(given), **more)) == ["D534"]


class TestFood:
    def test_the_sums(self) -> None:
        """200 g at 75 mg/kg is 15 mg a day, 150 mg of a powder of 100 mg/g, in 6 g of food."""
        course = food_course(prescribed_room())
        assert course.active.value == pytest.approx(15)
        assert (course.add.value, course.add.unit) == (pytest.approx(0.15), "g")
        assert course.food.value == pytest.approx(6)
        assert course.per_food.value == pytest.approx(2500)
        assert course.add_in_all.value == pytest.approx(7 * 0.15)
        assert course.food_in_all.value == pytest.approx(42)
        assert course.batch.product.value == pytest.approx(1.05)
        assert not course.batch.is_more

    def test_the_days(self) -> None:
        course = food_course(prescribed_room())
        assert len(course.days) == 7
        assert course.days[0] == AT
        assert course.days[-1] - course.days[0] == dt.timedelta(days=6)
        every_other = food_course(prescribed_room(FOOD | {"every": "48 h"}))
        assert [(day - AT).days for day in every_other.days] == [0, 2, 4, 6]

    @varied(st.floats(1, 5000), st.floats(1, 200))
    @settings(deadline=None, max_examples=40)
    def test_the_mixture_gives_what_was_prescribed(self, grams: float, dose: float) -> None:
        """Whatever is mixed at once: a day's food of it holds the dose."""
        fish = [{"species": "royal gramma", "tank": "q1", "weight": f"{grams:.2f} g"}]
        course = food_course(prescribed_room(FOOD | {"dose": f"{dose:.2f} mg/kg"}, animals=fish))
        in_a_gram = course.batch.product.value * 100 / course.batch.food
        eaten = in_a_gram * course.food.value / (float(f"{grams:.2f}") / 1000)
        assert eaten == pytest.approx(float(f"{dose:.2f}"))
        for figure in (course.active, course.add, course.food, course.per_food):
            assert figure.low <= figure.value <= figure.high

    def test_a_mass_by_length_may_be_twice_or_half(self) -> None:
        fish = [{"species": "royal gramma", "tank": "q1", "size": "8 cm", "count": 2}]
        course = food_course(prescribed_room(animals=fish))
        assert (course.active.low, course.active.high) == pytest.approx(
            (course.active.value / 2, course.active.value * 2)
        )
        assert any("weigh them" in note for note in course.notes)
        assert course.per_food.is_exact, "by the ration the mixture does not hang on the mass"
        assert not any("weigh them" in note for note in food_course(prescribed_room()).notes)

    def test_the_weight_on_file_comes_before_the_length_and_is_of_each(self) -> None:
        fish = [{"species": "royal gramma", "tank": "q1", "size": "8 cm", "weight": "10 g ± 1 g", "count": 3}]
        course = food_course(prescribed_room(animals=fish))
        assert (course.mass.low, course.mass.value, course.mass.high) == pytest.approx((27, 30, 33))

    def test_a_fish_of_unknown_mass_stops_it(self) -> None:
        fish = [
            *FISH,
            {"species": "yellow tang", "tank": "q1"},
            {"species": "bamboo shark", "size": "40 cm", "tank": "q1"},
        ]
        found = prescribed_refusal(prescribed_room(animals=fish))
        assert codes(found) == ["D535"]
        assert "`yellow tang`, `bamboo shark`" in found.first.message
        assert len(found.first.places) == 2
        many = [{"species": "yellow tang", "name": name, "tank": "q1"} for name in "abcd"]
        found = prescribed_refusal(prescribed_room(animals=many))
        assert "`a`, `b`, `c`, `d`" in found.first.message
        assert len(found.first.places) == 3

    def test_food_that_is_weighed_out_comes_before_the_ration(self) -> None:
        course = food_course(prescribed_room(), food="3 g")
        assert course.per_food.value == pytest.approx(5000)
        assert not any("ration" in note for note in course.notes)
        assert [source.source for source in course.sources] == ["PRESCRIBED"]

    def test_too_little_to_weigh_is_mixed_into_more_food(self) -> None:
        fish = [{"species": "royal gramma", "tank": "q1", "weight": "4 g"}]
        course = food_course(prescribed_room(animals=fish))
        assert course.batch.is_more
        assert course.batch.product.value == 0.05
        assert course.batch.food == pytest.approx(0.05 * 100 / 2500 * 1000)

    def test_the_ends_hold_the_error_of_the_bottle(self) -> None:
        drug = {"active": "antibiotic", "strength": "100 mg/g as oxytetracycline", "error": "5 %"}
        add = food_course(prescribed_room(shelf__drug=drug)).add
        assert (add.low, add.value, add.high) == pytest.approx((0.15 / 1.05, 0.15, 0.15 / 0.95))

    def test_a_whole_tablet_is_mixed(self) -> None:
        tablet = {"active": "metronidazole", "strength": "250 mg per tablet as metronidazole", "left": "1 tablet"}
        given = FOOD | {"drug": "metronidazole", "product": "tablets"}
        course = food_course(prescribed_room(given, shelf__tablets=tablet), "metronidazole-food")
        assert (course.batch.product.value, course.batch.product.unit) == (1, "tablet")
        assert course.problems == ()
        twice = prescribed_room(given | {"days": "30 d"}, shelf__tablets=tablet)
        assert codes(food_course(twice, "metronidazole-food")) == ["D457"]

    def test_others_in_the_tank_are_named(self) -> None:
        fish = [{"species": "royal gramma", "name": "Rosa", "tank": "q1", "weight": "20 g"}]
        fish += [{"species": "yellow tang", "tank": "q1"}, {"species": "cleaner shrimp", "tank": "q1"}]
        course = food_course(prescribed_room(FOOD | {"for": "Rosa"}, animals=fish))
        assert any("yellow tang, cleaner shrimp" in note for note in course.notes)
        all_of_them = [fish[0], fish[2]]
        assert any("left-overs" in note for note in food_course(prescribed_room(animals=all_of_them)).notes)

    def test_a_lamp_does_not_matter_to_food_but_a_medicine_in_the_water_does(self) -> None:
        assert food_course(prescribed_room(tanks__q1__uv="yes", tanks__q1__carbon="yes")).problems == ()
        held = {"tanks__q1__holds": [{"treatment": "copper-ionic"}]}
        assert codes(prescribed_refusal(prescribed_room(**held))) == ["D483"]
        course = food_course(prescribed_room(**held), because=("Dr. Example knows of the copper",))
        assert [entry.code for entry in course.overridden] == ["D483"]


class TestBath:
    def test_the_first_dose_is_the_common_sum(self) -> None:
        course = bath_course(prescribed_room(BATH))
        assert course.dose.active.value == pytest.approx(8000)
        assert course.dose.add.value == pytest.approx(80)
        assert (course.dose.before.value, course.dose.target.value) == (0, 40)
        assert course.dose.sources[0].source == "PRESCRIBED"
        assert "Dr. Example" in course.dose.sources[0].where

    def test_the_dates_and_the_whole_of_the_product(self) -> None:
        course = bath_course(prescribed_room(BATH))
        assert [redose.at - AT for redose in course.redoses] == [dt.timedelta(hours=48), dt.timedelta(hours=96)]
        assert course.end - AT == dt.timedelta(days=5)
        assert course.add_in_all.value == pytest.approx(240)

    def test_the_level_may_pile_up_and_that_is_said(self) -> None:
        course = bath_course(prescribed_room(BATH, tanks__q1__volume={"measured": "200 L ± 0.001 L"}))
        assert [redose.after.high for redose in course.redoses] == pytest.approx([80, 120], rel=1e-4)
        assert all(redose.after.value == 40 for redose in course.redoses)
        assert codes(course) == ["D537"]
        assert "3 × what was prescribed" in course.problems[0].message

    @pytest.mark.parametrize(("change", "said"), [("48 %", ["D537"]), ("51 %", [])])
    def test_twice_what_was_prescribed_is_the_most_that_is_not_said(self, change: str, said: list[str]) -> None:
        """40 mg/L each day climbs towards 40 / 0.48 = 83, or 40 / 0.51 = 78 mg/L: twice is 80."""
        given = BATH | {"every": "24 h", "days": "20 d", "change": change}
        assert codes(bath_course(prescribed_room(given, tanks__q1__volume={"measured": "200 L ± 0.001 L"}))) == said

    def test_a_change_before_each_dose(self) -> None:
        course = bath_course(
            prescribed_room(BATH | {"change": "50 %"}, tanks__q1__volume={"measured": "200 L ± 0.001 L"})
        )
        assert [redose.change for redose in course.redoses] == [100, 100]
        assert [redose.after.high for redose in course.redoses] == pytest.approx([60, 70], rel=1e-4)
        assert codes(course) == []
        assert any("names no change" in note for note in bath_course(prescribed_room(BATH)).notes)

    def test_one_dose_has_no_others(self) -> None:
        course = bath_course(prescribed_room(BATH | {"dose": "0.4 mg/L", "every": "28 d", "days": "28 d"}))
        assert course.redoses == ()
        assert codes(course) == []
        assert not any("before the next dose" in note for note in course.notes)

    def test_a_reading_and_a_change_are_the_common_question(self) -> None:
        room = prescribed_room(BATH)
        assert bath_course(room, reading=measure("10 mg/L")).dose.active.value == pytest.approx(6000)
        course = bath_course(room, change_share=0.25)
        assert course.dose.active.value == pytest.approx(2000)
        assert course.redoses == ()

    def test_the_bottle_is_measured_against_the_whole_course(self) -> None:
        drug = {"active": "antibiotic", "strength": "100 mg/g as oxytetracycline", "left": "100 g"}
        room = prescribed_room(BATH, shelf__drug=drug)
        assert codes(bath_course(room)) == ["D457", "D537"]

    def test_everyone_in_the_water_gets_it(self) -> None:
        fish = [*FISH, {"species": "yellow tang", "tank": "q2"}]
        room = prescribed_room(BATH | {"for": "royal gramma", "change": "50 %"}, animals=fish, **SHARED)
        course = bath_course(room)
        assert codes(course) == ["D538"]
        assert "`yellow tang`" in course.problems[0].message
        whole = prescribed_room(BATH | {"for": "q2", "change": "50 %"}, animals=fish, **SHARED)
        assert codes(bath_course(whole)) == [], "a tank of the same water is all of it"

    def test_what_may_not_meet_it(self) -> None:
        drug = {"active": "chloroquine phosphate", "strength": "98 % w/w as chloroquine phosphate"}
        given = BATH | {"drug": "chloroquine phosphate", "dose": "10 mg/L", "every": "28 d", "days": "28 d"}
        fish = [*FISH, {"species": "torch coral", "tank": "q1"}]
        found = prescribed_refusal(prescribed_room(given, shelf__drug=drug, animals=fish), "chloroquine-immersion")
        assert codes(found) == ["D484"]
        tang = [*FISH, {"species": "yellow tang", "tank": "q1"}]
        course = bath_course(prescribed_room(given, shelf__drug=drug, animals=tang), "chloroquine-immersion")
        assert codes(course) == ["D488"]


class TestSlips:
    @pytest.mark.parametrize(("dose", "said"), [("75 mg/kg", False), ("150 mg/kg", False), ("750 mg/kg", True)])
    def test_a_dose_far_above_all_print_is_asked_about(self, dose: str, said: bool) -> None:
        course = food_course(prescribed_room(FOOD | {"dose": dose}))
        assert ("D536" in codes(course)) is said
        if said:
            assert "10 × is a slip of the decimal point" in course.problems[0].note

    def test_a_drug_that_is_not_in_print_is_taken_as_it_stands(self) -> None:
        given = FOOD | {"drug": "florfenicol", "dose": "900 mg/kg"}
        drug = {"active": "antibiotic", "strength": "100 mg/g as florfenicol"}
        assert codes(food_course(prescribed_room(given, shelf__drug=drug))) == []

    def test_a_bath_too(self) -> None:
        course = bath_course(prescribed_room(BATH | {"dose": "400 mg/L", "every": "10 d"}))
        assert codes(course) == ["D536"]


def test_every_course_says_what_a_prescription_is() -> None:
    for course in (food_course(prescribed_room()), bath_course(prescribed_room(BATH))):
        said = " ".join(statement.text for statement in course.cautions)
        for word in ("chosen by who prescribed", "finish the course", "not as a preventive", "gloves", "resistance",
                     "fish meant to be eaten", "medicated water"):  # fmt: skip
            assert word in said, word
        assert len(course.cautions) == len({statement.text for statement in course.cautions})


def test_doses_that_fit_into_a_course() -> None:
    assert [doses_in(240, every) for every in (24, 48, 72, 240, 500)] == [10, 5, 4, 1, 1]


class TestPages:
    def run(self, *words: str, at: str = "2027-03-08T06:30", width: int = 100) -> tuple[int, str, str]:
        result = CliRunner().invoke(cli, ["dose", *words, "--room", HARBOUR, "--at", at], env={"COLUMNS": str(width)})
        return result.exit_code, result.stdout, result.stderr

    def test_food(self) -> None:
        status, page, _ = self.run("reef", "metronidazole-food")
        assert status == 0
        assert "by           Dr. Example" in page
        assert "1.67 mg metronidazole" in page

    def test_bath(self) -> None:
        status, page, _ = self.run("ward", "antibiotic-course", *KNOWN, at="2027-11-05T19:00")
        assert status == 0
        assert "call again on day three" in page
        assert "10 " in page

    def test_json_keeps_the_keys_of_a_dose(self) -> None:
        _, text, _ = self.run("reef", "metronidazole-food", "--json")
        food = json.loads(text)["result"]
        keys = {"tank", "treatment", "form", "product", "water", "before", "target", "band", "active", "add", "after"}
        keys |= {"steps", "change", "working", "sources"}
        assert keys <= set(food)
        assert food["prescription"]["by"] == "Dr. Example"
        assert len(food["steps"]) == 5
        _, text, _ = self.run("ward", "antibiotic-course", *KNOWN, "--json", at="2027-11-05T19:00")
        bath = json.loads(text)["result"]
        assert keys <= set(bath)
        assert len(bath["redoses"]) == 9

    @pytest.mark.parametrize(
        "words",
        [
            ("reef", "metronidazole-food", "--reading", "2 mg/L"),
            ("reef", "metronidazole-food", "--change", "25 %"),
            ("reef", "metronidazole-food", "--food", "2 mL"),
            ("reef", "metronidazole-food", "--food", "0 g"),
            ("reef", "metronidazole-food", "--prescription", "gut"),
            ("ward", "copper-chelated", "--off", "uv", "--food", "2 g"),
        ],
    )
    def test_what_has_no_part_is_a_wrong_command_line(self, words: tuple[str, ...]) -> None:
        assert self.run(*words)[0] == 2

    def test_food_has_no_part_in_a_bath(self) -> None:
        words = ("ward", "antibiotic-course", *KNOWN, "--food", "2 g")
        assert self.run(*words, at="2027-11-05T19:00")[0] == 2
