"""A date's work: everything that is due and nothing else, in an order that can be done."""

from __future__ import annotations

import datetime as dt
from typing import Any

from pratique.schedule.day import tank_at, tasks_on, whereabouts
from pratique.schedule.model import Task
from pratique.schedule.plan import make_plan
from schedule_rooms import batch, build, tank, tanks

RESIDENTS = [{"species": "yellow tang", "count": 2, "tank": "reef"}]


def on(date: str, **sections: Any) -> list[Task]:
    room = build(**sections)
    return list(tasks_on(room, make_plan(room), dt.date.fromisoformat(date)))


def names(tasks: list[Task]) -> list[tuple[str, str, str]]:
    return [(f"{task.at:%H:%M}", task.tank, task.act) for task in tasks]


def test_a_day_of_a_transfer() -> None:
    assert names(on("2027-03-08", animals=RESIDENTS)) == [
        ("07:00", "reef", "look"),
        ("07:00", "tub a", "look"),
        ("07:00", "tub a", "test"),
        ("08:30", "tub b", "set-up"),
        ("08:30", "tub b", "transfer"),
        ("08:30", "tub a", "strip"),
        ("08:30", "tub a", "dry"),
        ("18:00", "reef", "feed"),
        ("18:00", "tub b", "feed"),
    ]


def test_water_comes_first_of_all() -> None:
    tasks = on("2027-03-10", animals=RESIDENTS)
    evening = [entry for entry in names(tasks) if entry[0] == "18:00"]
    assert evening[0] == ("18:00", "tub a", "prepare-water")


def test_a_limit_that_is_near_overrides_clean_before_suspect() -> None:
    entries = {"a": batch("2027-03-05T18:30"), "b": batch("2027-03-02T18:30", "trusted")}
    tasks = on("2027-03-17", batches=entries, animals=RESIDENTS)
    assert tasks[0].batch == "a"  # its limit is 07:30, half an hour after the round begins
    usual = on("2027-03-18", batches=entries, animals=RESIDENTS)
    assert [task.tank for task in usual][:2] == ["reef", "long"]


def test_only_a_limit_overrides_not_a_task_that_is_to_be_done_early() -> None:
    entries = {"a": batch("2027-03-05T18:30"), "b": batch("2027-03-02T18:30", "trusted")}
    tasks = on("2027-03-08", batches=entries, animals=RESIDENTS, room={"hours": "07:00-08:20, 18:00-22:00"})
    # the tub is filled by 07:50, but the limit of the move itself is the evening
    assert [task.tank for task in tasks if task.at.hour == 7][:3] == ["reef", "long", "tub a"]


def test_from_the_cleanest_to_the_most_suspect() -> None:
    entries = {
        "watched long": batch("2027-01-05T18:30", "trusted"),
        "sick": batch("2027-03-05T18:30", signs=["dust"]),
        "new": batch("2027-03-06T18:30"),
    }
    room = {**tanks(), "ward 2": tank("ward"), "long 2": tank("observation")}
    animals = [*RESIDENTS, {"species": "yellow tang", "tank": "spare", "signs": ["white-spots"]}]
    tasks = on("2027-03-07", batches=entries, tanks={**room, "spare": tank("reserve")}, animals=animals)
    looks = [task.tank for task in tasks if task.act == "look"]
    assert looks == ["reef", "long", "tub a", "ward", "spare"]


def test_the_fish_are_looked_at_before_they_are_moved_on() -> None:
    entries = {"x": batch(signs=["dust"])}
    plan = make_plan(build(batches=entries)).batches[0]
    tasks = on(plan.stages[0].end.date().isoformat(), batches=entries)
    order = [task.act for task in tasks if task.at <= plan.stages[0].end]
    assert order.index("look") < order.index("move") < order.index("strip")


def test_copper_is_read_before_it_is_added() -> None:
    own = {**tanks(), "ward": tank("ward", change="25 % every 2 d")}
    tasks = on("2027-03-07", batches={"x": batch(signs=["dust"])}, tanks=own)
    acts = [task.act for task in tasks if task.tank == "ward"]
    assert acts.index("test") < acts.index("change-water") < acts.index("redose")


def test_one_window_has_no_second_reading_beside_the_first() -> None:
    sections: dict[str, Any] = {"batches": {"x": batch("2027-03-05T07:00", signs=["dust"])}}
    narrow = on("2027-03-06", room={"hours": "07:00-09:00"}, **sections)
    readings = [task for task in narrow if task.text.startswith("copper: write")]
    assert len(readings) == 1
    wide = on("2027-03-06", room={"hours": "07:00-22:00"}, **sections)
    assert len([task for task in wide if task.text.startswith("copper: write")]) == 2


def test_nobody_there_nothing_on_the_sheet() -> None:
    away = {"away": [{"from": "2027-04-10", "to": "2027-04-12"}]}
    assert on("2027-04-11", room=away, animals=RESIDENTS) == []


def test_a_stand_in_is_named_on_every_task() -> None:
    away = {"away": [{"from": "2027-04-10", "to": "2027-04-12", "stand_in": "Kim"}]}
    tasks = on("2027-04-11", room=away, animals=RESIDENTS)
    assert tasks
    assert {task.who for task in tasks} == {"Kim"}


def test_residents_of_one_water_are_one_line() -> None:
    shared = {"volume": {"measured": "60 L"}, "water": "rack"}
    rack = {"left": {"use": "display", **shared}, "right": {"use": "display", **shared}}
    animals = [{"species": "yellow tang", "tank": name} for name in ("right", "left")]
    tasks = on("2027-03-05", tanks=rack, waters={"rack": {}}, animals=animals, batches={})
    assert names(tasks) == [("07:00", "left + right", "look"), ("18:00", "left + right", "feed")]
    assert "count heads (2)" in tasks[0].text


def test_where_the_batch_is() -> None:
    plan = make_plan(build())
    zone = plan.batches[0].batch.arrives.tzinfo

    def tank_on(text: str) -> str:
        found = whereabouts(plan, dt.datetime.fromisoformat(text).replace(tzinfo=zone))
        return found["first"][0] if found else ""

    assert tank_on("2027-03-05T18:00") == ""
    assert tank_on("2027-03-05T18:30") == "tub a"
    assert tank_on("2027-03-08T08:29") == "tub a"
    assert tank_on("2027-03-08T08:30") == "tub b"
    assert tank_on("2027-03-16T12:00") == "tub b"
    assert tank_on("2027-03-17T07:00") == "ward"
    assert tank_on("2027-05-01T12:00") == "long"
    assert tank_on("2028-05-01T12:00") == ""


def test_two_series_in_one_regimen_are_told_apart() -> None:
    moves = {"kind": "transfers", "use": ["transfer"], "treatments": ["tank-transfer"]}
    watch = {"kind": "observation", "use": ["ward"], "treatments": ["observation"]}
    stages = [
        {"name": "moves", **moves},
        {"name": "rest", **watch},
        {"name": "moves", **moves},
        {"name": "rest", **watch},
    ]
    mine = {"mine": {"title": "mine", "reason": "a test", "stages": stages}}
    room = build(regimens=mine, batches={"x": batch(regimen="mine")}, tanks={**tanks(), "ward 2": tank("ward")})
    plan = make_plan(room).batches[0]
    assert plan.is_whole, plan.problems
    second = plan.stages[2]
    assert tank_at(second, plan, second.start) == second.tanks[0]
    dates = [plan.batch.arrives.date() + dt.timedelta(days=day) for day in range(250)]
    ids = [task.id for date in dates for task in tasks_on(room, make_plan(room), date)]
    assert len(ids) == len(set(ids))
