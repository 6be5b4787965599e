"""Every interlock fires in a room made for it, and not in the same room with its cause taken away."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from dosing_rooms import AT, ask, ask_dip, codes, dose, make_room, refusal
from pratique.dosing.dip import Dip
from pratique.dosing.facts import EQUIPMENT, GUARDED_IN_COPPER, VELVET_SIGNS, Setting, interlocks_met, unfit_codes
from pratique.knowledge import store
from pratique.knowledge.interlock import Interlock
from pratique.knowledge.model import Treatment
from pratique.problem import Problem, Refusal
from pratique.render.problems import render_problem
from pratique.room.resolve import Room

COPPERS = ("copper-ionic", "copper-amine", "copper-chelated")
DRUGS = ("praziquantel-bath", "formalin-bath", "peroxide-bath", "methylene-blue-bath")


class Case(NamedTuple):
    """A treatment, the keys that bring the cause into the sound room, and the word the message must name.

    `sound` are the keys of the room without the cause, where the sound room will not do.
    """

    treatment: str
    cause: dict[str, Any]
    subject: str
    is_dip: bool = False
    sound: dict[str, Any] = {}  # noqa: RUF012 (a NamedTuple's default, never changed)


def with_animal(species: str, **more: Any) -> dict[str, Any]:
    return {"animals": [{"species": "royal gramma", "tank": "q1"}, {"species": species, "tank": "q1", **more}]}


HOLDS_PRAZI = {"tanks__q1__holds": [{"treatment": "praziquantel-bath"}]}

CASES = {
    "D401": Case("copper-ionic", with_animal("torch coral"), "torch coral"),
    "D402": Case("copper-ionic", with_animal("peppermint shrimp"), "peppermint shrimp"),
    "D403": Case("copper-ionic", with_animal("bamboo shark"), "bamboo shark"),
    "D404": Case("copper-ionic", {"tanks__q1__substrate": "calcareous"}, "q1"),
    "D405": Case("copper-ionic", {"tanks__q1__rock": "calcareous"}, "q1"),
    "D406": Case("copper-ionic", {"tanks__q1__salinity": "14 g/kg"}, "14.0 g/kg"),
    "D407": Case("copper-ionic", {"tanks__q1__holds": [{"treatment": "copper-amine"}]}, "copper-amine"),
    "D408": Case("copper-ionic", HOLDS_PRAZI, "praziquantel-bath"),
    "D409": Case("copper-ionic", {"kits__meter__forms": "chelated"}, "reads chelated"),
    "D410": Case("copper-ionic", {"kits__meter__limit": "0.21 mg/L"}, "meter"),
    "D411": Case("praziquantel-bath", {"tanks__q1__carbon": "yes"}, "q1"),
    "D412": Case("copper-ionic", {"tanks__q1__uv": "yes"}, "q1"),
    "D413": Case("formalin-bath", {"tanks__q1__ozone": "yes"}, "q1"),
    "D414": Case("peroxide-bath", {"tanks__q1__skimmer": "yes"}, "q1"),
    "D415": Case("formalin-bath", {"tanks__q1__temperature": "27.5 degC"}, "27.5 °C"),
    "D416": Case("formalin-bath", {"tanks__q1__temperature": "26.5 degC"}, "26.5 °C"),
    "D417": Case("formalin-bath", {"tanks__q1__oxygen": "4.9 mg/L"}, "4.9 mg/L"),
    "D418": Case("formalin-bath", {"tanks__q1__oxygen": None}, "q1"),
    "D419": Case("formalin-bath", with_animal("yellow tang", signs="open-wounds"), "yellow tang"),
    "D420": Case("formalin-bath", with_animal("turbo snail"), "turbo snail"),
    "D421": Case("formalin-bath", with_animal("torch coral"), "torch coral"),
    "D422": Case("formalin-bath", {"tanks__q1__rock": "calcareous"}, "q1"),
    "D423": Case("formalin-bath", HOLDS_PRAZI, "praziquantel-bath"),
    "D424": Case("freshwater-dip", with_animal("tuxedo urchin"), "tuxedo urchin", is_dip=True),
    "D425": Case("freshwater-dip", with_animal("torch coral"), "torch coral", is_dip=True),
    "D426": Case("freshwater-dip", with_animal("bamboo shark"), "bamboo shark", is_dip=True),
    "D427": Case("peroxide-bath", HOLDS_PRAZI, "praziquantel-bath"),
    "D428": Case("peroxide-bath", {"tanks__q1__cycled": "yes"}, "q1"),
    "D429": Case("formalin-bath", {"tanks__q1__cycled": "yes"}, "q1"),
    "D430": Case("copper-ionic", with_animal("flame angelfish"), "flame angelfish"),
    "D431": Case("praziquantel-bath", with_animal("leopard wrasse"), "leopard wrasse"),
    "D432": Case("praziquantel-bath", with_animal("torch coral"), "torch coral"),
    "D433": Case("praziquantel-bath", {"shelf__prazi__expires": "2027-03-04"}, "prazi, on Thu 4 Mar 2027"),
    "D434": Case("praziquantel-bath", {"tanks__q1__holds": [{"treatment": "copper-ionic"}]}, "copper-ionic"),
    "D435": Case("peroxide-bath", with_animal("torch coral"), "torch coral"),
    "D436": Case("peroxide-bath", with_animal("maxima clam"), "maxima clam"),
    "D437": Case("freshwater-dip", with_animal("yellow tang", signs="lethargy"), "yellow tang", is_dip=True),
    "D438": Case("formalin-bath", with_animal("bamboo shark"), "bamboo shark", is_dip=True),
    "D439": Case("methylene-blue-bath", {"tanks__q1__cycled": "yes"}, "q1"),
    "D470": Case("hyposalinity", with_animal("torch coral"), "torch coral"),
    "D471": Case("hyposalinity", with_animal("turbo snail"), "turbo snail"),
    "D472": Case("hyposalinity", {"tanks__q1__rock": "calcareous"}, "q1"),
    "D473": Case("hyposalinity", with_animal("bamboo shark"), "bamboo shark"),
    "D474": Case("hyposalinity", {"tanks__q1__holds": [{"treatment": "copper-ionic"}]}, "copper-ionic"),
    "D475": Case("hyposalinity", {"tanks__q1__cycled": "yes"}, "q1"),
    "D476": Case("hyposalinity", with_animal("yellow tang", signs="fast-breathing"), "yellow tang: fast breathing"),
    "D478": Case("methylene-blue-bath", with_animal("torch coral"), "torch coral"),
    "D479": Case("methylene-blue-bath", with_animal("turbo snail"), "turbo snail"),
    "D480": Case("methylene-blue-bath", {"tanks__q1__rock": "calcareous"}, "q1"),
    "D481": Case("methylene-blue-bath", with_animal("bamboo shark"), "bamboo shark"),
    "D482": Case("methylene-blue-bath", HOLDS_PRAZI, "praziquantel-bath"),
    "D483": Case("antibiotic-course", HOLDS_PRAZI, "praziquantel-bath"),
    "D484": Case("chloroquine-immersion", with_animal("torch coral"), "torch coral"),
    "D485": Case("chloroquine-immersion", with_animal("turbo snail"), "turbo snail"),
    "D486": Case("chloroquine-immersion", {"tanks__q1__rock": "calcareous"}, "q1"),
    "D487": Case("chloroquine-immersion", {"tanks__q1__cycled": "yes"}, "q1"),
    "D488": Case("chloroquine-immersion", with_animal("yellow tang"), "yellow tang"),
    "D489": Case("metronidazole-bath", with_animal("torch coral"), "torch coral"),
    "D490": Case("levamisole-bath", with_animal("turbo snail"), "turbo snail"),
    "D491": Case("chlorine-disinfection", {}, "royal gramma", sound={"animals": None}),
    "D492": Case("thiosulfate-neutralising", {}, "royal gramma", sound={"animals": None}),
    "D493": Case("chlorine-disinfection", HOLDS_PRAZI, "praziquantel-bath"),
    "D494": Case("chlorine-disinfection", {"tanks__q1__cycled": "yes"}, "q1"),
    "D495": Case("chlorine-disinfection", {"shelf__bleach__expires": "2027-03-04"}, "bleach, on Thu 4 Mar 2027"),
    "D496": Case("drying", {}, "royal gramma", sound={"animals": None}),
    "D498": Case("copper-ionic", {"tanks__q1__never": "copper"}, "copper, q1"),
    "D497": Case("copper-ionic", {"tanks__q1__use": "display"}, "q1"),
    "D499": Case("copper-ionic", {"tanks__q1__use": "observation"}, "q1"),
}


class Met(NamedTuple):
    """What was said, and whether no answer came of it."""

    problems: tuple[Problem, ...]
    refused: bool


def answer_to(case: Case, **changes: Any) -> Met:
    """By the answer of the program; by the matrix alone where the treatment has an answer of another kind."""
    room, treatment = make_room(**changes), store.treatment(case.treatment)
    if treatment.decided_by or treatment.kind in ("salinity", "disinfection"):
        problems = tuple(interlocks_met(setting(room, treatment)))
        return Met(problems, any(problem.is_error for problem in problems))
    answer = ask_dip(case.treatment, room) if case.is_dip else ask(case.treatment, room)
    return Met(answer.problems, isinstance(answer, Refusal))


def setting(room: Room, treatment: Treatment, **more: Any) -> Setting:
    names = [name for name, product in room.written.shelf.items() if product.active == treatment.active]
    product = (names[0], room.written.shelf[names[0]]) if names and treatment.active else None
    animals = room.residents
    return Setting(
        room=room, treatment=treatment, water=room.waters["q1"], animals=animals, at=AT, product=product, **more
    )


def rules() -> dict[str, Interlock]:
    return {rule.code: rule for rule in store.interlocks()}


def test_every_interlock_has_a_case() -> None:
    assert set(CASES) == set(rules())
    assert len(rules()) == len(store.interlocks()), "a code is used twice"
    assert [rule.code for rule in store.interlocks()] == sorted(rules())


def test_every_treatment_of_an_interlock_exists() -> None:
    named = {entry for rule in store.interlocks() for entry in (*rule.treatments, *rule.never_with)}
    assert named - set(store.treatment_ids()) == {"*", "copper-*"}


def test_no_drug_rule_speaks_of_what_is_no_drug() -> None:
    """`*` is every drug: bleach, thiosulfate, dry air and fresh or weak sea water are none."""
    everything = {f"tanks__q1__{name}": "yes" for name in EQUIPMENT}
    room = make_room(**everything, shelf__bleach__expires="2026-01-01")
    for id_ in store.treatment_ids():
        treatment = store.treatment(id_)
        met = {p.code for p in interlocks_met(setting(room, treatment))}
        is_drug = treatment.active != "" and treatment.kind != "disinfection"
        assert ({"D411", "D412", "D413", "D414"} <= met) is is_drug, id_
        assert is_drug or not met & {"D411", "D412", "D413", "D414", "D433"}, id_


def test_what_is_eaten_is_not_taken_out_by_a_lamp() -> None:
    room = make_room(tanks__q1__uv="yes", tanks__q1__carbon="yes")
    food = store.treatment("metronidazole-food")
    assert interlocks_met(setting(room, food, by_mouth=True)) == []


@pytest.mark.parametrize("sign", sorted(VELVET_SIGNS))
def test_each_sign_of_velvet_stops_low_salinity(sign: str) -> None:
    room = make_room(**with_animal("yellow tang", signs=sign))
    assert [p.code for p in interlocks_met(setting(room, store.treatment("hyposalinity")))] == ["D476"]


def test_a_sign_of_the_whole_batch_counts_for_its_animals() -> None:
    batch = {
        "trust": "unsure",
        "arrives": "2027-03-05",
        "signs": "dust, open-wounds",
        "animals": [{"species": "yellow tang"}, {"species": "royal gramma"}],
    }
    room = make_room(batches__order=batch)
    arrived = room.batches["order"].animals
    found = interlocks_met(replace(setting(room, store.treatment("hyposalinity")), animals=arrived))
    assert [p.code for p in found] == ["D476"]
    assert found[0].message.endswith("(order: fine coat like dust)")
    bath = interlocks_met(replace(setting(room, store.treatment("formalin-bath")), animals=arrived))
    assert "D419" in [p.code for p in bath]


def test_a_medicine_is_a_substance_or_too_little_salt() -> None:
    cases = (("observation", False), ("drying", False), ("hyposalinity", True), ("copper-ionic", True))
    for held, is_medicine in cases:
        room = make_room(tanks__q1__holds=[{"treatment": held}])
        assert ("D434" in codes(ask("praziquantel-bath", room))) is is_medicine, held


def test_a_tank_is_unfit_by_what_no_switch_mends() -> None:
    assert {"D404", "D405", "D406", "D407", "D408", "D422", "D423"} <= unfit_codes()
    assert not {"D401", "D409", "D411", "D412", "D410"} & unfit_codes()


@pytest.mark.parametrize("treatment", [*COPPERS, *DRUGS])
def test_the_sound_room_is_sound(treatment: str) -> None:
    answer = dose(treatment)
    assert answer.problems == ()
    assert answer.add.value > 0


@pytest.mark.parametrize("treatment", ["freshwater-dip", "formalin-bath", "peroxide-bath"])
def test_the_sound_room_is_sound_for_dips(treatment: str) -> None:
    answer = ask_dip(treatment)
    assert isinstance(answer, Dip)
    assert answer.problems == ()


@pytest.mark.parametrize("code", sorted(CASES))
def test_an_interlock_fires(code: str) -> None:
    case, rule = CASES[code], rules()[code]
    answer = answer_to(case, **case.cause)
    found = next((problem for problem in answer.problems if problem.code == code), None)
    assert found is not None, codes(answer)
    assert case.subject in found.message
    assert found.note == rule.reason
    assert found.source == f"{rule.source}, {rule.where} ({rule.confidence})"
    assert found.hint == rule.instead
    if rule.verdict == "block":
        assert answer.refused
        assert found.severity == "error"
    else:
        assert found.severity == "warning"
        others = [problem.code for problem in answer.problems if problem.is_error]
        assert not answer.refused or others == ["D491"], "an empty tank is asked for first"


@pytest.mark.parametrize("code", sorted(CASES))
def test_an_interlock_rests_without_its_cause(code: str) -> None:
    assert code not in codes(answer_to(CASES[code], **CASES[code].sound))


@pytest.mark.parametrize("code", sorted(set(CASES) - {"D418"}))
def test_an_interlock_points_into_the_room_file(code: str) -> None:
    """Where the cause is a line of the file; oxygen that is not written anywhere has no line."""
    found = next(p for p in answer_to(CASES[code], **CASES[code].cause).problems if p.code == code)
    by_measure = code in ("D415", "D416", "D417")
    assert bool(found.places) is not by_measure


def test_every_interlock_as_it_is_read(golden: Callable[[Path, str], None]) -> None:
    """What met it, and the mark under the keeper's own line; the rest of it is its record's."""
    answers = {code: answer_to(CASES[code], **CASES[code].cause) for code in sorted(CASES)}
    found = [problem for code, answer in answers.items() for problem in answer.problems if problem.code == code]
    text = "\n\n".join(render_problem(replace(problem, note="", source="", hint="")) for problem in found)
    golden(Path(__file__).parent / "answers" / "interlocks.txt", text + "\n")


@pytest.mark.parametrize("treatment", COPPERS)
@pytest.mark.parametrize("code", sorted(code for code in CASES if CASES[code].treatment == "copper-ionic"))
def test_the_copper_interlocks_hold_for_every_form(code: str, treatment: str) -> None:
    case = CASES[code]._replace(treatment=treatment)
    cause = dict(case.cause)
    if code == "D407":
        other = "copper-ionic" if treatment == "copper-amine" else "copper-amine"
        cause = {"tanks__q1__holds": [{"treatment": other}]}
    elif code == "D409":
        cause = {"kits__meter__forms": "ionic" if treatment != "copper-ionic" else "amine"}
    elif code == "D410":
        cause = {"kits__meter__error": "1 mg/L"}
    assert code in codes(answer_to(case, **cause))


@pytest.mark.parametrize("name", EQUIPMENT)
@pytest.mark.parametrize("treatment", [*COPPERS, *DRUGS])
def test_equipment_blocks_every_drug_until_it_is_said_to_be_off(name: str, treatment: str) -> None:
    room = make_room(**{f"tanks__q1__{name}": "yes"})
    assert name in refusal(treatment, room).first.hint
    assert ask(treatment, room, off=frozenset({name})) == dose(treatment, room, off=frozenset(EQUIPMENT))


def test_switching_one_thing_off_leaves_the_others() -> None:
    room = make_room(tanks__q1__uv="yes", tanks__q1__carbon="yes")
    assert codes(refusal("copper-ionic", room, off=frozenset({"uv"}))) == ["D411"]


def test_equipment_switched_off_in_the_file_or_not_mentioned_blocks_nothing() -> None:
    assert dose("copper-ionic", make_room(tanks__q1__uv="no")).problems == ()


def test_every_reason_is_given_at_once_and_the_worst_comes_first() -> None:
    changes = {
        "tanks__q1__carbon": "yes",
        "tanks__q1__substrate": "calcareous",
        **with_animal("torch coral"),
        "shelf__ionic stock__expires": "2026-01-01",
    }
    found = refusal("copper-ionic", make_room(**changes), target="0.5 mg/L", change_share=1.5)
    assert codes(found) == ["D401", "D404", "D433", "D440", "D456", "D411"]
    assert all(isinstance(problem, Problem) and problem.is_error for problem in found.problems)


def test_one_interlock_met_by_many_is_one_problem_that_names_three() -> None:
    corals = [{"species": "torch coral", "name": f"torch {n}", "tank": "q1"} for n in range(5)]
    found = refusal("copper-ionic", make_room(animals=corals))
    assert codes(found) == ["D401"]
    assert found.first.message.endswith("(torch 0, torch 1, torch 2 and 2 more)")
    assert len(found.first.places) == 3


def test_animals_are_the_residents_unless_they_are_named() -> None:
    room = make_room(**with_animal("torch coral"))
    assert codes(refusal("copper-ionic", room)) == ["D401"]
    assert dose("copper-ionic", room, animals=room.residents[:1]).problems == ()


def test_animals_of_another_water_do_not_count() -> None:
    changes = with_animal("torch coral")
    changes["animals"][1]["tank"] = "reef"
    room = make_room(tanks__reef={"use": "display", "volume": {"measured": "300 L"}}, **changes)
    assert dose("copper-ionic", room).problems == ()


def test_animals_of_another_tank_on_the_same_water_do() -> None:
    changes = with_animal("torch coral")
    changes["animals"][1]["tank"] = "q2"
    shared = {"use": "ward", "water": "system", "volume": {"measured": "200 L"}}
    room = make_room(waters={"system": {"temperature": "25 degC"}}, tanks={"q1": shared, "q2": shared}, **changes)
    assert "D401" in codes(refusal("copper-ionic", room))


@pytest.mark.parametrize("species", ["flame angelfish", "valentini puffer", "volitans lionfish", "mandarin",
                                     "brazilian seahorse", "snowflake eel"])  # fmt: skip
def test_animals_with_a_narrow_margin_climb_more_slowly(species: str) -> None:
    room = make_room(**with_animal(species))
    assert room.residents[1].group.id in GUARDED_IN_COPPER
    assert len(dose("copper-ionic", room).steps) == 6 > len(dose("copper-ionic").steps)


def test_a_scaleless_animal_of_any_group_is_guarded() -> None:
    room = make_room(**with_animal("yellow tang", scaleless="yes"))
    assert "D430" in codes(dose("copper-ionic", room))


def test_a_product_is_good_on_its_last_day() -> None:
    assert dose("praziquantel-bath", make_room(shelf__prazi__expires="2027-03-05")).problems == ()


def test_an_expired_bottle_is_passed_over_for_a_good_one_and_still_refused_by_name() -> None:
    old = {"active": "praziquantel", "strength": "50 % w/w as praziquantel", "expires": "2027-01-01"}
    room = make_room(shelf__old=old)
    assert dose("praziquantel-bath", room).product == "prazi"
    assert codes(refusal("praziquantel-bath", room, product="old")) == ["D433"]


def test_a_kit_past_its_date_measures_nothing() -> None:
    found = refusal("copper-ionic", make_room(kits__meter__expires="2027-03-04"))
    assert codes(found) == ["D409"]
    assert "meter is past its date" in found.first.message
    assert dose("copper-ionic", make_room(kits__meter__expires="2027-03-05")).problems == ()


def test_without_any_kit_no_copper_is_dosed() -> None:
    found = refusal("copper-amine", make_room(kits=None))
    assert "there is no copper kit" in found.first.message


def test_a_coarse_kit_beside_a_fine_one_is_no_matter() -> None:
    coarse = {"measures": "copper", "forms": "ionic", "resolution": "0.25 mg/L"}
    assert dose("copper-ionic", make_room(kits__strips=coarse)).problems == ()
    assert codes(dose("copper-ionic", make_room(kits={"strips": coarse}))) == ["D410"]


def test_a_fine_kit_whose_error_nobody_knows_is_not_called_coarse() -> None:
    fine = {"measures": "copper", "forms": "ionic", "resolution": "0.01 mg/L"}
    assert dose("copper-ionic", make_room(kits={"meter": fine})).problems == ()


def test_three_of_those_it_is_met_by_are_named_and_the_rest_counted() -> None:
    corals = ["torch coral", "acropora", "toadstool coral", "leather coral"]
    found = refusal("copper-ionic", make_room(animals=[{"species": name, "tank": "q1"} for name in corals]))
    assert "(torch coral, acropora, toadstool coral and 1 more)" in found.first.message
    assert len(found.first.places) == 3


@pytest.mark.parametrize(("salinity", "said"), [("19.9 g/kg", ["D406"]), ("20 g/kg", []), ("21 g/kg", [])])
def test_low_salinity_is_below_twenty(salinity: str, said: list[str]) -> None:
    answer = ask("copper-ionic", make_room(tanks__q1__salinity=salinity))
    assert [problem.code for problem in answer.problems] == said


def test_too_little_salt_in_the_water_is_a_treatment_too() -> None:
    held = make_room(tanks__q1__holds=[{"treatment": "hyposalinity"}])
    assert codes(refusal("copper-ionic", held)) == ["D408"]


def test_the_warm_end_of_a_temperature_decides() -> None:
    room = make_room(tanks__q1__temperature="26.5 degC ± 1 degC")
    assert codes(refusal("formalin-bath", room)) == ["D415"]


@pytest.mark.parametrize(("degrees", "expected"), [("26 degC", []), ("26.1 degC", ["D416"]), ("27 degC", ["D416"])])
def test_the_ends_of_the_temperature_gates(degrees: str, expected: list[str]) -> None:
    assert codes(dose("formalin-bath", make_room(tanks__q1__temperature=degrees))) == expected


def test_oxygen_given_with_the_question_comes_before_the_file() -> None:
    assert codes(refusal("formalin-bath", oxygen=3.0)) == ["D417"]
    assert dose("formalin-bath", make_room(tanks__q1__oxygen="4 mg/L"), oxygen=6.0).problems == ()


def test_water_for_the_vessel_is_not_the_water_of_the_tank() -> None:
    """Rock, carbon and medicine of the tank do not stand in the way of a bath in a vessel of its own."""
    room = make_room(tanks__q1__rock="calcareous", tanks__q1__carbon="yes", tanks__q1__cycled="yes", **HOLDS_PRAZI)
    assert "D422" in codes(refusal("formalin-bath", room))
    answer = ask_dip("formalin-bath", room)
    assert isinstance(answer, Dip)
    assert answer.problems == ()
    assert "fill nothing from q1: it holds praziquantel-bath" in answer.notes


def test_praziquantel_over_copper_is_refused_and_yields_to_a_reason() -> None:
    """Our two references disagree (treatments 19: block; practice D6: done, rarely justified): the safer one holds."""
    room = make_room(tanks__q1__holds=[{"treatment": "copper-ionic"}])
    problem = refusal("praziquantel-bath", room).first
    assert problem.code == "D434"
    assert "sources disagree" in problem.note
    answer = ask("praziquantel-bath", room, because=("the veterinarian wants both",))
    assert not isinstance(answer, Refusal)
    assert [entry.code for entry in answer.overridden] == ["D434"]
