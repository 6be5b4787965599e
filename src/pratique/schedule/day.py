"""The tasks of one date, in the order of work: water first, clean tanks before suspect ones, limits by the hour."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, elapsed_hours
from pratique.schedule.model import ORDER_OF_ACTS, BatchPlan, Plan, Routine, Stage, Task

OVERRIDES_WITHIN = 1.0
"""Hours: a limit this close to the start of a round goes before the clean-to-suspect order."""


def tasks_on(room: Room, plan: Plan, date: dt.date) -> tuple[Task, ...]:
    """Everything to do on the local day `date`, in the order of work."""
    calendar = Calendar(room)
    found = [task for batch in plan.batches for task in batch.tasks if task.at.date() == date]
    found += [task for batch in plan.batches for task in routine_tasks(batch, calendar, date)]
    found += _resident_tasks(room, calendar, date)
    suspicion = _suspicion(room, plan, date)
    return tuple(sorted(found, key=lambda task: _order(task, calendar, suspicion)))


def routine_tasks(batch: BatchPlan, calendar: Calendar, date: dt.date) -> Iterator[Task]:
    """The daily acts of a batch on `date`, in the tank the batch is in at that hour."""
    for stage in batch.stages:
        for number, routine in enumerate(stage.routines):
            task = _routine_task(batch, stage, routine, number, calendar, date)
            if task is not None:
                yield task


def _routine_task(batch: BatchPlan, stage: Stage, routine: Routine, number: int, calendar: Calendar, date: dt.date) -> Task | None:
    if not routine.start.date() <= date <= routine.end.date() or (date - routine.start.date()).days % routine.every:
        return None
    at = calendar.opening(date, last=routine.evening)
    if at is None or not routine.start <= at < routine.end:
        return None
    window = next(window for window in calendar.windows(date) if window.start == at)
    return Task(
        id=f"{batch.batch.name}/{stage.name}/{routine.act}/{number}/{date.isoformat()}".replace(" ", "-"), at=at, until=window.end,
        tank=tank_at(stage, batch, at), batch=batch.batch.name, act=routine.act, text=routine.text, amount=routine.amount,
        sources=routine.sources, reason=routine.reason, who=window.who, routine=True,
    )


def tank_at(stage: Stage, batch: BatchPlan, at: dt.datetime) -> str:
    """Which of a transfer stage's tanks holds the batch at `at`; any other stage has one."""
    if stage.kind != "transfers":
        return stage.tank
    moved = sum(1 for task in batch.tasks if task.act == "transfer" and task.at <= at)
    return stage.tanks[min(moved, len(stage.tanks) - 1)]


def whereabouts(plan: Plan, at: dt.datetime) -> dict[str, tuple[str, Stage]]:
    """Batch name to the tank and stage it is planned to be in at `at`."""
    found = {}
    for batch in plan.batches:
        for stage in batch.stages:
            if stage.start <= at < stage.end:
                found[batch.batch.name] = (tank_at(stage, batch, at), stage)
    return found


def _resident_tasks(room: Room, calendar: Calendar, date: dt.date) -> Iterator[Task]:
    for water, animals in room.residents_by_water.items():
        count = sum(animal.count for animal in animals)
        tanks = sorted({animal.tank for animal in animals})
        for act, text, last in (
            ("look", f"count heads ({count}); breathing, skin, eating; a dead one out at once", False),
            ("feed", "feed; note who does not come", True),
        ):
            at = calendar.opening(date, last=last)
            if at is not None:
                window = next(window for window in calendar.windows(date) if window.start == at)
                yield Task(id=f"{water}/{act}/{date.isoformat()}".replace(" ", "-"), at=at, until=window.end, tank=" + ".join(tanks), batch="", act=act,
                           text=text, sources=("HADF11, abstract (V)",) if act == "look" else (), who=window.who, routine=True)


def _suspicion(room: Room, plan: Plan, date: dt.date) -> dict[str, tuple[int, float]]:
    """Tank to (class, age): residents, then watched batches, the longest in first, then treated, then with signs."""
    ranks: dict[str, tuple[int, float]] = {}
    noon = dt.datetime.combine(date, dt.time(12), tzinfo=room.zone)
    sick = {animal.tank for animal in room.residents if animal.signs}
    for tank in room.tanks.values():
        ranks[tank.name] = (5, 0.0) if tank.name in sick else (0, 0.0)
    for batch in plan.batches:
        for stage in batch.stages:
            if stage.start.date() <= date <= stage.end.date():
                level = 4 if batch.batch.signs else 1 if stage.kind == "observation" else 3 if stage.kind == "transfers" else 2
                for name in stage.tanks:
                    ranks[name] = max(ranks.get(name, (0, 0.0)), (level, -elapsed_hours(batch.batch.arrives, noon)))
    return ranks


def _order(task: Task, calendar: Calendar, suspicion: dict[str, tuple[int, float]]) -> tuple[object, ...]:
    windows = calendar.windows(task.at.date())
    start = next((window.start for window in windows if window.start <= task.at <= window.end), task.at)
    pressing = task.deadline and elapsed_hours(start, task.until) <= OVERRIDES_WITHIN
    water = task.act == "prepare-water"
    tank = task.tank.split(" + ")[0]
    act = ORDER_OF_ACTS.index(task.act) if task.act in ORDER_OF_ACTS else len(ORDER_OF_ACTS)
    return (start, not water, not pressing, suspicion.get(tank, (0, 0.0)), task.batch, task.at, act, task.tank, task.id)
