"""What the tasks say: which tank, how much, by when, who says so; and that they can be done in their order."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from typing import Any

import pytest

from pratique.logbook.ids import slug
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, elapsed_hours, instant
from pratique.schedule.day import routine_tasks
from pratique.schedule.model import BatchPlan, Routine, Task, work_order
from pratique.schedule.plan import make_plan
from schedule_rooms import batch, build, tank, tanks

ONE_TANK = {"ward": tank("ward")}


def planned(**sections: Any) -> BatchPlan:
    found = make_plan(build(**sections)).batches[0]
    assert found.is_whole
    return found


def acts(plan: BatchPlan, *names: str) -> list[Task]:
    return [task for task in plan.tasks if task.act in names]


def routines(plan: BatchPlan, act: str, kind: str) -> list[Routine]:
    return [entry for stage in plan.stages if stage.kind == kind for entry in stage.routines if entry.act == act]


class TestMakingReady:
    def test_water_is_mixed_the_evening_before_it_is_needed(self) -> None:
        plan = planned()
        mixed = acts(plan, "prepare-water")
        for move in [*acts(plan, "arrive", "transfer")]:
            (eve,) = [task for task in mixed if task.tank == move.tank and 0 < elapsed_hours(task.at, move.at) < 36]
            assert f"{eve.at:%H:%M}" == "18:00"
            assert eve.amount is not None
            assert (eve.amount.value, eve.amount.unit) == (60, "L")
            assert "35 g/kg, 25 degC" in eve.text

    def test_the_tank_of_a_series_stays_dry_until_the_move(self) -> None:
        plan = planned()
        first, second, *_ = acts(plan, "prepare-water")
        assert "stays dry" not in first.text
        assert "tub b stays dry until the move" in second.text

    def test_a_tank_with_a_living_filter_is_tested_and_keeps_its_water(self) -> None:
        plan = planned(batches={"x": batch(trust="trusted")})
        assert acts(plan, "prepare-water") == []
        (test,) = acts(plan, "test")
        assert "(on file: 35 g/kg, 25 degC)" in test.text

    def test_equipment_that_breaks_medicines_is_switched_off_before(self) -> None:
        keys = {"carbon": "yes", "uv": "yes", "skimmer": "yes", "ozone": "yes", "lid": "no"}
        (setup,) = acts(planned(tanks={"ward": tank("ward", **keys)}), "set-up")
        for words in ("carbon out", "UV lamp off", "skimmer off", "ozone off", "cover it"):
            assert words in setup.text
        watched = planned(tanks={"ward": tank("ward", **keys)}, batches={"x": batch(trust="trusted")})
        assert "carbon" not in acts(watched, "set-up")[0].text

    def test_where_nobody_is_there_the_evening_before(self) -> None:
        away = [{"from": "2027-02-20", "to": "2027-03-04"}]
        plan = planned(room={"away": away})
        made = acts(plan, "set-up", "prepare-water")[:2]
        assert {f"{task.at:%d %b %H:%M}" for task in made} == {"05 Mar 08:30"}


class TestMoves:
    def test_each_names_where_from_where_to_and_by_when(self) -> None:
        moves = acts(planned(), "transfer")
        assert "from tub a to tub b by Mon 8 Mar 18:30" in moves[0].text
        assert "from tub b to ward by" in moves[-1].text
        assert [move.tank for move in moves] == ["tub b", "tub a", "tub b", "ward"]
        assert all(move.deadline for move in moves)

    def test_gear_takes_turns(self) -> None:
        texts = [move.text for move in acts(planned(), "transfer")]
        assert ["red set" in text for text in texts] == [True, False, True, False]
        assert "clean and dry" in acts(planned(gear={}), "transfer")[0].text

    def test_a_used_tank_dries_before_it_is_used_again(self) -> None:
        plan = planned()
        for dry in acts(plan, "dry"):
            again = [move for move in acts(plan, "transfer") if move.tank == dry.tank and move.at > dry.at]
            if again:
                assert dry.until == again[0].at
                assert elapsed_hours(dry.at, dry.until) >= 24

    def test_the_fish_are_out_before_the_tank_is_stripped(self) -> None:
        plan = planned(batches={"x": batch(signs=["white-spots"])})
        tasks = list(plan.tasks)
        for strip in acts(plan, "strip")[:-1]:
            moved = [task for task in tasks if task.act in ("transfer", "move") and task.at == strip.at]
            assert moved
            assert tasks.index(moved[0]) < tasks.index(strip)

    def test_the_sort_that_other_programs_use_keeps_the_order_too(self) -> None:
        tasks = planned(batches={"x": batch(signs=["white-spots"])}).tasks
        plain = sorted(tasks, key=lambda task: (task.at, task.until, task.id))
        for first, second in pairwise(plain):
            if first.at == second.at:
                assert not (first.act == "strip" and second.act in ("transfer", "move"))


class TestMedicine:
    def test_copper_steps_with_their_amounts(self) -> None:
        plan = planned(batches={"x": batch(signs=["dust"])})
        first, second = acts(plan, "dose", "redose")
        assert first.amount is not None
        assert second.amount is not None
        assert first.amount.value == pytest.approx(60 * 2.0 / 10)
        assert second.amount.value == pytest.approx(60 * 0.25 / 10)
        assert "read first" in second.text
        assert "pratique dose ward copper-chelated --reading" in second.text

    def test_the_reading_that_starts_the_clock(self) -> None:
        plan = planned(batches={"x": batch(signs=["dust"])})
        (reading,) = [task for task in acts(plan, "test") if "in band from" in task.text]
        assert "not from the first dose" in reading.text
        assert "2 to 2.5 mg/L" in reading.text

    def test_the_last_reading_comes_before_the_move(self) -> None:
        plan = planned(batches={"x": batch(signs=["dust"])})
        order = [task.act for task in plan.tasks if task.at == plan.stages[0].end]
        assert order[:4] == ["test", "move", "strip", "dry"]

    def test_a_step_the_errors_leave_no_room_for_waits_for_a_reading(self) -> None:
        nominal = {"ward": tank("ward", volume={"nominal": "60 L"})}
        plan = planned(tanks=nominal, batches={"x": batch(signs=["dust"])})
        later = acts(plan, "redose")[-1]
        assert later.amount is None
        assert "only after a reading" in later.text

    def test_praziquantel_is_given_whole_each_time(self) -> None:
        doses = acts(planned(), "dose", "redose")
        amounts = [task.amount.value for task in doses if task.amount is not None]
        assert len(amounts) == 3
        assert amounts[0] == amounts[1] == amounts[2] == pytest.approx(60 * 2 / 950)
        assert doses[1].sources[0].startswith("UTOKYO-N")
        assert "dose 2 of 3" in doses[1].text

    def test_the_window_of_a_later_dose(self) -> None:
        first, second, third = acts(planned(), "dose", "redose")
        assert elapsed_hours(first.at, second.until) == 10 * 24
        assert elapsed_hours(first.at, third.until) <= 18 * 24

    def test_after_the_course_the_water_is_changed_where_the_fish_stay(self) -> None:
        plan = planned(tanks=ONE_TANK, batches={"x": batch("2027-03-05T18:30", "untrusted", "bamboo shark")})
        (change,) = acts(plan, "change-water")
        assert change.at == plan.stages[0].end
        assert change.amount is not None
        assert change.amount.value == 30


class TestRoutines:
    def test_the_fish_are_looked_at_and_fed_in_every_stage(self) -> None:
        for stage in planned(batches={"x": batch(signs=["white-spots"])}).stages:
            assert {"look", "feed"} <= {entry.act for entry in stage.routines}

    def test_copper_is_read_twice_a_day_until_it_holds_then_daily(self) -> None:
        plan = planned(batches={"x": batch(signs=["dust"])})
        tests = [entry for entry in routines(plan, "test", "hold") if entry.text.startswith("copper")]
        twice = [entry for entry in tests if instant(entry.end) < instant(plan.stages[0].end) and entry.evening]
        assert len(twice) == 1
        assert [entry.evening for entry in tests].count(False) == 2

    def test_a_bare_tank_is_changed_by_the_keepers_habit(self) -> None:
        own = {**tanks(), "ward": tank("ward", change="20 % every 2 d")}
        (change,) = routines(planned(tanks=own, batches={"x": batch(signs=["dust"])}), "change-water", "hold")
        assert change.every == 2
        assert change.amount is not None
        assert change.amount.value == pytest.approx(12)
        assert change.sources == ()

    def test_without_a_habit_a_placeholder_says_that_it_is_one(self) -> None:
        (change,) = routines(planned(batches={"x": batch(signs=["dust"])}), "change-water", "hold")
        assert change.every == 3
        assert "placeholder" in change.sources[0]

    def test_copper_goes_into_the_new_water_at_the_level_that_is_there(self) -> None:
        own = {**tanks(), "ward": tank("ward", change="20 % every 2 d")}
        entry = batch("2027-03-05T18:30", "untrusted", "coral beauty angelfish", regimen="copper-hold")
        redoses = routines(planned(tanks=own, batches={"x": entry}), "redose", "hold")
        amounts = [entry.amount.value for entry in redoses if entry.amount is not None]
        # four steps of 0.5625 mg/L on days 1, 3, 5 and 7; changes on the mornings of days 4, 6 and 8 and then held
        shares = [0.25, 0.5, 0.75, 1.0]
        whole = 12 * 2.25 / 10
        assert amounts == pytest.approx([share * whole for share in shares[-len(amounts) :]])
        assert redoses[-1].every == 2
        assert all(entry.every == 1 for entry in redoses[:-1])

    def test_no_copper_goes_into_a_change_before_the_first_dose(self) -> None:
        room = build(
            tanks={**tanks(), "ward": tank("ward", change="20 % every 1 d")},
            batches={"x": batch(regimen="copper-hold")},
        )
        plan = make_plan(room).batches[0]
        (dose,) = acts(plan, "dose")
        added = [task for task in every_task(room, plan) if task.act == "redose" and task.routine]
        changes = [task for task in every_task(room, plan) if task.act == "change-water"]
        assert instant(changes[0].at) < instant(dose.at) < instant(added[0].at)
        assert len(added) == len(changes) - 1

    def test_no_change_in_the_days_after_a_dose_of_praziquantel(self) -> None:
        room = build(tanks={**tanks(), "ward": tank("ward", change="20 % every 1 d")})
        plan = make_plan(room).batches[0]
        doses = acts(plan, "dose", "redose")
        changed = [task for task in every_task(room, plan) if task.act == "change-water" and task.tank == "ward"]
        assert changed
        for change in changed:
            since = [elapsed_hours(dose.at, change.at) for dose in doses if instant(dose.at) < instant(change.at)]
            assert not since or min(since) >= 48

    @pytest.mark.parametrize("habit", ["20 % every 1 d", "20 % every 2 d", "50 % every 1 wk"])
    @pytest.mark.parametrize("hours", ["07:00-09:00, 18:00-22:00", "06:00-23:00", "18:00-20:00"])
    def test_every_change_finds_its_water_mixed_the_day_before_and_none_is_mixed_for_nothing(
        self, habit: str, hours: str
    ) -> None:
        room = build(
            tanks={"ward": tank("ward", change=habit)}, room={"hours": hours}, batches={"x": batch(signs=["dust"])}
        )
        tasks = every_task(room, make_plan(room).batches[0])
        changes = {task.at.date() for task in tasks if task.act == "change-water"}
        mixed = {task.at.date() for task in tasks if task.act == "prepare-water"}
        arrival = min(mixed)
        assert {date + dt.timedelta(days=1) for date in mixed - {arrival}} == changes

    def test_no_ammonia_tests_with_a_living_filter(self) -> None:
        assert routines(planned(), "test", "observation") == []
        assert routines(planned(), "change-water", "observation") == []

    def test_corals_are_not_asked_how_they_breathe(self) -> None:
        plan = planned(batches={"x": batch("2027-03-05T18:30", "untrusted", "torch coral")})
        (look,) = routines(plan, "look", "observation")
        assert "no fish in this water" in look.text
        assert "breathing" not in look.text


def every_task(room: Room, plan: BatchPlan) -> list[Task]:
    """The plan's dated tasks and what its routines come to."""
    calendar, found = Calendar(room), list(plan.tasks)
    first = plan.stages[0].start.date()
    for offset in range((plan.stages[-1].end.date() - first).days + 1):
        found += routine_tasks(plan, calendar, first + dt.timedelta(days=offset))
    return sorted(found, key=work_order)


def test_a_slash_in_a_name_is_no_joint_of_an_id() -> None:
    assert slug("a/b", "c") != slug("a", "b/c")


def test_the_release_says_what_becomes_of_the_tank() -> None:
    live = acts(planned(), "release")[0]
    assert "infected water" in live.text
    bare = planned(tanks=ONE_TANK)
    assert [task.act for task in bare.tasks][-3:] == ["release", "strip", "dry"]


@pytest.mark.parametrize(
    ("cycled", "kind", "tested"),
    [("yes", "hold", True), ("no", "hold", True), ("yes", "observation", False), ("no", "observation", True)],
)
def test_ammonia_is_tested_in_medicine_and_where_no_filter_lives(cycled: str, kind: str, tested: bool) -> None:
    """Practice A7: every day in an uncycled or a medicated tank."""
    rooms = {"ward": tank("ward", cycled=cycled), "long": tank("observation", cycled=cycled)}
    plan = planned(tanks=rooms, batches={"first": batch(signs=["dust"])})
    assert any(entry.text.startswith("ammonia") for entry in routines(plan, "test", kind)) is tested
