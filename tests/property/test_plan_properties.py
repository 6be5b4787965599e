"""What holds of every plan, whatever the room: limits kept, hours kept, waters shared by nobody, nothing poisoned."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import Calendar, elapsed_hours, instant
from pratique.schedule.day import routine_tasks, tasks_on
from pratique.schedule.model import BatchPlan, Plan, Stage, Task
from pratique.schedule.plan import make_plan
from pratique.schedule.timeline import day_window
from schedule_rooms import build
from schedule_strategies import rooms

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
TINY = 1e-6


def whole(plan: Plan) -> list[BatchPlan]:
    return [found for found in plan.batches if found.is_whole]


def acts(plan: BatchPlan, *names: str) -> list[Task]:
    return [task for task in plan.tasks if task.act in names]


def of_kind(plan: BatchPlan, kind: str) -> list[Stage]:
    return [stage for stage in plan.stages if stage.kind == kind]


def during(plan: BatchPlan, stage: Stage, *names: str) -> list[Task]:
    key = f"/{stage.name.replace(' ', '-')}/"
    return [task for task in acts(plan, *names) if key in task.id]


def dates_of(plan: BatchPlan) -> Iterator[dt.date]:
    first = min(task.at.date() for task in plan.tasks)
    last = max(task.at.date() for task in plan.tasks)
    return (first + dt.timedelta(days=day) for day in range((last - first).days + 1))


def temperature(room: Room, name: str) -> float:
    measured = room.water_of(name).conditions.temperature
    assert measured is not None
    return measured.value


@given(rooms())
@quick
def test_transfers_keep_their_interval_their_number_and_their_days(sections: dict[str, Any]) -> None:
    room = build(**sections)
    treatment = treatment_for(room, "tank-transfer")
    for plan in whole(make_plan(room)):
        for stage in of_kind(plan, "transfers"):
            moves = acts(plan, "transfer")
            at = [temperature(room, name) for name in stage.tanks[:2]]
            moments = [stage.start, *(move.at for move in moves)]
            for before, after in pairwise(moments):
                hours = elapsed_hours(before, after)
                assert hours <= min(treatment.needed("interval", t).value for t in at) + TINY
                assert hours >= treatment.needed("dry").value - TINY
            assert len(moves) == len(stage.tanks) >= max(treatment.needed("moves", t).value for t in at)
            days = max(treatment.needed("minimum", t).value for t in at) / 24
            assert (stage.end.date() - stage.start.date()).days >= days
            assert stage.end == moves[-1].at
            assert all(instant(move.at) <= instant(move.until) for move in moves)
            assert [move.tank for move in moves] == [*stage.tanks[1:], plan.stages[1].tank]


@given(rooms())
@quick
def test_stages_follow_each_other_and_the_release_follows_the_last(sections: dict[str, Any]) -> None:
    room = build(**sections)
    for plan in whole(make_plan(room)):
        assert plan.stages[0].start == plan.batch.arrives
        assert plan.stages[-1].kind == "observation"
        for before, after in pairwise(plan.stages):
            assert before.end == after.start
        assert all(instant(stage.start) < instant(stage.end) for stage in plan.stages)
        assert plan.release is not None
        assert instant(plan.release.earliest) >= instant(plan.stages[-1].end)
        for stage in of_kind(plan, "observation"):
            days = treatment_for(room, stage.treatment).needed("days").value
            assert elapsed_hours(stage.start, stage.end) >= days - TINY


def is_twice(moment: dt.datetime) -> bool:
    """True in the hour that the wall clock shows twice."""
    return moment.replace(fold=0).utcoffset() != moment.replace(fold=1).utcoffset()


def all_tasks(room: Room, plan: BatchPlan) -> Iterator[Task]:
    calendar = Calendar(room)
    yield from plan.tasks
    for date in dates_of(plan):
        yield from routine_tasks(plan, calendar, date)


@given(rooms())
@settings(quick, max_examples=30)
def test_every_task_is_in_the_hours_of_the_room_and_never_on_days_away(sections: dict[str, Any]) -> None:
    room = build(**sections)
    for plan in whole(make_plan(room)):
        for task in all_tasks(room, plan):
            if task.act == "arrive":
                continue
            wall = task.at.time().replace(tzinfo=None)
            assert is_twice(task.at) or any(h.start <= wall <= h.end for h in room.written.room.hours), task
            away = [a for a in room.away if instant(a.start) <= instant(task.at) < instant(a.end)]
            assert all(entry.stand_in for entry in away), task
            assert bool(task.who) == bool(away)


@given(rooms())
@quick
def test_later_doses_are_inside_their_windows(sections: dict[str, Any]) -> None:
    room = build(**sections)
    for plan in whole(make_plan(room)):
        for stage in of_kind(plan, "course"):
            treatment, warm = treatment_for(room, stage.treatment), temperature(room, stage.tank)
            first, second, third = during(plan, stage, "dose", "redose")
            for dose, name in ((second, "second_dose"), (third, "third_dose")):
                low, high = day_window(treatment.needed(name, warm))
                assert low - TINY <= elapsed_hours(first.at, dose.at) <= high + TINY
                assert instant(dose.at) <= instant(dose.until)
            low, high = day_window(treatment.needed("second_dose", warm))
            assert low - TINY <= elapsed_hours(second.at, third.at) <= high + TINY


@given(rooms())
@quick
def test_copper_is_raised_no_faster_than_the_ramp_and_counted_from_the_reading(sections: dict[str, Any]) -> None:
    room = build(**sections)
    for plan in whole(make_plan(room)):
        for stage in of_kind(plan, "hold"):
            treatment = treatment_for(room, stage.treatment)
            doses = during(plan, stage, "dose", "redose")
            for before, after in pairwise(doses):
                assert elapsed_hours(before.at, after.at) >= treatment.needed("ramp_interval").value - TINY
            start, last = [task for task in during(plan, stage, "test") if task.text.startswith("copper")][:2]
            assert instant(start.at) > instant(doses[-1].at)
            stays = plan.stages[plan.stages.index(stage) + 1].tank == stage.tank
            course = treatment.needed("course_same_tank" if stays else "course").value
            assert elapsed_hours(start.at, last.at) >= course - TINY
            rested = elapsed_hours(stage.start, doses[0].at)
            assert rested >= 24 - TINY or "dust" in plan.batch.signs


def stays(plan: BatchPlan, room: Room) -> Iterator[tuple[str, dt.datetime, dt.datetime]]:
    """Each water the batch is in, from when to when."""
    for stage in plan.stages:
        if stage.kind != "transfers":
            yield room.tanks[stage.tank].water, stage.start, stage.end
            continue
        moments = [stage.start, *(move.at for move in acts(plan, "transfer"))]
        for name, (entered, left) in zip(stage.tanks, pairwise(moments), strict=True):
            yield room.tanks[name].water, entered, left


@given(rooms(most=5))
@quick
def test_no_water_has_two_batches_nor_a_wet_start(sections: dict[str, Any]) -> None:
    room = build(**sections)
    taken: dict[str, list[tuple[dt.datetime, dt.datetime, str]]] = defaultdict(list)
    for plan in whole(make_plan(room)):
        for water, start, end in stays(plan, room):
            assert water not in room.residents_by_water
            taken[water].append((instant(start), instant(end), plan.batch.name))
    for entries in taken.values():
        for first, second in pairwise(sorted(entries)):
            if first[2] != second[2] or first[1] != second[0]:
                assert second[0] - first[1] >= dt.timedelta(hours=24)


@given(rooms(most=5))
@quick
def test_nothing_is_poisoned(sections: dict[str, Any]) -> None:
    room = build(**sections)
    for plan in whole(make_plan(room)):
        kinds = {animal.group.kind for animal in plan.batch.animals}
        medicines: dict[str, str] = {}
        for stage in plan.stages:
            active = treatment_for(room, stage.treatment).active
            if active or any(entry.act in ("dose", "redose") for entry in stage.routines):
                assert not kinds & {"coral", "invertebrate"}
                assert stage.tank not in {animal.tank for animal in room.residents}
                assert medicines.get(stage.tank, active) == active
                medicines[stage.tank] = active
            if stage.treatment.startswith("copper-") or stage.kind == "transfers":
                assert "cartilaginous fish" not in kinds
            if stage.treatment == "fishless-hold":
                assert kinds <= {"coral", "invertebrate"}


@given(rooms(most=4), st.randoms(use_true_random=False))
@settings(quick, max_examples=30)
def test_the_same_room_the_same_plan_whatever_the_order_of_the_file(sections: dict[str, Any], random: Any) -> None:
    names = list(sections["batches"])
    random.shuffle(names)
    mixed = {**sections, "batches": {name: sections["batches"][name] for name in names}}
    one, two = make_plan(build(**sections)), make_plan(build(**mixed))
    assert [plan.tasks for plan in one.batches] == [plan.tasks for plan in two.batches]
    assert make_plan(build(**sections)).problems == one.problems


@given(rooms(most=4))
@settings(quick, max_examples=30)
def test_ids_are_unique_and_a_later_batch_changes_none(sections: dict[str, Any]) -> None:
    room = build(**sections)
    plans = make_plan(room).batches
    ids = [task.id for plan in whole(Plan(batches=plans, problems=())) for task in all_tasks(room, plan)]
    assert len(ids) == len(set(ids))
    last = plans[-1].batch.name
    fewer = {name: entry for name, entry in sections["batches"].items() if name != last}
    before = make_plan(build(**{**sections, "batches": fewer})).batches
    assert [plan.tasks for plan in before] == [plan.tasks for plan in plans[:-1]]


@given(rooms(most=3), st.integers(0, 400))
@settings(quick, max_examples=30)
def test_a_day_has_exactly_its_tasks(sections: dict[str, Any], offset: int) -> None:
    room = build(**sections)
    plan, calendar = make_plan(room), Calendar(room)
    first = min(entry.arrives.date() for entry in room.batches.values()) - dt.timedelta(days=3)
    for date in (first + dt.timedelta(days=day) for day in (offset % 7, offset % 40, offset)):
        wanted = {task.id for found in plan.batches for task in found.tasks if task.at.date() == date}
        wanted |= {task.id for found in plan.batches for task in routine_tasks(found, calendar, date)}
        residents = {f"reef/{act}/{date.isoformat()}" for act in ("look", "feed")} if room.residents else set()
        tasks = tasks_on(room, plan, date)
        assert {task.id for task in tasks} - residents == wanted
        assert len(tasks) == len({task.id for task in tasks})
        rounds = [window.start for window in calendar.windows(date) for task in tasks if _inside(window, task)]
        assert rounds == sorted(rounds)


def _inside(window: Any, task: Task) -> bool:
    return bool(window.start <= instant(task.at) <= window.end)


@given(rooms(most=2), st.data())
@settings(quick, max_examples=60)
def test_values_of_the_keepers_never_break_the_plan(sections: dict[str, Any], data: st.DataObject) -> None:
    names = {
        "tank-transfer": ("interval", "moves", "minimum", "dry"),
        "copper-chelated": ("target", "course", "course_same_tank", "ramp_steps", "ramp_interval", "kit_detection"),
        "praziquantel-bath": ("second_dose", "third_dose", "target"),
        "observation": ("days", "minimum"),
        "fishless-hold": ("days",),
    }
    record = data.draw(st.sampled_from(sorted(names)))
    number = data.draw(st.sampled_from(names[record]))
    room = build(**sections)
    unit = treatment_for(room, record).numbers[number][0].unit
    value = data.draw(st.sampled_from(["0", "1", "3", "30", "72", "500", "5000", "1000000"]))
    own = {f"{record}.{number}": {"value": f"{value} {unit}", "reason": "a test"}}
    for plan in make_plan(build(**{**sections, "values": own})).batches:
        assert plan.is_whole or plan.problems
