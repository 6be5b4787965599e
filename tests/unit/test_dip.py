"""Dips and baths of minutes: vessel, times, match, order of work, and what stops them."""

from __future__ import annotations

from typing import Any

import pytest

from dosing_rooms import ask_dip, codes, dip, dose, make_room
from pratique.dosing.dip import Dip
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.problem import Refusal

BATHS = ("formalin-bath", "peroxide-bath")
DIPS = ("freshwater-dip", *BATHS)


def texts(answer: Dip, phase: str = "") -> str:
    return "\n".join(step.text for step in answer.steps if phase in ("", step.phase))


def refused(treatment: str, room: Any = None, **options: Any) -> Refusal:
    answer = ask_dip(treatment, room, **options)
    assert isinstance(answer, Refusal)
    return answer


class TestVessel:
    def test_the_only_vessel_of_the_room(self) -> None:
        answer = dip("freshwater-dip")
        assert answer.vessel == "tub"
        assert answer.water.value == 12
        assert answer.water.low == pytest.approx(11.76)

    def test_the_named_one_of_several(self) -> None:
        room = make_room(vessels={"tub": "12 L", "bucket": "2 gal_us"})
        assert dip("freshwater-dip", room, vessel="bucket").water.value == pytest.approx(7.5708, rel=1e-4)

    def test_several_and_none_named(self) -> None:
        problem = refused("freshwater-dip", make_room(vessels={"tub": "12 L", "bucket": "8 L"})).first
        assert problem.code == "D458"
        assert problem.hint == "name one of `tub`, `bucket`, or say `--volume`"

    def test_none_on_file(self) -> None:
        assert "say `--volume 20 L`" in refused("freshwater-dip", make_room(vessels=None)).first.hint

    def test_an_unknown_name_has_near_names(self) -> None:
        assert refused("freshwater-dip", vessel="tbu").first.hint == "did you mean `tub`? nothing was changed"
        assert refused("freshwater-dip", vessel="bath").first.hint == "on file: `tub`"

    def test_a_volume_needs_no_vessel(self) -> None:
        answer = dip("peroxide-bath", make_room(vessels=None), volume="20 L")
        assert (answer.vessel, answer.water.value) == ("the vessel", 20)

    def test_a_vessel_may_be_filled_less_but_not_more(self) -> None:
        assert dip("peroxide-bath", vessel="tub", volume="10 L").water.value == 10
        problem = refused("peroxide-bath", vessel="tub", volume="13 L").first
        assert problem.code == "D458"
        assert problem.message == "`tub` holds 12.0 L, less than the 13.0 L asked for"

    def test_a_volume_of_nothing(self) -> None:
        assert codes(refused("peroxide-bath", volume="0 L")) == ["D458"]


class TestAmount:
    @pytest.mark.parametrize("treatment", BATHS)
    def test_it_is_the_sum_of_a_dose_into_a_tank_of_that_size(self, treatment: str) -> None:
        room = make_room(tanks__q1__volume={"measured": "12 L"})
        tank, vessel = dose(treatment, room), dip(treatment, room)
        assert vessel.dose is not None
        assert vessel.dose.add == tank.add
        assert vessel.dose.active == tank.active
        assert vessel.dose.after == tank.after
        assert vessel.dose.target == tank.target

    def test_fresh_water_needs_no_product(self) -> None:
        answer = dip("freshwater-dip", make_room(shelf=None))
        assert answer.dose is None
        assert "sodium bicarbonate" in texts(answer, "before")

    @pytest.mark.parametrize("treatment", BATHS)
    def test_a_bath_without_its_product_is_refused(self, treatment: str) -> None:
        assert codes(refused(treatment, make_room(shelf=None))) == ["D449"]

    def test_the_bottle_that_is_named(self) -> None:
        weak = {"active": "formalin", "strength": "10 % w/v as formaldehyde"}
        answer = dip("formalin-bath", make_room(shelf__weak=weak), product="weak")
        assert answer.dose is not None
        assert answer.dose.add.value == pytest.approx(12 * 150 / 1000 * 3.7)

    def test_the_amount_and_the_first_dilution_are_in_the_steps(self) -> None:
        before = texts(dip("formalin-bath"), "before")
        assert "stir 1.80 mL of formalin into 0.180 L of the water, then that into the vessel" in before
        assert "stir in 30.0 mL of peroxide" in texts(dip("peroxide-bath"), "before")

    def test_a_label_that_does_not_agree_stops_a_bath_too(self) -> None:
        room = make_room(shelf__peroxide__claim="1 mL per 1 L gives 300 mg/L")
        assert codes(refused("peroxide-bath", room)) == ["D446"]

    def test_a_bottle_that_runs_out_is_said(self) -> None:
        assert codes(dip("peroxide-bath", make_room(shelf__peroxide__left="29 mL"))) == ["D457"]

    def test_a_rough_vessel_is_cut(self) -> None:
        answer = dip("formalin-bath", volume="12 L ± 2 L")
        assert answer.dose is not None
        assert answer.dose.after.high == pytest.approx(157.5)
        assert any(note.startswith("cut so that") for note in answer.notes)


class TestTimes:
    @pytest.mark.parametrize(
        ("treatment", "usual", "low", "high", "ceiling"),
        [("freshwater-dip", 5, 2, 7, 10), ("formalin-bath", 45, 30, 60, 60), ("peroxide-bath", 30, 30, 30, 30)],
    )
    def test_the_usual_time_and_its_limit(
        self, treatment: str, usual: float, low: float, high: float, ceiling: float
    ) -> None:
        answer = dip(treatment)
        assert answer.minutes == Figure(
            value=pytest.approx(usual), unit="min", low=pytest.approx(low), high=pytest.approx(high)
        )
        assert answer.ceiling == pytest.approx(ceiling)

    @pytest.mark.parametrize(
        ("treatment", "minutes"), [("freshwater-dip", 10.1), ("formalin-bath", 61), ("peroxide-bath", 31)]
    )
    def test_over_the_limit_is_refused_with_its_source(self, treatment: str, minutes: float) -> None:
        problem = refused(treatment, minutes=minutes).first
        assert problem.code == "D459"
        assert problem.source
        assert "is above the ceiling" in problem.message

    @pytest.mark.parametrize("minutes", [0.0, -1.0])
    def test_no_time_is_no_dip(self, minutes: float) -> None:
        assert codes(refused("freshwater-dip", minutes=minutes)) == ["D459"]

    @pytest.mark.parametrize("minutes", [7.0, 10.0])
    def test_up_to_the_limit_it_is_the_keepers_choice(self, minutes: float) -> None:
        answer = dip("freshwater-dip", minutes=minutes)
        assert answer.minutes.value == minutes
        assert f"{minutes:g} min: net it out" in texts(answer, "out")

    def test_shorter_than_any_time_on_record(self) -> None:
        assert "shorter than any time on record, 2 min" in dip("freshwater-dip", minutes=1.0).notes

    def test_the_minute_marks_are_in_order(self) -> None:
        marks = [step.minute for step in dip("freshwater-dip").steps if step.minute is not None]
        assert marks == [-30, 0, 3, 5]  # the limit is in the head; a line to tick would invite a longer dip
        marks = [step.minute for step in dip("formalin-bath").steps if step.minute is not None]
        assert marks == [-30, 0, 45]

    def test_where_usual_time_and_limit_are_one_there_is_one_mark(self) -> None:
        assert [step.minute for step in dip("peroxide-bath").steps if step.phase == "out"] == [30]

    @pytest.mark.parametrize(("treatment", "every"), [("freshwater-dip", 1), ("formalin-bath", 5)])
    def test_how_often_to_look(self, treatment: str, every: float) -> None:
        assert dip(treatment).look_every == every


class TestMatch:
    def test_temperature_and_ph_of_the_fishs_own_water(self) -> None:
        answer = dip("freshwater-dip")
        assert answer.match.temperature == Figure.exact(25.0, "degC")
        assert answer.match.ph.value == 8.1
        assert answer.match.tolerance.value == 1
        before = texts(answer, "before")
        assert "bring it to 25.0 °C, that of q1; at most 1 °C off" in before
        assert "until the pH meter reads 8.1, never by the spoon" in before

    def test_what_is_not_on_file_is_measured(self) -> None:
        room = make_room(tanks__q1__temperature=None, tanks__q1__ph=None)
        answer = dip("freshwater-dip", room)
        assert answer.match.temperature is None
        assert answer.match.ph.value == 8.0
        assert "measure the temperature of q1" in texts(answer, "before")

    def test_without_a_source_water(self) -> None:
        answer = dip("freshwater-dip", source_water=None)
        assert "measure the temperature of its own tank" in texts(answer, "before")

    def test_formalin_needs_a_temperature(self) -> None:
        room = make_room(tanks__q1__temperature=None)
        refusal = refused("formalin-bath", room)
        assert codes(refusal) == ["D451"]
        assert "`--temperature '25 degC'`" in refusal.first.hint
        assert dip("formalin-bath", room, temperature=24.0).dose is not None
        assert "of the bath" in refused("formalin-bath", source_water=None).first.message

    @pytest.mark.parametrize(("degrees", "level"), [(20.5, 250), (21.0, 150), (21.9, 150)])
    def test_the_vessels_own_temperature_sets_the_level(self, degrees: float, level: float) -> None:
        answer = dip("formalin-bath", make_room(tanks__q1__temperature="21 degC"), temperature=degrees)
        assert answer.dose is not None
        assert answer.dose.target.value == level

    @pytest.mark.parametrize(("degrees", "fits"), [(24.0, True), (26.0, True), (23.9, False), (26.1, False)])
    def test_a_vessel_that_does_not_match_is_refused(self, degrees: float, fits: bool) -> None:
        answer = ask_dip("freshwater-dip", temperature=degrees)
        assert isinstance(answer, Dip) is fits
        if isinstance(answer, Refusal):
            assert answer.first.code == "D468"
            assert "within 1 °C" in answer.first.hint

    def test_salt_water_of_the_same_salinity(self) -> None:
        assert "12.0 L of new salt water of 34 g/kg" in texts(dip("peroxide-bath"), "before")


class TestAnimals:
    @pytest.mark.parametrize(
        ("treatment", "species", "code", "refusing"),
        [
            ("freshwater-dip", "peppermint shrimp", "D424", True),
            ("freshwater-dip", "torch coral", "D425", True),
            ("freshwater-dip", "bamboo shark", "D426", True),
            ("formalin-bath", "turbo snail", "D420", True),
            ("formalin-bath", "bamboo shark", "D438", False),
            ("peroxide-bath", "bamboo shark", "D438", False),
            ("peroxide-bath", "maxima clam", "D436", True),
        ],
    )
    def test_only_those_who_are_dipped_count(self, treatment: str, species: str, code: str, refusing: bool) -> None:
        animals = [{"species": "royal gramma", "tank": "q1"}, {"species": species, "tank": "q1"}]
        room = make_room(animals=animals)
        assert codes(dip(treatment, room, animals=room.residents[:1])) == []
        answer = ask_dip(treatment, room)
        assert codes(answer) == [code]
        assert isinstance(answer, Refusal) is refusing

    def test_wounds_heat_oxygen_and_age_all_at_once(self) -> None:
        room = make_room(
            animals=[{"species": "yellow tang", "tank": "q1", "signs": "red-sores"}],
            tanks__q1__temperature="28 degC",
            shelf__formalin__expires="2027-01-01",
            vessels=None,
        )
        found = refused("formalin-bath", room, oxygen=4.0, minutes=90.0)
        assert codes(found) == ["D415", "D417", "D419", "D433", "D459", "D458"]

    def test_oxygen_that_is_not_known_is_said(self) -> None:
        assert codes(dip("formalin-bath", oxygen=None)) == ["D418"]

    def test_a_surgeonfish_may_thrash(self) -> None:
        room = make_room(animals=[{"species": "yellow tang", "name": "Lemon", "tank": "q1"}])
        assert any("surgeonfish (Lemon) may thrash" in note for note in dip("freshwater-dip", room).notes)
        assert not any("thrash" in note for note in dip("freshwater-dip").notes)
        assert not any("thrash" in note for note in dip("formalin-bath", room).notes)

    def test_nobody_named_is_said(self) -> None:
        assert any("no animal was named" in note for note in dip("freshwater-dip", animals=()).notes)


class TestSheet:
    @pytest.mark.parametrize("treatment", DIPS)
    def test_the_phases_are_in_the_order_of_work(self, treatment: str) -> None:
        order = ["before", "in", "out", "after"]
        phases = [step.phase for step in dip(treatment).steps]
        assert phases == sorted(phases, key=order.index)
        assert set(phases) == set(order)

    @pytest.mark.parametrize("treatment", DIPS)
    def test_the_help_stands_ready_before_the_fish_goes_in(self, treatment: str) -> None:
        before = texts(dip(treatment), "before")
        assert "ready beside it: a clean tank" in before
        assert "aerate hard" in before
        assert dip(treatment).aerate_before == 30

    @pytest.mark.parametrize("treatment", DIPS)
    def test_afterwards_clean_salt_water_and_the_bath_thrown_away(self, treatment: str) -> None:
        after = "\n".join(step.text for step in dip(treatment).afterwards)
        assert "full salinity" in after
        assert "clean tank" in after
        assert "never use it twice, none of it to a tank" in after

    @pytest.mark.parametrize("treatment", DIPS)
    def test_watch_stop_and_what_then(self, treatment: str) -> None:
        answer = dip(treatment)
        assert answer.watch
        assert answer.stop == store.treatment(treatment).stop
        assert "at once" in answer.at_stop[0].text

    @pytest.mark.parametrize("treatment", DIPS)
    def test_peoples_safety_comes_first(self, treatment: str) -> None:
        known = store.treatment(treatment)
        assert dip(treatment).cautions == (*known.people, *known.cautions)
        if treatment != "freshwater-dip":
            assert dip(treatment).steps[0].text.startswith("gloves, goggles")

    @pytest.mark.parametrize("treatment", DIPS)
    def test_every_source_of_a_step_is_on_file(self, treatment: str) -> None:
        steps = (*dip(treatment).steps, *dip(treatment).at_stop)
        assert {step.source.split(",")[0].split(" ")[0] for step in steps if step.source} <= set(store.sources())

    def test_formalin_is_looked_at_and_its_oxygen_read(self) -> None:
        before = texts(dip("formalin-bath"), "before")
        assert "white deposit" in before
        assert "6 to 8 mg/L of oxygen; under 5 mg/L there is no bath" in before
        assert any("oxygen by a meter throughout: 6 to 8 mg/L" in line for line in dip("formalin-bath").watch)

    def test_a_freshwater_dip_looks_for_flukes_and_comes_again_for_their_eggs(self) -> None:
        after = texts(dip("freshwater-dip"), "after")
        assert "clear flakes are capsalid flukes" in after
        assert "eggs are not killed" in after

    @pytest.mark.parametrize("treatment", BATHS)
    def test_the_working_ends_in_the_amount(self, treatment: str) -> None:
        answer = dip(treatment)
        assert answer.working[0].label == "water in tub"
        assert answer.working[-1].result.endswith(" mL")

    @pytest.mark.parametrize("treatment", DIPS)
    def test_sources_are_given_once(self, treatment: str) -> None:
        sources = dip(treatment).sources
        assert sources
        assert len({(source.source, source.where) for source in sources}) == len(sources)


@pytest.mark.parametrize(
    ("treatment", "hint"),
    [
        ("copper-ionic", "pratique dose"),
        ("praziquantel-bath", "pratique dose"),
        ("tank-transfer", "pratique plan"),
        ("observation", "pratique plan"),
    ],
)
def test_what_is_no_dip_says_where_it_is_found(treatment: str, hint: str) -> None:
    problem = refused(treatment).first
    assert problem.code == "D467"
    assert hint in problem.hint


def test_what_a_veterinarian_decides_is_not_dipped() -> None:
    from dosing_rooms import AT
    from pratique.dosing.bath import work_out_dip
    from pratique.dosing.dip import DipRequest

    drug = store.treatment("peroxide-bath").model_copy(update={"decided_by": "a veterinarian"})
    answer = work_out_dip(DipRequest(room=make_room(), treatment=drug, animals=(), label="x", at=AT))
    assert codes(answer) == ["D454"]


def test_a_bath_that_nobody_measured_says_how_its_warmth_was_come_by() -> None:
    """26.6 degC of q1, and the 1 degC the vessel may be off: 27.6, over the 27 degC of formalin."""
    room = make_room(tanks__q1__temperature="26.6 degC")
    answer = ask_dip("formalin-bath", room, source_water=room.water_of("q1"))
    assert isinstance(answer, Refusal)
    said = next(problem.message for problem in answer.problems if problem.code == "D415")
    assert "27.6 °C at the warmest, 26.6 °C of q1 and the 1 °C it may be off" in said
    measured = ask_dip("formalin-bath", room, source_water=room.water_of("q1"), temperature=27.2)
    assert isinstance(measured, Refusal)
    assert "at the warmest" not in next(p.message for p in measured.problems if p.code == "D415")


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0.0, "0 min is no time for a `formalin-bath`"), (61.0, "61 min is above the ceiling 60 min of `formalin-bath`")],
)
def test_a_time_that_is_none_is_told_from_one_that_is_too_long(minutes: float, said: str) -> None:
    found = refused("formalin-bath", minutes=minutes)
    assert codes(found) == ["D459"]
    assert found.first.message == said
