"""What new entries change: bottles, whereabouts, tasks, and how far the plan moves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.checks.entries.day_sheets import DaySheets
from pratique.clocks.state import ClockState
from pratique.history.events import Stay
from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant
from pratique.schedule.changes import changes_between
from pratique.schedule.model import BatchPlan, Plan, Task
from pratique.sheets import words

_OVER = ("done", "skipped")

_STEPS = ("dose", "redose", "change-water", "transfer", "move")


def effects(room: Room, sheets: DaySheets, later: DaySheets, at: dt.datetime) -> list[str]:
    """One sentence for each thing that is otherwise in `later` than in `sheets`."""
    before, after = sheets.history, later.history
    found = [*_bottles(before, after), *_whereabouts(before, after), *_tasks(before, after, sheets)]
    plans = {plan.batch.name: plan for plan in sheets.plan.batches}
    for plan in later.plan.batches:
        if plan.batch.name in plans:
            found += _plan(room, plans[plan.batch.name], plan, at)
    found += [f"{change.batch}: {change.text}" for change in changes_between(sheets.plan, later.plan)]
    found += _urgent(room, sheets.plan, later.plan)
    return list(dict.fromkeys(found))


def small_effects(sheets: DaySheets, later: DaySheets) -> list[str]:
    """As `effects`, for entries that no date hangs on: bottles, and tasks that were ticked."""
    before, after = sheets.history, later.history
    return list(dict.fromkeys([*_bottles(before, after), *_tasks(before, after, sheets)]))


def _bottles(before: History, after: History) -> Iterator[str]:
    for name, bottle in after.bottles.items():
        was = before.bottles[name]
        if bottle.left is not None and was.left is not None and bottle.left != was.left:
            yield f"{name}: {words.value(bottle.left, bottle.unit)} left, {words.value(was.left, was.unit)} before"


def _whereabouts(before: History, after: History) -> Iterator[str]:
    old, new = _counts(before.standing), _counts(after.standing)
    for batch, animal in dict.fromkeys((*old, *new)):
        was, now = old.get((batch, animal), {}), new.get((batch, animal), {})
        if was != now:
            of = f"{animal} of {batch}" if batch else animal
            yield f"{of}: {_shown(now)}; before: {_shown(was)}"


def _counts(stays: tuple[Stay, ...]) -> dict[tuple[str, str], dict[str, int]]:
    found: dict[tuple[str, str], dict[str, int]] = {}
    for stay in sorted(stays, key=lambda stay: stay.tank):
        tanks = found.setdefault((stay.batch, stay.animal), {})
        tanks[stay.tank] = tanks.get(stay.tank, 0) + stay.count
    return found


def _shown(tanks: dict[str, int]) -> str:
    return " and ".join(f"{count} in {tank}" for tank, count in tanks.items()) or "in no tank"


def _tasks(before: History, after: History, sheets: DaySheets) -> Iterator[str]:
    changed = {id_ for id_, _ in {*after.tasks.items()} ^ {*before.tasks.items()}}
    for id_ in [id_ for id_ in dict.fromkeys((*before.tasks, *after.tasks)) if id_ in changed]:
        was, mark = before.tasks.get(id_), after.tasks.get(id_)
        if (was and was.what) == (mark and mark.what):
            continue
        task = sheets.find(id_)
        yield f"{mark.what if mark else 'open again'}: {_named(task) if task else id_}"


def _named(task: Task) -> str:
    return f"{task.act.replace('-', ' ')}, {task.tank}, {words.moment(task.at)}"


def _plan(room: Room, was: BatchPlan, now: BatchPlan, at: dt.datetime) -> Iterator[str]:
    name, changed = now.batch.name, False
    stages = {stage.name: stage for stage in was.stages}
    for stage in now.stages:
        old = stages[stage.name].state if stage.name in stages else None
        if stage.state is not None and stage.state != old:
            changed = True
            yield f"{name}, {stage.name}: {_stand(stage.state)}"
    step, old_step = _next_step(now, at), _next_step(was, at)
    if step is not None and (changed or step != old_step):
        yield f"{name}, next step: {step.act.replace('-', ' ')}, {words.moment(step.at)}, {_amount(step, room)}"


def _urgent(room: Room, before: Plan, after: Plan) -> Iterator[str]:
    """What the log asks for now and did not before; and what it no longer asks for."""
    old, new = ({task.id: task for task in plan.urgent if task.state not in _OVER} for plan in (before, after))
    for id_, task in new.items():
        if id_ not in old or old[id_].amount != task.amount:
            amount = f"{words.amount(task.amount, room)}, " if task.amount is not None else ""
            yield f"{task.tank}, {task.act.replace('-', ' ')}: {amount}{task.text}"
    for id_ in old:
        if id_ not in new:
            yield f"no longer open: {_named(old[id_])}"


def _amount(task: Task, room: Room) -> str:
    return words.amount(task.amount, room) if task.amount is not None else task.tank


def _stand(state: ClockState) -> str:
    if state.is_finished:
        return "the count is full"
    if state.steps_needed:
        return f"step {state.steps} of {state.steps_needed}"
    if state.started is None:
        return "nothing is counted yet" if state.first_started is None else "the count is broken off"
    needed = f" of {_days(state.needed)}" if state.needed is not None else ""
    return f"{_days(state.counted)}{needed} days are counted"


def _days(hours: float) -> str:
    return f"{round(hours / 24, 1):g}"


def _next_step(plan: BatchPlan, at: dt.datetime) -> Task | None:
    open_ = (task for task in plan.tasks if task.act in _STEPS and task.done_at is None)
    ahead = [task for task in open_ if instant(task.until) >= instant(at)]
    return min(ahead, key=lambda task: instant(task.at), default=None)
