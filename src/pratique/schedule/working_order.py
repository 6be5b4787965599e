"""The order of work on one date: round by round, clean water before suspect, limits by the hour before either.

What is suspect is what the plan makes of each batch, and what the log says was seen in a water.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, elapsed_hours, instant
from pratique.schedule.feeds import seen_sick
from pratique.schedule.model import Plan, Task, work_order

OVERRIDES_WITHIN = 1.0
"""Hours: a limit this close to the start of a round goes before the clean-to-suspect order."""

LEVELS = {"observation": 1, "course": 2, "hold": 2, "transfers": 3}
"""How suspect a batch is by its stage; residents without signs are 0."""

MOVED_FIRST = ("look", "test", "set-up", "transfer")
"""What of a batch whose limit is near goes before the clean tanks: up to the move. What is to be stripped can wait."""

BEFORE_OTHERS = "first of all for its limit: then wash and dry hands and arms, and other nets, before any other tank"

WITH_SIGNS = 4
SICK_RESIDENTS = 5
SEEN_SICK = 6


def in_working_order(
    found: list[Task],
    room: Room,
    plan: Plan,
    calendar: Calendar,
    date: dt.date,
    taken_in: Collection[str],
    history: History | None,
) -> list[Task]:
    """Round by round: water, then batches whose limit is near, then from the cleanest to the most suspect.

    Fish `taken_in` by a bare tank came there for a reason: theirs are the most suspect.
    """
    rank = _suspicion(room, plan, date) | {("tank", tank): (SICK_RESIDENTS, 0.0) for tank in taken_in}
    rank |= {("tank", tank): (SEEN_SICK, 0.0) for tank in _seen_sick(room, history)}
    rounds = {task.id: round_of(task, calendar) for task in found}
    pressing = {
        (task.batch, rounds[task.id])
        for task in found
        if task.deadline and elapsed_hours(rounds[task.id], task.until) <= OVERRIDES_WITHIN
    }

    def key(task: Task) -> tuple[object, ...]:
        start = rounds[task.id]
        water = task.act == "prepare-water"
        first = task.act in MOVED_FIRST and (task.batch, start) in pressing
        of_batch = rank.get(("batch", task.batch), (0, 0.0))
        tanks = [] if first else task.tank.split(" + ")
        suspect = max([of_batch, *(rank.get(("tank", name), (0, 0.0)) for name in tanks)])
        return (start, not water, not first, suspect, task.batch, work_order(task))

    in_order = sorted(found, key=key)
    return [_said_first(task, in_order[number + 1 :], rounds, pressing) for number, task in enumerate(in_order)]


def _said_first(
    task: Task, later: list[Task], rounds: Mapping[str, dt.datetime], pressing: Collection[tuple[str, dt.datetime]]
) -> Task:
    """A move that its limit puts before others: what has to be done before any of those is touched."""
    start = rounds[task.id]
    others = any(other.batch != task.batch and rounds[other.id] == start for other in later)
    if not task.deadline or task.state in ("done", "skipped") or (task.batch, start) not in pressing or not others:
        return task
    return replace(task, text=f"{task.text}; {BEFORE_OTHERS}")


def round_of(task: Task, calendar: Calendar) -> dt.datetime:
    """When the round that the task belongs to begins: that of the morning, or that of the evening of one long day."""
    window = calendar.window_at(task.at)
    if window is None:
        return instant(task.at)
    evening = calendar.evening(calendar.local(task.at).date())
    late = evening is not None and window.start < instant(evening) <= instant(task.at)
    return instant(evening) if evening is not None and late else window.start


def _seen_sick(room: Room, history: History | None) -> Iterator[str]:
    """The tanks of every water in which a sign was seen of late."""
    for tank in room.tanks.values():
        if history is not None and seen_sick(history, tank.water, history.at):
            yield tank.name


def _suspicion(room: Room, plan: Plan, date: dt.date) -> dict[tuple[str, str], tuple[int, float]]:
    """Batch (or tank of sick residents) to class and age: the longest in its class is the cleanest."""
    ranks: dict[tuple[str, str], tuple[int, float]] = {}
    noon = dt.datetime.combine(date, dt.time(12), tzinfo=room.zone)
    for animal in room.residents:
        if animal.signs:
            ranks["tank", animal.tank] = (SICK_RESIDENTS, 0.0)
    for batch in plan.batches:
        kinds = [stage.kind for stage in batch.stages if stage.start.date() <= date <= stage.end.date()]
        if kinds:
            level = WITH_SIGNS if batch.batch.signs else max(LEVELS[kind] for kind in kinds)
            ranks["batch", batch.batch.name] = (level, -elapsed_hours(batch.batch.arrives, noon))
    return ranks
