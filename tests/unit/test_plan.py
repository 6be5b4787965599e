"""Whole plans: which regimen is taken, in which tanks, from when to when, and what is said when none can be made."""

from __future__ import annotations

import datetime as dt
from importlib import resources
from typing import Any

import pytest

from pratique.problem import Problem
from pratique.room.load import load_room_text
from pratique.schedule.calendar import elapsed_hours
from pratique.schedule.model import BatchPlan, Plan, Task
from pratique.schedule.plan import make_plan
from schedule_rooms import COPPER, FLUKE_POWDER, batch, build, tank, tanks

ARRIVES = "2027-03-05T18:30"
ONE_TANK = {"ward": tank("ward")}


def planned(**sections: Any) -> BatchPlan:
    """The plan of the room's first batch, which has to be whole."""
    found = make_plan(build(**sections)).batches[0]
    assert found.is_whole, [f"{problem.code} {problem.message}" for problem in found.problems]
    return found


def refused(**sections: Any) -> Problem:
    found = make_plan(build(**sections)).batches[0]
    assert not found.is_whole
    assert found.stages == found.tasks == ()
    (problem,) = found.problems
    assert problem.is_error
    assert problem.hint
    assert problem.places
    return problem


def stages(plan: BatchPlan) -> list[tuple[str, tuple[str, ...]]]:
    return [(stage.name, stage.tanks) for stage in plan.stages]


def acts(plan: BatchPlan, *names: str) -> list[Task]:
    return [task for task in plan.tasks if task.act in names]


def codes(plan: BatchPlan) -> set[str]:
    return {problem.code for problem in plan.problems}


def problem_of(plan: BatchPlan, code: str) -> Problem:
    (found,) = [problem for problem in plan.problems if problem.code == code]
    return found


def template(name: str) -> Plan:
    text = (resources.files("pratique.room") / "templates" / name).read_text("utf-8")
    room, problems = load_room_text(text)
    assert room is not None, problems
    return make_plan(room)


WATCH = {"name": "watch", "kind": "observation", "use": ["observation", "ward"], "treatments": ["observation"]}
HOLD = {"name": "copper", "kind": "hold", "use": ["ward", "reserve"], "treatments": ["copper-chelated"]}
MOVES = {"name": "moves", "kind": "transfers", "use": ["transfer"], "treatments": ["tank-transfer"]}
FLUKES = {"name": "flukes", "kind": "course", "use": ["ward"], "treatments": ["praziquantel-bath"]}


def own_regimen(*stages: dict[str, Any]) -> dict[str, Any]:
    return {"mine": {"title": "mine", "reason": "a test", "stages": list(stages)}}


class TestTemplates:
    def test_every_batch_of_the_demo_is_planned_without_an_error(self) -> None:
        plan = template("demo.yaml")
        assert [found.batch.name for found in plan.batches] == ["spring tangs", "pair from the club", "late angel"]
        assert all(found.is_whole for found in plan.batches)
        assert not any(problem.is_error for problem in plan.problems)
        tangs, pair, angel = plan.batches
        assert [name for name, _ in stages(tangs)] == ["transfers", "anthelmintic", "observation"]
        assert [name for name, _ in stages(pair)] == ["observation"]
        assert [name for name, _ in stages(angel)] == ["transfers", "copper", "anthelmintic", "observation"]

    def test_the_first_room_has_one_tank_and_gets_a_sound_plan(self) -> None:
        (plan,) = template("first.yaml").batches
        assert plan.regimen.id == "copper-hold"
        assert stages(plan) == [("copper", ("quarantine",)), ("observation", ("quarantine",))]
        assert any("transfers-anthelmintic" in why and "two free tanks" in why for why in plan.why)
        assert not any(problem.is_error for problem in plan.problems)
        assert "30 d from the first reading in band" in plan.stages[0].clock


class TestWhichRegimen:
    def test_transfers_for_an_untrusted_source(self) -> None:
        plan = planned()
        assert plan.chosen_by == "program"
        assert stages(plan) == [
            ("transfers", ("tub a", "tub b", "tub a", "tub b")),
            ("anthelmintic", ("ward",)),
            ("observation", ("long",)),
        ]
        assert "velvet" in plan.misses[0]

    def test_a_watch_for_a_trusted_source(self) -> None:
        assert stages(planned(batches={"x": batch(ARRIVES, "trusted")})) == [("observation", ("long",))]

    def test_sand_from_which_fish_go_into_the_display_need_not_lie_fallow(self) -> None:
        """The first is watched until 3 June; a day to clean the tank, and it is free again."""
        later = batch("2027-06-05T18:30", "trusted")
        plans = make_plan(build(batches={"x": batch(ARRIVES, "trusted"), "y": later})).batches
        assert [stages(plan) for plan in plans] == [[("observation", ("long",))]] * 2

    def test_the_keepers_choice_is_kept_and_said(self) -> None:
        plan = planned(batches={"x": batch(regimen="watch-only", because="bred in this house")})
        assert plan.chosen_by == "keeper"
        assert plan.why[0] == "bred in this house"

    def test_the_keepers_choice_is_not_replaced_by_another(self) -> None:
        problem = refused(tanks=ONE_TANK, batches={"x": batch(regimen="transfers-anthelmintic")})
        assert problem.code == "S501"

    def test_each_better_regimen_is_named_with_what_stood_in_its_way(self) -> None:
        plan = planned(tanks={"long": tank("observation")})
        assert plan.regimen.id == "watch-only"
        better = [why for why in plan.why if "would suit better" in why]
        assert [why.split("`")[1] for why in better] == ["transfers-anthelmintic", "copper-hold"]
        (watched,) = [problem for problem in plan.problems if problem.code == "S515"]
        assert [place.text for place in watched.places] == ["  first:"]

    def test_a_shark_in_a_room_with_one_tank(self) -> None:
        plan = planned(tanks=ONE_TANK, batches={"x": batch(ARRIVES, "untrusted", "bamboo shark")})
        assert plan.regimen.id == "without-copper"
        assert "copper" not in " ".join(task.text for task in acts(plan, "dose", "redose"))

    def test_a_narrow_margin_in_a_room_with_one_tank(self) -> None:
        plan = planned(tanks=ONE_TANK, batches={"x": batch(ARRIVES, "untrusted", "coral beauty angelfish")})
        assert plan.regimen.id == "without-copper"

    def test_copper_chosen_for_a_narrow_margin_is_warned_of(self) -> None:
        entry = batch(ARRIVES, "untrusted", "coral beauty angelfish", regimen="copper-hold")
        plan = planned(batches={"x": entry})
        assert problem_of(plan, "D430").severity == "warning"
        assert len(acts(plan, "dose", "redose")) == 4

    def test_the_alternative_that_is_at_hand_is_taken(self) -> None:
        def copper(form: str) -> dict[str, str]:
            return {"active": "copper", "form": form, "strength": "1 mg/mL as Cu"}

        def chosen(shelf: dict[str, Any], forms: list[str], **keys: Any) -> str:
            kits = {"kit": {"measures": "copper", "forms": forms}} if forms else {}
            entry = batch(regimen="copper-hold", **keys)
            return planned(batches={"x": entry}, shelf=shelf, kits=kits).stages[0].treatment

        both = {"one": copper("chelated"), "two": copper("ionic")}
        assert chosen(both, ["chelated", "ionic"]) == "copper-chelated"
        assert chosen(both, ["ionic"]) == "copper-ionic"
        assert chosen({"two": copper("amine")}, ["amine"]) == "copper-amine"
        assert chosen({}, []) == "copper-chelated"
        assert chosen(both, ["chelated", "ionic"], treatment="copper-ionic") == "copper-ionic"

    def test_a_chosen_treatment_no_stage_has(self) -> None:
        assert "S517" in codes(planned(batches={"x": batch(treatment="formalin-bath")}))
        assert "S517" not in codes(planned(batches={"x": batch(treatment="praziquantel-bath")}))


class TestStages:
    def test_they_follow_each_other_without_a_gap(self) -> None:
        plan = planned(batches={"x": batch(signs=["white-spots"])})
        assert [stage.kind for stage in plan.stages] == ["transfers", "hold", "course", "observation"]
        assert plan.stages[0].start == plan.batch.arrives
        for before, after in zip(plan.stages, plan.stages[1:], strict=False):
            assert before.end == after.start
        assert plan.release is not None
        assert plan.release.earliest == plan.stages[-1].end

    def test_praziquantel_is_never_given_where_the_copper_was(self) -> None:
        plan = planned(batches={"x": batch(signs=["white-spots"])})
        _, copper, flukes, _ = plan.stages
        assert copper.tank != flukes.tank

    def test_tubs_serve_where_there_is_no_ward_and_medicines_still_never_meet(self) -> None:
        room = {"tub a": tank("transfer"), "tub b": tank("transfer"), "long": tank("observation")}
        plan = planned(tanks=room, batches={"x": batch(signs=["white-spots"])})
        assert [stage.tank for stage in plan.stages] == ["tub a", "tub a", "tub b", "long"]

    def test_nor_in_a_room_with_one_tub_too_few(self) -> None:
        mine = own_regimen(HOLD, FLUKES, WATCH)
        assert refused(tanks=ONE_TANK, regimens=mine, batches={"x": batch(regimen="mine")}).code == "S501"

    def test_a_tub_left_days_ago_serves_for_the_anthelmintic(self) -> None:
        room = {"tub a": tank("transfer"), "tub b": tank("transfer"), "long": tank("observation")}
        plan = planned(tanks=room)
        assert stages(plan)[1] == ("anthelmintic", ("tub a",))
        last = acts(plan, "transfer")[-1]
        assert last.tank == "tub a"
        left = [task for task in acts(plan, "strip") if task.tank == "tub a"][-2]
        assert elapsed_hours(left.at, last.at) >= 48

    def test_copper_moves_to_a_clean_tank_after_fourteen_days(self) -> None:
        plan = planned(batches={"x": batch(signs=["dust"])})
        assert stages(plan) == [("copper", ("ward",)), ("observation", ("long",))]
        assert plan.stages[0].clock.startswith("14 d")

    def test_copper_in_a_room_with_one_tank_is_longer_and_taken_out(self) -> None:
        plan = planned(tanks=ONE_TANK)
        assert plan.stages[0].clock.startswith("30 d")
        changes = acts(plan, "change-water")
        assert len(changes) == 6
        assert "carbon" in changes[0].text
        assert all(change.sources[0].startswith("COMMON, treatments 2, removal") for change in changes)
        zero = acts(plan, "test")[-1]
        assert "zero" in zero.text
        assert zero.at == plan.stages[0].end == plan.stages[1].start
        assert changes[-1].at < zero.at
        mixed = [task.at for task in acts(plan, "prepare-water")]
        assert all(any(0 < elapsed_hours(eve, change.at) <= 24 for eve in mixed) for change in changes)

    def test_a_clean_tank_that_is_taken_by_then_does_not_count(self) -> None:
        entries = {
            "early": batch("2027-02-20T18:30", "trusted"),
            "x": batch(ARRIVES, "untrusted", signs=["dust"]),
        }
        room = {"ward": tank("ward"), "long": tank("observation")}
        found = make_plan(build(tanks=room, batches=entries)).batches[1]
        assert stages(found) == [("copper", ("ward",)), ("observation", ("ward",))]

    def test_another_tank_is_tried_for_an_earlier_stage_where_a_later_one_needs_the_first(self) -> None:
        # ward 2 is promised to the old batch from March, so the watch has to be in ward 1, and the copper in ward 2
        without = tank("ward")
        del without["temperature"]
        room = {"spare": tank("reserve"), "ward 1": without, "ward 2": tank("ward")}
        entries = {"old": batch("2027-01-01T18:30", regimen="mine"), "x": batch("2027-02-05T18:30", signs=["dust"])}
        plan = make_plan(
            build(
                tanks=room,
                batches=entries,
                regimens=own_regimen({**WATCH, "use": ["reserve"]}, FLUKES, {**WATCH, "use": ["reserve"]}),
                values={"observation.days": {"value": "60 d", "reason": "a test"}},
            )
        )
        old, found = plan.batches
        assert [stage.tank for stage in old.stages] == ["spare", "ward 2", "spare"]
        assert stages(found) == [("copper", ("ward 2",)), ("observation", ("ward 1",))]

    def test_ionic_copper_ends_with_a_half_change_and_a_day_of_waiting(self) -> None:
        shelf = {"stock": {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu"}}
        plan = planned(shelf=shelf, batches={"x": batch(signs=["dust"])})
        (change,) = acts(plan, "change-water")
        (move,) = acts(plan, "move")
        assert "50 %" in change.text
        assert elapsed_hours(change.at, move.at) >= 24

    def test_the_fast_killer_gets_its_first_dose_on_arrival(self) -> None:
        plan = planned(batches={"x": batch(signs=["dust"])})
        (dose,) = acts(plan, "dose")
        assert dose.at == plan.batch.arrives
        assert "at once" in dose.reason
        order = [task.act for task in plan.tasks if task.at == plan.batch.arrives]
        assert order.index("arrive") < order.index("dose")

    def test_a_copper_dose_without_signs_waits_a_day(self) -> None:
        (dose,) = acts(planned(batches={"x": batch(regimen="copper-hold")}), "dose")
        assert dose.at == dt.datetime(2027, 3, 6, 18, 30, tzinfo=dose.at.tzinfo)


class TestOwnRegimens:
    def sections(self, *own: dict[str, Any], **more: Any) -> dict[str, Any]:
        return {"regimens": own_regimen(*own), "batches": {"x": batch(regimen="mine")}, **more}

    def test_a_watch_first(self) -> None:
        spare = {**tanks(), "ward 2": tank("ward")}
        plan = planned(**self.sections(WATCH, MOVES, WATCH, tanks=spare))
        first, moves, last = plan.stages
        assert first.tank == "long"
        assert moves.tank == "tub a"
        assert last.tank == "ward"  # sand and rock of the first tank stay infected for six weeks
        (strip, *_) = [task for task in acts(plan, "strip") if task.tank == "long"]
        assert "42 d" in strip.text

    def test_two_holds_are_in_two_tanks(self) -> None:
        plan = planned(**self.sections(HOLD, HOLD, WATCH, tanks={**tanks(), "w2": tank("ward")}))
        assert [stage.tank for stage in plan.stages] == ["ward", "w2", "long"]

    def test_two_holds_in_one_tank_are_refused(self) -> None:
        problem = refused(**self.sections(HOLD, HOLD, WATCH))
        assert problem.code == "S501"
        assert "its medicine" in problem.note

    @pytest.mark.parametrize("order", [(HOLD, FLUKES), (FLUKES, HOLD)])
    def test_two_medicines_never_meet_in_one_tank(self, order: tuple[dict[str, Any], ...]) -> None:
        problem = refused(**self.sections(*order, WATCH, tanks=ONE_TANK))
        assert problem.code == "S501"

    def test_a_watch_before_and_after_the_copper_in_one_tank(self) -> None:
        plan = planned(**self.sections(WATCH, HOLD, WATCH, tanks=ONE_TANK))
        assert [stage.tank for stage in plan.stages] == ["ward", "ward", "ward"]
        assert len(acts(plan, "move", "transfer")) == 0

    def test_no_watch_at_the_end(self) -> None:
        assert refused(**self.sections(MOVES)).code == "S512"


class TestRoomAndTime:
    def test_two_batches_in_turn(self) -> None:
        entries = {"a": batch(), "b": batch("2027-03-18T18:30")}
        room = {**tanks(), "ward 2": tank("ward"), "long 2": tank("observation")}
        plan = make_plan(build(tanks=room, batches=entries))
        assert [found.regimen.id for found in plan.batches] == ["transfers-anthelmintic"] * 2
        assert plan.batches[1].stages[1].tank == "ward 2"

    def test_a_batch_that_comes_too_soon_is_told_when(self) -> None:
        entries = {"a": batch(), "b": batch("2027-03-10T18:30", regimen="transfers-anthelmintic")}
        found = make_plan(build(batches=entries)).batches[1]
        (problem,) = found.problems
        assert problem.code == "S501"
        assert "18 Mar 2027" in problem.hint
        assert "8 d later" in problem.hint
        late = {**entries, "b": batch("2027-03-18T19:00", regimen="transfers-anthelmintic")}
        spare = {**tanks(), "ward 2": tank("ward"), "long 2": tank("observation")}
        assert make_plan(build(batches=late, tanks=spare)).batches[1].is_whole

    def test_of_two_tubs_the_one_that_is_taken_is_named(self) -> None:
        """Tub a alone would do until 17 March; with tub b at 20 degC it takes until the 20th, and a watch is in it from
        the 18th to 16 June, then a day to dry."""
        watch = {**WATCH, "use": ["transfer"]}
        regimens = own_regimen(FLUKES, watch) | {"tubs": own_regimen(MOVES, WATCH)["mine"]}
        entries = {"a": batch("2027-02-27T18:30", regimen="mine"), "b": batch(regimen="tubs")}
        room = {**tanks(), "tub b": tank("transfer", temperature="20 degC")}
        (problem,) = make_plan(build(tanks=room, batches=entries, regimens=regimens)).batches[1].problems
        assert problem.code == "S501"
        assert problem.hint.startswith("`tub a` is free from Thu 17 Jun 2027: let it arrive 104 d later")
        assert problem.hint.endswith("or add a tank with `use: transfer`")

    def test_a_batch_that_cannot_be_planned_takes_no_tank(self) -> None:
        entries = {"a": batch(regimen="mine"), "b": batch("2027-03-06T18:30")}
        mine = own_regimen(MOVES, {**WATCH, "use": ["reserve"]})
        first, second = make_plan(build(batches=entries, regimens=mine)).batches
        assert not first.is_whole
        assert second.regimen.id == "transfers-anthelmintic"

    def test_corals_have_a_water_without_fish_to_themselves(self) -> None:
        entries = {"corals": batch(ARRIVES, "untrusted", "torch coral"), "fish": batch("2027-04-10T18:30", "trusted")}
        corals, fish = make_plan(build(batches=entries)).batches
        assert stages(corals) == [("hold without fish", ("long",))]
        assert fish.stages[0].tank != "long"
        assert elapsed_hours(corals.stages[0].start, corals.stages[0].end) == 76 * 24
        assert corals.release is not None
        assert "no fish in this water" in corals.release.conditions[0]

    def test_corals_in_a_ward_are_tested_for_copper_first(self) -> None:
        plan = planned(tanks=ONE_TANK, batches={"x": batch(ARRIVES, "untrusted", "torch coral")})
        assert any("copper" in task.text for task in acts(plan, "test"))
        assert acts(plan, "dose", "redose") == []

    def test_arrival_out_of_hours(self) -> None:
        plan = planned(batches={"x": batch("2027-03-05T23:30")})
        assert problem_of(plan, "S506").severity == "warning"

    @pytest.mark.parametrize("unknown", ["tub a", "tub b"])
    def test_a_temperature_that_is_not_on_file_is_asked_for(self, unknown: str) -> None:
        entry = tank("transfer")
        del entry["temperature"]
        problem = refused(tanks={**tanks(), unknown: entry})
        assert problem.code == "S507"

    def test_transfers_due_when_nobody_is_there(self) -> None:
        problem = refused(room={"away": [{"from": "2027-03-09", "to": "2027-03-13"}]})
        assert problem.code == "S503"

    def test_what_falls_out_on_days_away(self) -> None:
        away = [{"from": "2027-03-10", "to": "2027-03-12"}]
        plan = planned(room={"away": away}, batches={"x": batch(signs=["dust"])})
        problem = problem_of(plan, "S504")
        assert "3 d" in problem.message
        for words in ("3 copper readings", "3 looks", "3 feedings", "3 tests", "1 water change", "1 redose"):
            assert words in problem.message
        assert "not shown to have held" in problem.note

    def test_doses_put_off_by_days_away(self) -> None:
        away = [{"from": "2027-03-07", "to": "2027-03-11"}]
        plan = planned(room={"away": away}, batches={"x": batch(regimen="copper-hold")})
        assert (
            "put off: copper, chelated, dose 2, from Mon 8 Mar 18:30 to Fri 12 Mar 07:00"
            in problem_of(plan, "S504").note
        )

    def test_days_away_after_the_release_do_not_matter(self) -> None:
        assert "S504" not in codes(planned(room={"away": [{"from": "2027-08-09", "to": "2027-08-13"}]}))

    def test_a_stand_in_does_the_work(self) -> None:
        plan = planned(room={"away": [{"from": "2027-03-09", "to": "2027-03-13", "stand_in": "Kim"}]})
        assert "S504" not in codes(plan)
        (move,) = [task for task in acts(plan, "transfer") if task.at.day == 11]
        assert move.who == "Kim"


def test_the_sign_to_look_up_is_the_one_that_points_to_the_agent() -> None:
    plan = planned(batches={"x": batch(signs=["ragged-fins", "dust"], regimen="watch-only", because="a test")})
    (found,) = [problem for problem in plan.problems if problem.code == "S518"]
    assert "`pratique why dust`" in found.hint


def test_one_set_of_gear_is_one_too_few_for_transfers() -> None:
    plan = planned(gear={"red set": {"for": "transfers"}})
    (found,) = [problem for problem in plan.problems if problem.code == "S509"]
    assert found.message == "transfers need two sets of gear, and 1 is on file"


class TestOwnValues:
    def test_interval(self) -> None:
        values = {"tank-transfer.interval": {"value": "48 h", "reason": "a fast strain"}}
        plan = planned(values=values)
        moves = acts(plan, "transfer")
        assert len(moves) == 6
        assert all(task.sources == ("OWN, a fast strain (K)",) for task in moves)
        assert "48 h" in plan.stages[0].clock

    def test_days_of_watching(self) -> None:
        values = {"observation.days": {"value": "60 d", "reason": "as always"}}
        plan = planned(values=values)
        (release,) = acts(plan, "release")
        assert release.sources == ("OWN, as always (K)",)
        assert "S516" not in codes(plan)

    @pytest.mark.parametrize(("own", "said"), [("100 h", "100 h"), ("120 h", "5 d"), ("96 h", "96 h")])
    def test_whole_days_are_said_in_days(self, own: str, said: str) -> None:
        found = problem_of(planned(values={"observation.days": {"value": own, "reason": "a test"}}), "S516")
        assert found.message.startswith(f"`observation.days` is {said}, less than the ")

    def test_days_of_copper(self) -> None:
        values = {"copper-chelated.course": {"value": "21 d", "reason": "to be sure"}}
        plan = planned(values=values, batches={"x": batch(signs=["dust"])})
        assert plan.stages[0].clock.startswith("21 d")
        (last,) = [task for task in acts(plan, "test") if "last reading" in task.text]
        assert last.sources == ("OWN, to be sure (K)",)
        assert "21 days" in last.text

    def test_days_of_another_source(self) -> None:
        values = {"copper-chelated.course": {"use": "COL85", "reason": "the later release"}}
        plan = planned(values=values, batches={"x": batch(signs=["dust"])})
        assert plan.stages[0].clock.startswith("21 d")

    @pytest.mark.parametrize(
        ("name", "value", "words"),
        [
            ("tank-transfer.moves", "2 count", "less than the 4"),
            ("tank-transfer.minimum", "6 d", "less than the 12 d"),
            ("observation.days", "20 d", "less than the 30 d"),
        ],
    )
    def test_a_value_on_the_unsafe_side(self, name: str, value: str, words: str) -> None:
        plan = planned(values={name: {"value": value, "reason": "a test"}})
        problem = problem_of(plan, "S516")
        assert words in problem.message
        assert problem.severity == "warning"

    def test_moves_four_days_apart_are_no_transfer_series(self) -> None:
        """Practice B18: 96 h is over 72 h, so there is no credit for it."""
        plan = planned(values={"tank-transfer.interval": {"value": "96 h", "reason": "a test"}})
        problem = problem_of(plan, "S516")
        assert "more than the 72 h" in problem.message
        assert problem.severity == "error"

    def test_a_course_of_copper_that_is_too_short(self) -> None:
        values = {"copper-chelated.course": {"value": "10 d", "reason": "a test"}}
        assert "S516" in codes(planned(values=values, batches={"x": batch(signs=["dust"])}))

    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("observation.days", "99999999 d"),
            ("tank-transfer.minimum", "900 d"),
            ("tank-transfer.moves", "1000 count"),
            ("tank-transfer.interval", "1 h"),
            ("praziquantel-bath.third_dose", "3 d"),
        ],
    )
    def test_values_no_plan_is_made_for(self, name: str, value: str) -> None:
        assert refused(values={name: {"value": value, "reason": "a test"}}).code == "S502"

    @pytest.mark.parametrize(("name", "value"), [("target", "0 mg/L"), ("ramp_steps", "1000000 count")])
    def test_copper_values_no_plan_is_made_for(self, name: str, value: str) -> None:
        values = {f"copper-chelated.{name}": {"value": value, "reason": "a test"}}
        assert refused(values=values, batches={"x": batch(signs=["dust"])}).code == "S502"


class TestWarnings:
    def test_warm_water(self) -> None:
        warm = {"tub a": tank("transfer", temperature="27 degC"), "tub b": tank("transfer", temperature="26 degC")}
        problem = problem_of(planned(tanks={**tanks(), **warm}), "S513")
        assert problem.severity == "warning"
        assert "48 h" in problem.message
        assert "tank-transfer.interval: {value: 48 h" in problem.hint

    def test_warm_water_with_the_cautious_interval(self) -> None:
        warm = {"tub a": tank("transfer", temperature="27 degC"), "tub b": tank("transfer", temperature="27 degC")}
        values = {"tank-transfer.interval": {"value": "48 h", "reason": "warm water"}}
        plan = planned(tanks={**tanks(), **warm}, values=values)
        assert "S513" not in codes(plan)
        assert len(acts(plan, "transfer")) == 5

    def test_no_warning_in_cooler_water(self) -> None:
        assert "S513" not in codes(planned())

    def test_gear(self) -> None:
        assert "1 is on file" in problem_of(planned(gear={"red set": {"for": "transfers"}}), "S509").message
        assert "none is on file" in problem_of(planned(gear={}), "S509").message
        assert "S509" not in codes(planned(gear={"a": {}, "b": {"for": "all"}}))
        assert "S509" not in codes(planned(gear={}, batches={"x": batch(ARRIVES, "trusted")}))

    def test_signs_of_velvet_in_a_regimen_that_does_not_begin_with_copper(self) -> None:
        entry = batch(signs=["dust"], regimen="transfers-anthelmintic")
        assert "velvet" in problem_of(planned(batches={"x": entry}), "S518").message
        shark = batch(ARRIVES, "untrusted", "bamboo shark", signs=["dust"])
        assert "S518" in codes(planned(batches={"x": shark}))
        assert "S518" not in codes(planned(batches={"x": batch(signs=["dust"])}))

    def test_signs_of_brooklynella(self) -> None:
        assert "brooklynella" in problem_of(planned(batches={"x": batch(signs=["slime"])}), "S518").message

    def test_a_sign_that_many_share_is_weighed_as_that(self) -> None:
        """Scratching alone is usual for five agents: velvet is one of them, and dust beside it speaks for it alone."""
        alone = problem_of(planned(batches={"x": batch(signs=["scratching"], regimen="watch-only")}), "S518")
        assert "usual for white spot, gill flukes, skin flukes, black spot and for velvet" in alone.message
        assert "by itself this says little" in alone.note
        assert alone.hint.startswith("look today for what would speak for velvet (fine coat like dust, ")
        slow = problem_of(planned(batches={"x": batch(signs=["scratching"])}), "S519")
        assert "which may be velvet or something slower" in slow.message
        assert slow.note.startswith("by itself this says little; if it is velvet, it kills within")
        both = problem_of(planned(batches={"x": batch(signs=["scratching", "dust"], regimen="watch-only")}), "S518")
        assert "shows what velvet shows" in both.message
        assert "velvet can kill within days" in both.note

    def test_a_bottle_that_is_not_there(self) -> None:
        plan = planned(shelf={"copper bottle": COPPER})
        doses = acts(plan, "dose", "redose")
        assert {task.refused for task in doses} == {"D449"}
        assert all(task.amount is None for task in doses)
        assert "D449" in codes(plan)


class TestStability:
    def test_the_same_file_gives_the_same_plan(self) -> None:
        room = build()
        assert make_plan(room) == make_plan(room)

    def test_a_later_batch_changes_nothing_of_an_earlier_one(self) -> None:
        first = {"a": batch(), "b": batch("2027-03-19T18:30", "trusted")}
        later = {"z": batch("2027-04-30T18:30", "untrusted", "yellow tang"), **first}
        before = make_plan(build(batches=first)).batches
        after = make_plan(build(batches=later)).batches
        assert [found.tasks for found in after[:2]] == [found.tasks for found in before]

    def test_ids_are_unique(self) -> None:
        entries = {"a": batch(signs=["white-spots"]), "b": batch("2027-03-19T18:30", "trusted")}
        ids = [task.id for found in make_plan(build(batches=entries)).batches for task in found.tasks]
        assert len(ids) == len(set(ids))

    def test_a_room_without_batches(self) -> None:
        plan = make_plan(build(batches={}, shelf={"fluke powder": FLUKE_POWDER}))
        assert plan == Plan(batches=(), problems=())


def test_three_without_a_backbone_are_named_and_shown() -> None:
    mixed = batch(
        ARRIVES, "untrusted", "ocellaris clownfish", "torch coral", "acropora", "toadstool coral", "turbo snail"
    )
    problem = refused(batches={"x": mixed})
    assert (problem.code, len(problem.places)) == ("S511", 3)
    assert "(`torch coral`, `acropora`, `toadstool coral`)" in problem.message
