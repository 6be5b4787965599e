"""What happens seldom, written out whole: rooms that cannot be planned and why, records in which much went wrong.

Each page is read like the plan it is: stages with their clocks, what is said, what is to do soon, who is in which water
with what in it. After a change that is meant: `python -m pytest tests/history/test_whole_rare.py --golden`, and read
the difference.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from history import rare_records, rarer_records
from history.kept import batch, build, history, log_of, moment, tank, tanks, typed
from history.rare_rooms import HOLD, REFUSED, WARNED, WATCH, own
from history.test_whole_plans import stages_and_tasks
from history.test_withheld import GIVEN, RENAMED, as_it_was
from pratique.history.fold import History, fold
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import Calendar
from pratique.schedule.changes import changes_since_yesterday
from pratique.schedule.courses import level_courses, water_course
from pratique.schedule.day import medicines_in, tasks_on, whereabouts
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import BatchPlan, Plan
from pratique.schedule.occupants import animals_in_water, everyone_now, with_signs
from pratique.schedule.plan import make_plan
from pratique.schedule.recorded import medicines_on_record
from pratique.schedule.slip import during, with_stand_in
from whole import whole

PLANS = Path(__file__).parent / "plans"
Golden = Callable[[Path, str], None]


def said(plan: Plan) -> Iterator[str]:
    """Which regimen each batch got and why, and all that is said of it, with places and hints."""
    for found in plan.batches:
        planned = "planned" if found.stages else "not planned"
        yield f"{found.batch.name}: {found.regimen.id} by the {found.chosen_by}, {planned}"
        yield from (f"  {line}" for part in (found.why, found.problems) if part for line in whole(part).splitlines())


def out(plan: BatchPlan) -> Iterator[str]:
    """When it may go, where to, and on what evidence."""
    if plan.release is not None:
        found = plan.release
        yield f"  out {found.earliest:%d %b %H:%M} into {found.into}: {'; '.join(found.conditions)}"


def page(rooms: dict[str, dict[str, Any]]) -> str:
    return "\n".join("\n".join([f"== {name}", *said(make_plan(build(**keys)))]) for name, keys in rooms.items()) + "\n"


@pytest.mark.parametrize("kind", REFUSED)
def test_why_a_batch_has_no_plan(kind: str, golden: Golden) -> None:
    golden(PLANS / f"refused-{kind}.txt", page(REFUSED[kind]))


@pytest.mark.parametrize("name", WARNED)
def test_a_plan_with_something_to_know_of_it(name: str, golden: Golden) -> None:
    found = make_plan(build(**WARNED[name]))
    stages = [line for plan in found.batches for line in [*stages_and_tasks(plan), *out(plan)]]
    golden(PLANS / f"warned-{name}.txt", "\n".join([*said(found), *stages]) + "\n")


FOLLOWED = rare_records.FOLLOWED | rarer_records.FOLLOWED


@pytest.mark.parametrize("name", FOLLOWED)
def test_a_record_in_which_something_went_wrong(name: str, golden: Golden) -> None:
    make, lines, at = FOLLOWED[name]
    room = make()
    known = history(room, lines, at)
    found = make_plan(room, known)
    golden(PLANS / f"rare-{name}.txt", "\n".join(shown(room, found, known)) + "\n")


def shown(room: Room, found: Plan, known: History) -> Iterator[str]:
    """The plans of all batches, what is urgent, the sheet of the day, what changed, and what is in each water."""
    yield from said(found)
    for plan in found.batches:
        yield f"{plan.batch.name}: {plan.over or 'goes on' if plan.begun else 'has not come'}"
        yield from [*stages_and_tasks(plan), *out(plan)] if plan.begun else []
    sheet = [task.id for task in tasks_on(room, found, known.at.astimezone(room.zone).date(), known)]
    assert len(sheet) == len(set(sheet)), "no line stands twice"
    today = lines_of_day(room, found, known, known.at.astimezone(room.zone).date())
    places = {name: tank for name, (tank, _) in whereabouts(found, known.at).items()}
    yield from ("urgent", whole(found.urgent).rstrip(), "today", whole(today).rstrip())
    yield from (f"changed: {one.batch}: {one.text}" for one in changes_since_yesterday(room, found, known))
    everyone = everyone_now(room, known)
    for water in room.waters:
        there = with_signs(everyone.get(water, ()), known, known.at)
        names = [f"{one.count} {one.label} {' '.join(one.signs)}".strip() for one in there]
        planned = animals_in_water(room, found, places, water, known)
        meant = sorted(f"{one.count} {one.label}" for one in planned)
        medicines = list(medicines_on_record(room, known, water))
        given = medicines_in(room, found, water, known.at)
        medicines += [f"{one.treatment} for {one.batch} since {one.since:%d %H:%M}" for one in given]
        treatment = treatment_for(room, "copper-chelated")
        level = water_course(known, treatment, room.waters[water].tanks[0].name)
        if level is not None:
            span = f"{level.start:%d %H:%M} to {level.end:%d %H:%M}"
            yield f"{level.title} {span}: {len(level.readings)} readings, {len(level.changes)} changes"
        yield f"{water}: {', '.join(names)} | {', '.join(meant)} | {', '.join(medicines)}"
    for plan in found.batches:
        for course in level_courses(plan, known):
            yield f"{course.title}: {course.start:%d %H:%M} to {course.end:%d %H:%M}, aim {course.target:g}"
            for read in course.readings:
                by = "" if read.suits else ", by a kit that cannot"
                yield f"  {read.at:%d %H:%M} {read.value:g} ({read.low:.3g} to {read.high:.3g}){by}"
            yield from (f"  {change.at:%d %H:%M} {change.effect}: {change.what}" for change in course.changes)


@pytest.mark.parametrize("what", RENAMED)
def test_a_record_of_what_was_renamed(what: str, golden: Golden) -> None:
    room = RENAMED[what]
    known = fold(room, log_of(typed(as_it_was(), GIVEN)), moment("2027-03-06T21:00"))
    golden(PLANS / f"rare-renamed-{what}.txt", "\n".join(shown(room, make_plan(room, known), known)) + "\n")


@pytest.mark.parametrize("keys", [keys for rooms in REFUSED.values() for keys in rooms.values()])
def test_what_is_wrong_is_said_too_where_they_have_come(keys: dict[str, Any]) -> None:
    """Whatever the room file lacks for a plan: an arrival in any tank, and some days later there is an answer."""
    room = build(**keys)
    for tank_name in room.tanks:
        known = history(room, f"2027-03-05T19:00 arrived {next(iter(room.batches))} in {tank_name}", "2027-03-09T20:00")
        assert all(found.problems or found.stages for found in make_plan(room, known).batches)


def test_what_may_wait_while_they_are_away(golden: Golden) -> None:
    """Every act of the days away with how far it may slip, as if somebody stood in."""
    regimen = own({**HOLD, "name": "slow copper"}, WATCH)["regimens"]
    batches = {"first": batch(), "second": batch("2027-03-06T18:30", regimen="mine"), "third": batch(trust="trusted")}
    away = {"away": [{"from": "2027-03-19", "to": "2027-03-26"}]}
    wards = {**tanks(), "second ward": tank("ward")}
    room = with_stand_in(build(batches=batches, regimens=regimen, room=away, tanks=wards))
    lines = []
    for plan in make_plan(room).batches:
        for task, slip in during(plan, Calendar(room), room.away[0]):
            until = "" if slip.until is None else f"{slip.until:%d %H:%M}"
            may = "may" if slip.may else "not"
            lines.append(f"{task.at:%d %H:%M} {task.tank} {task.act}: {may} {until} {slip.why}")
    golden(PLANS / "away.txt", "\n".join(lines) + "\n")


def test_days_on_which_the_clock_is_changed(golden: Golden) -> None:
    """The rounds around the last Sundays of March and October, at night too; nobody is there in the hour left out."""
    hours = {"hours": "01:15-01:45, 07:00-09:00, 18:00-22:00"}
    room = build(room=hours, batches={"first": batch(), "second": batch("2027-10-22T18:30")})
    found = make_plan(room)
    days = [dt.date(2027, 3, 27), dt.date(2027, 3, 28), dt.date(2027, 10, 31)]
    calendar = Calendar(room)
    lines = []
    for day in days:
        spans = [(calendar.local(one.start), calendar.local(one.end)) for one in calendar.windows(day)]
        lines += [f"{start:%a %d %b %H:%M %z} to {end:%H:%M %z}" for start, end in spans]
        lines += [f"  {task.at:%H:%M} {task.tank} {task.act}" for task in tasks_on(room, found, day)]
    golden(PLANS / "clock-changed.txt", "\n".join(lines) + "\n")
