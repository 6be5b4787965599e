"""Which regimen is proposed, and what is refused before any tank is looked for."""

from __future__ import annotations

from typing import Any

import pytest

from pratique.knowledge import store
from pratique.problem import Problem
from pratique.schedule.plan import make_plan
from pratique.schedule.propose import (
    candidates,
    copper_signs,
    find_regimen,
    proposals,
    stages_for,
    velvet_signs,
)
from pratique.schedule.suits import NEEDED, refused
from schedule_rooms import batch, build, tank

ARRIVES = "2027-03-05T18:30"


def offered(trust: str = "untrusted", *species: str, **keys: Any) -> list[str]:
    room = build(batches={"x": batch(ARRIVES, trust, *species, **keys)})
    return [proposal.regimen.id for proposal in proposals(room.batches["x"])]


def own(*stages: dict[str, Any]) -> dict[str, Any]:
    return {"mine": {"title": "mine", "reason": "a test", "stages": list(stages)}}


def stage(name: str, kind: str, use: Any, treatments: Any, **keys: Any) -> dict[str, Any]:
    return {"name": name, "kind": kind, "use": use, "treatments": treatments, **keys}


WATCH = stage("watch", "observation", ["observation", "ward"], ["observation"])
COPPER = stage("copper", "hold", ["ward", "reserve"], ["copper-chelated"])
MOVES = stage("moves", "transfers", ["transfer"], ["tank-transfer"])
FLUKES = stage("flukes", "course", ["ward", "transfer"], ["praziquantel-bath"])


class TestProposals:
    def test_untrusted_gets_transfers_first_and_a_watch_last(self) -> None:
        assert offered() == ["transfers-anthelmintic", "copper-hold", "watch-only"]
        assert offered("unsure") == offered()

    def test_trusted_is_watched(self) -> None:
        assert offered("trusted") == ["watch-only"]

    def test_signs_bring_copper_in(self) -> None:
        assert offered("trusted", signs=["white-spots"]) == ["transfers-anthelmintic", "copper-hold"]
        room = build(batches={"x": batch(signs=["white-spots"])})
        regimen = store.regimens()["transfers-anthelmintic"]
        assert [entry.name for entry in stages_for(regimen, room.batches["x"])] == [
            "transfers", "copper", "anthelmintic", "observation",
        ]  # fmt: skip
        without = build(batches={"x": batch()}).batches["x"]
        assert "copper" not in [entry.name for entry in stages_for(regimen, without)]

    @pytest.mark.parametrize("sign", ["dust", "gasping", "in-flow", "fast-breathing"])
    def test_the_fast_killer_is_acted_on(self, sign: str) -> None:
        assert offered("trusted", signs=[sign, "white-spots"]) == ["copper-hold"]

    def test_a_sign_on_one_animal_is_a_sign_of_the_batch(self) -> None:
        entry = batch()
        entry["animals"][0]["signs"] = ["dust"]
        room = build(batches={"x": entry})
        assert [proposal.regimen.id for proposal in proposals(room.batches["x"])] == ["copper-hold"]

    @pytest.mark.parametrize("species", ["coral beauty angelfish", "mandarinfish", "volitans lionfish"])
    def test_a_narrow_margin_in_copper_is_spared_it(self, species: str) -> None:
        assert offered("untrusted", species) == ["transfers-anthelmintic", "without-copper", "watch-only"]

    def test_a_scaleless_animal_is_spared_it_too(self) -> None:
        entry = batch(ARRIVES, "untrusted")
        entry["animals"][0]["scaleless"] = "yes"
        room = build(batches={"x": entry})
        assert "copper-hold" not in [proposal.regimen.id for proposal in proposals(room.batches["x"])]

    @pytest.mark.parametrize("keys", [{}, {"signs": ["dust"]}, {"signs": ["white-spots"]}])
    def test_sharks_and_rays_never_get_copper_or_transfers(self, keys: dict[str, Any]) -> None:
        assert offered("untrusted", "bamboo shark", **keys) == ["without-copper"]
        assert offered("untrusted", "bamboo shark", "ocellaris clownfish", **keys) == ["without-copper"]

    def test_animals_without_a_backbone_are_held_without_fish(self) -> None:
        assert offered("untrusted", "torch coral", "cleaner shrimp") == ["fishless-hold"]

    def test_the_keepers_choice_stands_alone(self) -> None:
        entry = batch(ARRIVES, "untrusted", regimen="watch-only", because="bred in this house")
        room = build(batches={"x": entry})
        (chosen,) = candidates(room, room.batches["x"])
        assert chosen.regimen.id == "watch-only"
        assert chosen.why == ("bred in this house",)

    def test_an_own_regimen_carries_its_reason(self) -> None:
        room = build(regimens=own(COPPER, WATCH))
        found = find_regimen(room, "mine")
        assert found.own
        assert (found.why, found.misses, found.confidence) == ("a test", "not stated by the keeper", "K")
        assert find_regimen(room, "watch-only").own is False


def refusal(name: str, *species: str, **keys: Any) -> Problem | None:
    regimens = keys.pop("regimens", {})
    room = build(batches={"x": batch(ARRIVES, "untrusted", *species, regimen=name, **keys)}, regimens=regimens)
    return refused(room, find_regimen(room, name), room.batches["x"])


class TestSuits:
    @pytest.mark.parametrize(
        ("regimen", "species", "words"),
        [
            ("copper-hold", "bamboo shark", "copper"),
            ("transfers-anthelmintic", "bamboo shark", "transfers"),
            ("copper-hold", "torch coral", "no backbone"),
            ("without-copper", "cleaner shrimp", "no backbone"),
            ("fishless-hold", "ocellaris clownfish", "is a fish"),
            ("fishless-hold", "bamboo shark", "is a fish"),
        ],
    )
    def test_a_regimen_that_would_maim(self, regimen: str, species: str, words: str) -> None:
        problem = refusal(regimen, species)
        assert problem is not None
        assert problem.code == "S505"
        assert words in problem.message
        assert problem.hint
        assert len(problem.places) == 2

    def test_copper_only_with_signs_is_judged_by_the_signs(self) -> None:
        mine = own({**COPPER, "only_with_signs": "yes"}, WATCH)
        assert refusal("mine", "bamboo shark", regimens=mine) is None
        problem = refusal("mine", "bamboo shark", regimens=mine, signs=["white-spots"])
        assert problem is not None
        assert problem.code == "S505"

    @pytest.mark.parametrize("regimen", sorted(store.regimens()))
    def test_what_ships_is_sound(self, regimen: str) -> None:
        for entry in store.regimens()[regimen].stages:
            assert "display" not in entry.use
            for id_ in entry.treatments:
                known = store.treatment(id_)
                assert all(known.numbers.get(name) for name in NEEDED[entry.kind]), (id_, entry.kind)
        assert store.regimens()[regimen].stages[-1].kind == "observation"
        assert not store.regimens()[regimen].stages[-1].only_with_signs

    @pytest.mark.parametrize(
        ("stages", "words"),
        [
            ((COPPER,), "ends with `copper`"),
            ((WATCH, MOVES), "ends with `moves`"),
            ((MOVES, FLUKES), "ends with `flukes`"),
            (({**COPPER, "only_with_signs": "yes"},), "no stage for a batch without signs"),
            (({**WATCH, "use": ["display"]},), "in the display"),
            (({**WATCH, "use": []},), "names no use"),
            (({**COPPER, "treatments": []}, WATCH), "names no treatment"),
            (({**COPPER, "treatments": ["praziquantel-bath"]}, WATCH), "cannot be held"),
            (({**COPPER, "treatments": ["copper-chelated", "formalin-bath"]}, WATCH), "`formalin-bath`"),
            (({**FLUKES, "treatments": ["copper-ionic"]}, WATCH), "cannot be repeated"),
            (({**MOVES, "treatments": ["observation"]}, WATCH), "cannot be moved through"),
            (({**WATCH, "treatments": ["copper-ionic"]},), "cannot be watched"),
            (tuple([WATCH] * 21), "21 stages"),
        ],
    )
    def test_an_own_regimen_that_cannot_end_well(self, stages: tuple[dict[str, Any], ...], words: str) -> None:
        problem = refusal("mine", regimens=own(*stages))
        assert problem is not None
        assert problem.code == "S512"
        assert words in problem.message
        assert problem.hint
        assert problem.place is not None

    @pytest.mark.parametrize(
        "stages",
        [(WATCH, MOVES, WATCH), (COPPER, FLUKES, WATCH), (FLUKES, COPPER, WATCH), (COPPER, COPPER, WATCH), (WATCH,)],
    )
    def test_any_order_that_ends_with_a_watch_is_sound(self, stages: tuple[dict[str, Any], ...]) -> None:
        assert refusal("mine", regimens=own(*stages)) is None


class TestBeforeAnyTank:
    def test_fish_and_shrimps_in_one_batch(self) -> None:
        for regimen in ({}, {"regimen": "watch-only"}, {"regimen": "fishless-hold"}):
            room = build(batches={"x": batch(ARRIVES, "trusted", "ocellaris clownfish", "cleaner shrimp", **regimen)})
            (found,) = make_plan(room).batches
            assert not found.is_whole
            assert [problem.code for problem in found.problems] == ["S511"]
            assert "batch of their own" in found.problems[0].hint

    def test_nobody_to_receive_the_batch(self) -> None:
        away = {"away": [{"from": "2027-03-04", "to": "2027-03-06"}]}
        (found,) = make_plan(build(room=away)).batches
        assert [problem.code for problem in found.problems] == ["S514"]
        assert not found.is_whole

    def test_a_stand_in_receives_it(self) -> None:
        away = {"away": [{"from": "2027-03-04", "to": "2027-03-06", "stand_in": "Kim"}]}
        (found,) = make_plan(build(room=away, tanks={"ward": tank("ward")})).batches
        assert found.is_whole
        (arrive,) = [task for task in found.tasks if task.act == "arrive"]
        assert arrive.who == "Kim"


def test_what_two_agents_share_is_feared_as_the_faster_one() -> None:
    """agents 3: scratching is usual for velvet too; spots that can be counted speak against it, dust for it alone."""
    for signs, velvet in (
        (["scratching"], ("scratching",)),
        (["countable-spots", "scratching"], ()),
        (["countable-spots", "dust"], ("dust",)),
    ):
        assert velvet_signs(build(batches={"x": batch(signs=signs)}).batches["x"]) == velvet


def test_only_what_is_usual_for_an_agent_of_copper_asks_for_copper() -> None:
    """agents 2 and 3: dust is usual for velvet; a cloudy eye is only possible with either."""
    for signs, asks in ((["dust"], ("dust",)), (["cloudy-eye"], ()), (["cloudy-eye", "dust"], ("dust",))):
        assert copper_signs(build(batches={"x": batch(signs=signs)}).batches["x"]) == asks
