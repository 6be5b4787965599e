"""The tasks of one date, in the order of work: water first, clean tanks before suspect ones, limits by the hour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from pratique.dosing.facts import Planned
from pratique.history.fold import History
from pratique.logbook.ids import slug
from pratique.room.resolve import Animal, Room
from pratique.schedule.calendar import APART, Calendar, elapsed_hours, instant, plus_hours, shown
from pratique.schedule.feeds import SOON
from pratique.schedule.model import BatchPlan, Plan, Routine, Stage, Task
from pratique.schedule.occupants import residents_now
from pratique.schedule.refuge import refuge_tasks, without_plan
from pratique.schedule.states import States
from pratique.schedule.tasks import round_task
from pratique.schedule.working_order import in_working_order


def tasks_on(room: Room, plan: Plan, date: dt.date, history: History | None = None) -> tuple[Task, ...]:
    """Everything to do on the local day `date`, in the order of work; `history` is that of the plan."""
    known = history if history is not None and not history.is_empty else None
    calendar = Calendar(room)
    found: list[Task] = []
    urgent = [task for task in plan.urgent if task.at.date() == date]
    for batch in plan.batches:
        found += [task for task in batch.tasks if task.at.date() == date]
        found += _left_over(batch, calendar, date, known)
        if history is not None and calendar.local(history.at).date() == date:
            found += _still_to_prepare(batch, calendar, date)
        found += routine_tasks(batch, calendar, date, known)
    taken_in = {refuge.tank: refuge for refuge in without_plan(room, known, plan)} if known is not None else {}
    residents = list(_resident_tasks(residents_now(room, known), calendar, date, taken_in))
    if known is not None:
        residents += (task for found in taken_in.values() for task in refuge_tasks(room, known, found, calendar, date))
    found += residents if known is None else map(States(room, known).mark, residents)
    found = [_without_kit(room, task) for task in found]
    in_order = in_working_order(found, room, plan, calendar, date, taken_in, known)
    return tuple(urgent_first([*urgent, *in_order], key=lambda task: task))


def _without_kit(room: Room, task: Task) -> Task:
    """A test of ammonia says so where no kit on file can make it; pH that nobody reads is counted at its worst."""
    asked = task.act == "test" and task.text.startswith("ammonia")
    if not asked or any(kit.measures == "ammonia" for kit in room.written.kits.values()):
        return task
    return replace(task, text=f"{task.text}; NO AMMONIA KIT is on file: get one, or have it read")


STILL_ASKED = 14
"""Days for which a tank that was not stripped and dried is asked about on each day's sheet."""


def _left_over(batch: BatchPlan, calendar: Calendar, date: dt.date, history: History | None) -> Iterator[Task]:
    """Tanks that fish have left and nobody has made clean: on the sheet of the day until it is done."""
    if history is None or calendar.local(history.at).date() != date:
        return
    first = date - dt.timedelta(days=STILL_ASKED)
    for task in batch.tasks:
        if task.act in ("strip", "dry") and task.state in ("due", "late") and first <= task.at.date() < date:
            at = calendar.morning(date) or calendar.midnight(date)
            yield replace(task, at=at, text=f"{task.text}; open since {shown(task.at)}")


def _still_to_prepare(batch: BatchPlan, calendar: Calendar, date: dt.date) -> Iterator[Task]:
    """What an arrival of today or later needs and the days before should have seen: a fish in its bag is not told to
    wait for a tank that nobody filled. Whoever did it and wrote nothing down reads that it may be done already."""
    arrival = next((task for task in batch.tasks if task.act == "arrive"), None)
    if batch.begun or arrival is None or arrival.at.date() < date:
        return
    at = calendar.morning(date) or calendar.midnight(date)
    for task in batch.tasks:
        ahead = instant(task.at) < instant(arrival.at) and task.at.date() < date
        if ahead and task.act in PREPARES and task.state not in ("done", "skipped"):
            text = f"{task.text}; it was for {shown(task.at)}: do it before they come, unless it is done"
            yield replace(task, at=min(at, arrival.at, key=instant), until=arrival.at, text=text, state="")


PREPARES = ("prepare-water", "set-up", "test")
"""Single acts that make a tank ready for those who come."""


T = TypeVar("T")


def urgent_first(rows: Iterable[T], key: Callable[[T], Task]) -> list[T]:
    """The rows in their order, but what is urgent in a tank before the first of that tank; `key`: a row's task."""
    rows = list(rows)
    waiting = [row for row in rows if key(row).urgent]
    found: list[T] = []
    for row in rows:
        if key(row).urgent:
            continue
        tanks = set(key(row).tank.split(" + "))
        found += [first for first in waiting if key(first).tank in tanks]
        waiting = [first for first in waiting if key(first).tank not in tanks]
        found.append(row)
    return [*waiting, *found]


def routine_tasks(
    batch: BatchPlan, calendar: Calendar, date: dt.date, history: History | None = None
) -> Iterator[Task]:
    """The repeated acts of a batch on `date`, in the tank the batch is in at that hour; marked by its `history`."""
    states = States(history.room, history, batch) if history is not None and not history.is_empty else None
    for stage in batch.stages:
        if stage.start.date() <= date <= stage.end.date():
            for number, routine in enumerate(stage.routines):
                at = _due(routine, calendar, date)
                if at is not None:
                    task = _routine_task(batch, stage, routine, number, calendar, at)
                    yield task if states is None else states.mark(task)


def _due(routine: Routine, calendar: Calendar, date: dt.date) -> dt.datetime | None:
    """When the routine is due on `date`, or None."""
    if not routine.start.date() <= date <= routine.end.date() or (date - routine.start.date()).days % routine.every:
        return None
    if date in routine.not_on:
        return None
    at = calendar.evening(date) if routine.evening else calendar.morning(date)
    if at is None or not instant(routine.start) <= instant(at) < instant(routine.end):
        return None
    opens = calendar.windows(date)[0].start
    twice = routine.evening and routine.act == "test" and elapsed_hours(opens, at) < APART
    return None if twice else at


def _routine_task(
    batch: BatchPlan, stage: Stage, routine: Routine, number: int, calendar: Calendar, at: dt.datetime
) -> Task:
    return Task(
        id=slug(batch.batch.name, stage.name, routine.act, str(number), at.date().isoformat()),
        at=at,
        until=calendar.end_of_round(at),
        tank=tank_at(stage, batch, plus_hours(at, -SOON)),  # before the move that is due at the same hour
        batch=batch.batch.name,
        act=routine.act,
        text=routine.text,
        amount=routine.amount,
        product=routine.product,
        sources=routine.sources,
        reason=routine.reason,
        who=calendar.who_at(at),
        routine=True,
    )


def tank_at(stage: Stage, batch: BatchPlan, at: dt.datetime) -> str:
    """Which of a transfer stage's tanks holds the batch at `at`; any other stage has one."""
    if stage.kind != "transfers":
        return stage.tank
    now, first = instant(at), instant(stage.start)
    moves = (task for task in batch.tasks if task.act == "transfer" and first < instant(task.at) <= now)
    moved = sum(_is_made(task, batch, now) for task in moves)
    return stage.tanks[min(moved, len(stage.tanks) - 1)]


def _is_made(task: Task, batch: BatchPlan, now: dt.datetime) -> bool:
    """What is due and not on record will be made after the moment of the plan, and after what is due with it."""
    if task.state not in ("due", "late") or batch.as_of is None:
        return True
    return instant(task.at) < now and instant(batch.as_of) < now


def whereabouts(plan: Plan, at: dt.datetime) -> dict[str, tuple[str, Stage]]:
    """Batch name to the tank and stage it is planned to be in at `at`."""
    now, found = instant(at), {}
    for batch in plan.batches:
        for stage in batch.stages:
            if instant(stage.start) <= now < instant(stage.end):
                found[batch.batch.name] = (tank_at(stage, batch, at), stage)
    return found


def stage_of(plan: Plan, task: Task) -> Stage | None:
    """The stage that a task of a batch belongs to."""
    batch = next((batch for batch in plan.batches if batch.batch.name == task.batch), None)
    parts = task.id.split("/")
    if batch is None or len(parts) < 2:
        return None
    return next((stage for stage in batch.stages if slug(stage.name) == parts[1]), None)


def medicines_in(room: Room, plan: Plan, water: str, at: dt.datetime) -> tuple[Planned, ...]:
    """What the plan has dosed into `water` for the batches that are in it at `at`, and since when."""
    found = []
    for name, (tank, stage) in whereabouts(plan, at).items():
        if room.tanks[tank].water != water:
            continue
        batch = next(entry for entry in plan.batches if entry.batch.name == name)
        doses = (task for task in batch.tasks if task.act == "dose" and task.tank == tank)
        given = (task.at for task in doses if task.state == "done" or not batch.begun)
        begun = [moment for moment in given if stage.start <= moment <= at]
        if begun:
            found.append(Planned(stage.treatment, begun[0], name))
    return tuple(found)


def _resident_tasks(
    residents: Mapping[str, tuple[Animal, ...]], calendar: Calendar, date: dt.date, elsewhere: Collection[str]
) -> Iterator[Task]:
    """Looks and food for who lives in each water; those in the tanks `elsewhere` have tasks of their own."""
    for water, there in residents.items():
        animals = tuple(animal for animal in there if animal.tank not in elsewhere)
        if not animals:
            continue
        look, feed = care_of(animals)
        tanks = " + ".join(sorted({animal.tank for animal in animals}))
        sources = ("HADF11, abstract (V)",)
        yield from round_task(calendar, calendar.morning(date), (water, "look"), tanks, "look", look, sources)
        yield from round_task(calendar, calendar.evening(date), (water, "feed"), tanks, "feed", feed)


def care_of(animals: Iterable[Animal]) -> tuple[str, str]:
    """What a look and a feeding are, in words: heads are those of fish, and not every water has any."""
    counts = {True: 0, False: 0}
    for animal in animals:
        counts[animal.group.is_fish] += animal.count
    fish, others = counts[True], counts[False]
    if not fish:
        return f"every animal ({others}), none of them a fish; a dead one out at once", "feed what eats; leftovers out"
    beside = f", without the {others} that are no fish" if others else ""
    look = f"count heads ({fish}{beside}); breathing, skin, eating; a dead one out at once"
    return look, "feed; note who does not come"
