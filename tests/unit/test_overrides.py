"""An interlock set aside with a reason: what yields, what does not, and what is then printed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from dosing_rooms import ask, ask_dip, codes, dose, make_room, refusal
from pratique.cli.main import cli
from pratique.dosing.dip import Dip
from pratique.knowledge import store
from pratique.knowledge.interlock import Interlock

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
LAMP = {"tanks__q1__uv": "yes"}
OLD = {"shelf__prazi__expires": "2027-03-04"}
CORAL = {"animals": [{"species": "torch coral", "tank": "q1"}]}

MAIM_OR_KILL = {
    *("D401", "D402", "D403", "D406", "D407", "D409", "D415", "D417", "D419", "D420", "D421", "D423", "D424"),
    *("D427", "D470", "D471", "D474", "D484", "D485", "D491", "D492", "D493"),
}
"""What the brief of the project and the sources leave no choice about."""


def rule(code: str) -> Interlock:
    return next(rule for rule in store.interlocks() if rule.code == code)


def test_what_maims_or_kills_yields_to_nothing() -> None:
    assert {rule.code for rule in store.interlocks() if rule.override == "no"} >= MAIM_OR_KILL


def test_old_formalin_is_never_used_and_an_old_bottle_of_another_kind_may_be() -> None:
    assert not rule("D433").yields_to_reason("formalin-bath")
    assert rule("D433").yields_to_reason("praziquantel-bath")
    old = make_room(shelf__formalin__expires="2027-03-04")
    assert codes(refusal("formalin-bath", old, because=("it looks clear",))) == ["D520", "D433"]
    assert "D433" in codes(dose("praziquantel-bath", make_room(**OLD), because=("sealed until today",)))


@pytest.mark.parametrize("changes", [{"override": ""}, {"override": "no", "never_with": ("copper-ionic",)}])
def test_a_block_says_whether_it_yields(changes: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="D412"):
        Interlock.model_validate(rule("D412").model_dump() | changes)
    with pytest.raises(ValueError, match="on nothing else"):
        Interlock.model_validate(rule("D410").model_dump() | {"override": "yes"})


def test_a_reason_is_for_the_only_block_that_yields() -> None:
    answer = dose("copper-ionic", make_room(**LAMP), because=("the lamp is behind a shut valve",))
    assert [(p.code, p.severity) for p in answer.problems] == [("D412", "warning")]
    assert [(o.code, o.because) for o in answer.overridden] == [("D412", "the lamp is behind a shut valve")]
    plain = dose("copper-ionic", make_room(**LAMP), off=frozenset({"uv"}))
    assert (answer.add, answer.steps, answer.notes) == (plain.add, plain.steps, plain.notes)
    assert plain.overridden == ()


def test_what_was_set_aside_is_said_before_what_only_warns() -> None:
    room = make_room(kits__meter__error="0.03 mg/L", **LAMP)
    assert codes(dose("copper-ionic", room, because=("the lamp is behind a shut valve",))) == ["D412", "D410"]


def test_two_blocks_need_a_reason_each() -> None:
    room = make_room(**LAMP, **OLD)
    found = refusal("praziquantel-bath", room, because=("both are fine",))
    assert codes(found) == ["D433", "D522", "D412"]
    assert "`D412` and `D433`" in next(p.message for p in found.problems if p.code == "D522")
    each = ("D412: the lamp is dead", "d433 : sealed until today")
    assert [o.code for o in dose("praziquantel-bath", room, because=each).overridden] == ["D412", "D433"]
    both = dose("praziquantel-bath", room, because=("D412, D433: tried before, both held",))
    assert {o.because for o in both.overridden} == {"tried before, both held"}


def test_one_named_and_one_loose_reason_find_their_blocks() -> None:
    room = make_room(**LAMP, **OLD)
    answer = dose("praziquantel-bath", room, because=("D433: sealed until today", "the lamp is dead"))
    assert {o.code: o.because for o in answer.overridden} == {"D433": "sealed until today", "D412": "the lamp is dead"}


def test_a_reason_against_what_yields_to_none_is_answered_first() -> None:
    found = refusal("copper-ionic", make_room(**CORAL, **LAMP), because=("the coral is old",))
    assert codes(found) == ["D520", "D401"], "the lamp was set aside, the coral was not"
    assert found.first.message.startswith("`D401` cannot be overridden: copper is not given with corals")
    named = refusal("copper-ionic", make_room(**CORAL), because=("D401: the coral is old",))
    assert codes(named) == ["D520", "D401"]


@pytest.mark.parametrize(
    ("reason", "said"),
    [
        ("the lamp is dead", "no interlock stands in the way"),
        ("D412: the lamp is dead", "`D412` does not stand in the way of `copper-ionic` here"),
        ("D410: the kit is good", "`D410` is a warning and stops nothing"),
        ("D440: it needs more", "`D440` is no interlock"),
        ("", "is not a reason"),
        ("D412: ", "is not a reason"),
        ("no", "is not a reason"),
        ("x" * 301, "is not a reason"),
    ],
)
def test_a_reason_with_nothing_to_set_aside_is_an_error(reason: str, said: str) -> None:
    found = refusal("copper-ionic", because=(reason,))
    assert codes(found) == ["D521"]
    assert said in found.first.message
    assert found.first.hint


@pytest.mark.parametrize(("reason", "said"), [("D416: ", "stops nothing"), ("", "no interlock stands in the way")])
def test_a_warning_that_is_shown_needs_no_reason(reason: str, said: str) -> None:
    warm = make_room(tanks__q1__temperature="26.5 degC")
    assert codes(dose("formalin-bath", warm)) == ["D416"]
    found = refusal("formalin-bath", warm, because=(f"{reason}the heater is off",))
    assert codes(found) == ["D521"]
    assert said in found.first.message
    assert found.first.hint == "leave `--because` out"


@pytest.mark.parametrize("reason", ["dry", "x" * 300])
def test_three_letters_are_a_reason_and_three_hundred_still_are(reason: str) -> None:
    assert dose("copper-ionic", make_room(**LAMP), because=(reason,)).overridden[0].because == reason


def test_a_number_that_would_be_wrong_is_not_set_aside() -> None:
    found = refusal("copper-ionic", make_room(**LAMP), target="0.5 mg/L", because=("the lamp is dead",))
    assert codes(found) == ["D440"]


def test_a_dip_takes_a_reason_too() -> None:
    shark = make_room(animals=[{"species": "bamboo shark", "tank": "q1"}])
    assert "D426" in codes(ask_dip("freshwater-dip", shark))
    answer = ask_dip("freshwater-dip", shark, because=("the veterinarian of the aquarium is beside me",))
    assert isinstance(answer, Dip)
    assert [o.code for o in answer.overridden] == ["D426"]


def test_an_answer_needs_no_reason() -> None:
    assert ask("copper-ionic") == ask("copper-ionic", because=())


def test_the_reason_is_on_the_page_and_in_json() -> None:
    words = ["dose", "ward", "copper-chelated", "--room", HARBOUR, "--at", "2027-03-08T06:30"]
    words += ["--because", "the lamp is behind a shut valve"]
    page = CliRunner().invoke(cli, words, env={"COLUMNS": "100"})
    assert page.exit_code == 0
    assert "because: the lamp is behind a shut valve" in " ".join(page.stdout.split())
    found = json.loads(CliRunner().invoke(cli, [*words, "--json"]).stdout)
    assert found["result"]["overridden"][0]["code"] == "D412"
    assert found["result"]["overridden"][0]["because"] == "the lamp is behind a shut valve"
    assert [p["severity"] for p in found["problems"] if p["code"] == "D412"] == ["warning"]


@pytest.mark.parametrize(("code", "said"), [("D401", "no reason sets it aside"), ("D433", "but not for formalin-bath")])
def test_the_page_of_an_interlock_says_whether_it_yields(code: str, said: str) -> None:
    assert said in " ".join(CliRunner().invoke(cli, ["why", code]).stdout.split())
