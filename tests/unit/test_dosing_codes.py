"""Every code the dosing package gives by itself has a case that draws it out, with its severity."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from pathlib import Path

import pytest

import pratique.dosing
from dosing_rooms import AT, ask, ask_dip, dose, make_room
from pratique.dosing.dip import Dip
from pratique.dosing.dose import Answer, Request
from pratique.dosing.facts import Planned
from pratique.dosing.work import work_out
from pratique.knowledge import store
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.render.problems import render_problem
from pratique.schedule.calendar import plus_hours

SOURCE = Path(pratique.dosing.__file__).parent
HELD = {"tanks__q1__holds": [{"treatment": "copper-ionic"}]}


def decided_by_others() -> Answer:
    drug = store.treatment("praziquantel-bath").model_copy(update={"decided_by": "a veterinarian"})
    return work_out(Request(room=make_room(), tank="q1", treatment=drug, at=AT))


def claimed(claim: str, **more: str) -> dict[str, object]:
    bottle = {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu", "claim": claim}
    return {"shelf__ionic stock": bottle | more}


CASES: dict[str, Callable[[], Answer | Dip]] = {
    "D440": lambda: ask("copper-ionic", target="0.21 mg/L"),
    "D441": lambda: ask("copper-ionic", target="0.14 mg/L"),
    "D446": lambda: ask("copper-ionic", make_room(**claimed("1 mL per 40 L gives 0.25 mg/L"))),
    "D447": lambda: ask("copper-ionic", make_room(tanks__q1__volume={"nominal": "40 gal_us"})),
    "D449": lambda: ask("copper-ionic", make_room(**{"shelf__ionic stock": None})),
    "D450": lambda: ask("copper-ionic", product="chelate"),
    "D451": lambda: ask("formalin-bath", make_room(tanks__q1__temperature=None)),
    "D452": lambda: ask("copper-ionic", make_room(kits__meter__limit="0.07 mg/L"), reading="0.05 mg/L"),
    "D454": decided_by_others,
    "D455": lambda: ask("tank-transfer"),
    "D469": lambda: ask("formalin-bath", change_share=0.5),
    "D456": lambda: ask("copper-ionic", change_share=1.01),
    "D457": lambda: ask("copper-ionic", make_room(**{"shelf__ionic stock__left": "34.9 mL"})),
    "D458": lambda: ask_dip("freshwater-dip", make_room(vessels=None)),
    "D459": lambda: ask_dip("freshwater-dip", minutes=10.5),
    "D460": lambda: ask("copper-ionic", make_room(**{"shelf__ionic stock__error": "60 %"})),
    "D461": lambda: ask("formalin-bath", target="150 mg/L"),
    "D462": lambda: ask("praziquantel-bath", target="2.5 mg/L"),
    "D463": lambda: ask("copper-ionic", make_room(**HELD)),
    "D464": lambda: ask("copper-ionic", reading="0.5 mg/L"),
    "D465": lambda: ask("copper-ionic", make_room(kits__meter__limit="0.21 mg/L"), reading="0 mg/L"),
    "D466": lambda: ask("copper-ionic", make_room(tanks__q1__volume=too_full())),
    "D467": lambda: ask_dip("copper-ionic"),
    "D468": lambda: ask_dip("freshwater-dip", temperature=22.0),
}

WARNINGS = {"D447", "D452", "D457", "D462", "D464"}


def too_full() -> dict[str, str]:
    return {"shape": "box", "length": "40 cm", "width": "30 cm", "fill": "20 cm", "displacement": "24 L"}


def found(code: str) -> Problem:
    answer = CASES[code]()
    assert isinstance(answer, Refusal) is (code not in WARNINGS)
    return next(problem for problem in answer.problems if problem.code == code)


def test_every_code_in_the_package_has_a_case() -> None:
    """A case here, or in the test file of a module that came later."""
    emitted = quoted_codes(SOURCE.rglob("*.py")) - {rule.code for rule in store.interlocks()}
    assert set(CASES) <= emitted
    elsewhere = quoted_codes(path for path in Path(__file__).parents[1].rglob("test_*.py") if path != Path(__file__))
    assert emitted - set(CASES) - elsewhere == set()


def quoted_codes(paths: Iterable[Path]) -> set[str]:
    return {code for path in paths for code in re.findall(r'"(D[0-9]{3})"', path.read_text("utf-8"))}


@pytest.mark.parametrize("code", sorted(CASES))
def test_a_code_is_given(code: str) -> None:
    problem = found(code)
    assert problem.severity == ("warning" if code in WARNINGS else "error")
    assert problem.message
    assert problem.message[0] == "`" or not problem.message[0].isupper()
    assert not problem.message.endswith((".", "!"))
    assert problem.hint


@pytest.mark.parametrize("code", sorted(CASES))
def test_no_message_shows_the_inside_of_the_program(code: str) -> None:
    problem = found(code)
    said = f"{problem.message} {problem.note} {problem.hint} {problem.source}"
    assert not re.search(r"None|Measure\(|Figure\(|<|uL/L(?!`)|\d{7,}|\de[+-]\d|\.\d{5,}", said), said


def test_every_code_as_it_is_read(golden: Callable[[Path, str], None]) -> None:
    """Each word and number, and the mark under the keeper's own line."""
    text = "\n\n".join(render_problem(found(code)) for code in sorted(CASES))
    golden(Path(__file__).parent / "answers" / "codes.txt", text + "\n")


class TestTargets:
    @pytest.mark.parametrize("code", ["D440", "D441"])
    def test_a_refused_target_says_who_says_so_and_the_band(self, code: str) -> None:
        assert found(code).source.startswith("COMMON, treatments 1, ")
        assert found(code).hint == "the band is 0.150 to 0.200 mg/L"

    @pytest.mark.parametrize(
        ("treatment", "own", "published"),
        [
            ("copper-ionic", "5 mg/L", "the band is 0.150 to 0.200 mg/L"),
            ("copper-ionic", "0.1 mg/L", "the band is 0.150 to 0.200 mg/L"),
            ("praziquantel-bath", "40 mg/L", "the level in use is 2.00 mg/L"),
        ],
    )
    def test_an_own_value_that_is_refused_is_never_what_to_write(
        self, treatment: str, own: str, published: str
    ) -> None:
        room = make_room(values={f"{treatment}.target": {"value": own, "reason": "try"}})
        answer = ask(treatment, room)
        assert isinstance(answer, Refusal)
        (problem,) = answer.problems
        assert problem.code in ("D440", "D441")
        assert problem.hint == f"`{treatment}.target` under `values:` asks for it; {published}"

    @pytest.mark.parametrize(
        ("treatment", "target", "code"),
        [
            ("copper-ionic", "0.2 mg/L", ""),
            ("copper-ionic", "0.15 mg/L", ""),
            ("copper-ionic", "0.3 mg/L", "D440"),
            ("copper-amine", "0.6 mg/L", ""),
            ("copper-amine", "0.8 mg/L", "D440"),
            ("copper-amine", "0.45 mg/L", "D441"),
            ("copper-chelated", "1.5 mg/L", "D441"),
            ("copper-chelated", "2.51 mg/L", "D440"),
            ("formalin-bath", "151 uL/L", "D440"),
            ("peroxide-bath", "100 mg/L", ""),
            ("peroxide-bath", "101 mg/L", "D440"),
            ("praziquantel-bath", "0 mg/L", "D441"),
            ("praziquantel-bath", "4 mg/L", "D462"),
            ("praziquantel-bath", "4.1 mg/L", "D440"),
            ("praziquantel-bath", "2 mg/L", ""),
            ("praziquantel-bath", "0.2 mg/L", "D462"),
            ("peroxide-bath", "50 mg/L", ""),
            ("peroxide-bath", "7.5 mg/L", "D462"),
        ],
    )
    def test_the_ends_of_what_may_be_aimed_for(self, treatment: str, target: str, code: str) -> None:
        assert [problem.code for problem in ask(treatment, target=target).problems] == ([code] if code else [])

    def test_a_keepers_own_target_over_the_ceiling_needs_a_ceiling_of_their_own(self) -> None:
        own = {"copper-ionic.target": {"value": "0.25 mg/L", "reason": "my veterinarian"}}
        assert isinstance(ask("copper-ionic", make_room(values=own)), Refusal)
        own["copper-ionic.ceiling"] = {"value": "0.3 mg/L", "reason": "my veterinarian"}
        assert dose("copper-ionic", make_room(values=own)).sources[0].source == "OWN"

    @pytest.mark.parametrize(("level", "code"), [("25 uL/L", ""), ("15 uL/L", ""), ("66.05 uL/L", "D462")])
    def test_the_long_low_bath_is_not_taken_for_a_slip(self, level: str, code: str) -> None:
        room = make_room(tanks__q1__temperature="20 degC")
        assert [p.code for p in ask("formalin-bath", room, target=level).problems] == ([code] if code else [])


class TestUnits:
    def test_formalin_by_weight_and_as_formaldehyde_are_named(self) -> None:
        note = found("D461").note
        assert "the product by volume (150 µL/L)" in note
        assert "by weight (139 µL/L)" in note
        assert "formaldehyde (405 µL/L)" in note

    @pytest.mark.parametrize("treatment", ["copper-ionic", "praziquantel-bath", "peroxide-bath"])
    def test_a_level_by_volume_is_none_for_a_drug_by_mass(self, treatment: str) -> None:
        answer = ask(treatment, target="2 uL/L")
        assert [problem.code for problem in answer.problems] == ["D461"]

    def test_a_reading_in_the_wrong_unit_is_refused_too(self) -> None:
        assert [p.code for p in ask("copper-ionic", reading="0.1 uL/L").problems] == ["D461"]

    def test_a_reading_less_than_nothing(self) -> None:
        below = Measure(-0.1, "mg/L", -0.1, -0.1, "-0.1 mg/L")
        assert [p.code for p in ask("copper-ionic", reading=below).problems] == ["D461"]

    def test_formalin_held_in_milligrams_is_not_read_as_microlitres(self) -> None:
        room = make_room(tanks__q1__holds=[{"treatment": "formalin-bath", "level": "37 mg/L"}])
        answer = ask("formalin-bath", room)
        assert [problem.code for problem in answer.problems] == ["D461"]
        assert "formalin-bath" in answer.problems[0].places[0].text


class TestShelf:
    def test_the_other_forms_on_the_shelf_are_told(self) -> None:
        assert (
            found("D449").note == "on the shelf: amine stock (amine), chelate (chelated); another form has another band"
        )

    def test_an_unknown_product_has_near_names(self) -> None:
        answer = ask("copper-ionic", product="ionic stok")
        assert answer.problems[0].hint == "did you mean `ionic stock`? nothing was changed"

    def test_an_unknown_product_without_near_names_lists_the_shelf(self) -> None:
        assert "on the shelf: ionic stock, amine stock" in ask("copper-ionic", product="zzz").problems[0].hint

    def test_a_product_of_another_form_says_what_it_is(self) -> None:
        assert found("D450").message == "`chelate` is chelated copper, not ionic copper"

    @pytest.mark.parametrize(
        ("strength", "error", "refused"),
        [
            ("1 mg/mL as Cu", "5 %", False),
            ("1 mg/mL as Cu", "0.05 mg/mL", False),
            ("1 mg/mL as Cu", "0.6 mg/mL", True),
            ("25 % w/w as Cu", "0.05 mg/mL", True),
            ("25 % w/w as Cu", "49 %", False),
            ("25 % w/w as Cu", "50 %", True),
        ],
    )
    def test_errors_of_a_bottle_that_say_something(self, strength: str, error: str, refused: bool) -> None:
        bottle = {"active": "copper", "form": "ionic", "strength": strength, "error": error}
        answer = ask("copper-ionic", make_room(**{"shelf__ionic stock": bottle}))
        assert isinstance(answer, Refusal) is refused

    @pytest.mark.parametrize(("left", "short"), [("35.1 mL", False), ("34.9 mL", True), ("0 mL", True)])
    def test_a_bottle_that_runs_out(self, left: str, short: bool) -> None:
        answer = ask("copper-ionic", make_room(**{"shelf__ionic stock__left": left}))
        assert ("D457" in [problem.code for problem in answer.problems]) is short


def test_of_many_nominal_volumes_five_are_named_and_shown() -> None:
    tank = {"use": "ward", "water": "all", "volume": {"nominal": "30 L"}}
    room = make_room(tanks={f"q{n}": tank for n in range(1, 8)}, waters={"all": {"temperature": "25 degC"}})
    (found,) = [problem for problem in dose("praziquantel-bath", room).problems if problem.code == "D447"]
    assert "`q1`, `q2`, `q3`, `q4`, `q5` and 2 more" in found.message
    assert len(found.places) == 5


def test_five_nominal_volumes_are_all_named() -> None:
    tank = {"use": "ward", "water": "all", "volume": {"nominal": "30 L"}}
    room = make_room(tanks={f"q{n}": tank for n in range(1, 6)}, waters={"all": {"temperature": "25 degC"}})
    (found,) = [problem for problem in dose("praziquantel-bath", room).problems if problem.code == "D447"]
    assert "`q4`, `q5` is only nominal" in found.message


class TestReadings:
    def test_an_unknown_level_is_never_taken_for_none(self) -> None:
        assert "its level is not known" in found("D463").message
        assert found("D463").places
        assert not isinstance(ask("copper-ionic", make_room(**HELD), reading="0.1 mg/L"), Refusal)

    @pytest.mark.parametrize(
        ("treatment", "hours", "options", "said"),
        [
            ("copper-ionic", 12.0, {}, []),
            ("copper-ionic", 12.1, {}, ["D463"]),
            ("copper-ionic", 48.0, {"change_share": 0.2}, []),
            ("praziquantel-bath", 48.0, {}, []),
        ],
    )
    def test_what_the_plan_began_half_a_day_ago_is_read_first(
        self, treatment: str, hours: float, options: dict[str, float], said: list[str]
    ) -> None:
        """Not for the new water of a change, nor where the medicine fades and no kit reads it."""
        animals = [{"species": "royal gramma"}]
        batch = {"source": "a shop", "trust": "untrusted", "arrives": "2027-03-01T18:00", "animals": animals}
        planned = (Planned(treatment, plus_hours(AT, -hours), "spring"),)
        answer = ask(treatment, make_room(batches={"spring": batch}), planned=planned, **options)
        assert [problem.code for problem in answer.problems] == said

    def test_a_reading_under_the_limit_is_anything_up_to_it(self) -> None:
        before = dose("copper-ionic", make_room(kits__meter__limit="0.07 mg/L"), reading="0.05 mg/L").before
        assert (before.low, before.value, before.high) == (0.0, 0.05, 0.07)

    def test_a_reading_with_its_own_error_is_believed(self) -> None:
        room = make_room(kits__meter__limit="0.21 mg/L")
        answer = ask("copper-ionic", room, reading="0.1 mg/L ± 0.02 mg/L")
        assert [problem.code for problem in answer.problems] == ["D410"]

    @pytest.mark.parametrize(
        ("treatment", "reading", "named"),
        [
            ("copper-ionic", "0.6624 mg/L", "mg per US gallon"),
            ("copper-ionic", "0.0462 mg/L", "mg per US gallon"),
            ("copper-ionic", "0.6876 mg/L", "pentahydrate"),
            ("copper-ionic", "0.4397 mg/L", "anhydrous"),
            ("copper-ionic", "1.75 mg/L", "decimal point"),
            ("copper-ionic", "0.55 mg/L", "`copper-amine`"),
            ("copper-ionic", "2.2 mg/L", "`copper-chelated`"),
            ("copper-amine", "2.1 mg/L", "`copper-chelated`"),
            ("copper-chelated", "0.18 mg/L", "`copper-ionic`"),
            ("copper-chelated", "8.517 mg/L", "mg per US gallon"),
        ],
    )
    def test_a_reading_that_looks_like_a_slip_is_named_and_taken_as_it_stands(
        self, treatment: str, reading: str, named: str
    ) -> None:
        answer = dose(treatment, reading=reading)
        slip = next(problem for problem in answer.problems if problem.code == "D464")
        assert named in slip.note
        assert answer.before.value == pytest.approx(float(reading.split()[0]))

    @pytest.mark.parametrize("milligrams", [0, 0.05, 0.06, 0.07, 0.12, 0.14, 0.19, 0.22, 0.3])
    def test_an_ordinary_reading_draws_no_such_word(self, milligrams: float) -> None:
        answer = ask("copper-ionic", reading=f"{milligrams} mg/L")
        assert "D464" not in [problem.code for problem in answer.problems]


class TestVolumes:
    def test_of_no_water_no_part_is_changed(self) -> None:
        answer = ask("copper-ionic", make_room(tanks__q1__volume=too_full()), change_litres="1 L")
        assert [problem.code for problem in answer.problems] == ["D466"]

    def test_a_nominal_volume_points_at_its_line(self) -> None:
        assert found("D447").places[0].text.strip() == "nominal: 40 gal_us"

    @pytest.mark.parametrize(("litres", "refused"), [("200 L", False), ("0.1 L", False), ("201 L", True)])
    def test_a_change_in_litres(self, litres: str, refused: bool) -> None:
        assert isinstance(ask("copper-ionic", change_litres=litres), Refusal) is refused

    @pytest.mark.parametrize("share", [0.0, -0.1, 1.0001])
    def test_a_change_that_is_no_part_of_the_water(self, share: float) -> None:
        assert [p.code for p in ask("copper-ionic", change_share=share).problems] == ["D456"]


@pytest.mark.parametrize(
    ("treatment", "hint"),
    [
        ("freshwater-dip", "pratique dip freshwater-dip"),
        ("tank-transfer", "pratique plan"),
        ("observation", "pratique plan"),
        ("fishless-hold", "pratique plan"),
        ("hyposalinity", "pratique plan"),
        ("chlorine-disinfection", "pratique dose TANK chlorine-disinfection"),
    ],
)
def test_what_is_not_a_dose_says_where_it_is_found(treatment: str, hint: str) -> None:
    answer = ask(treatment)
    assert [problem.code for problem in answer.problems] == ["D455"]
    assert hint in answer.problems[0].hint


@pytest.mark.parametrize("treatment", store.treatment_ids())
def test_every_treatment_on_file_has_an_answer_or_a_reason(treatment: str) -> None:
    """No file, however it is filled in, makes either function fail."""
    for answer in (ask(treatment), ask_dip(treatment)):
        assert not isinstance(answer, Refusal) or answer.first.hint


@pytest.mark.parametrize("treatment", [t for t in store.treatment_ids() if store.treatment(t).decided_by])
def test_what_a_veterinarian_decides_has_no_dose(treatment: str) -> None:
    for answer in (ask(treatment), ask_dip(treatment)):
        assert [problem.code for problem in answer.problems] == ["D454"]
