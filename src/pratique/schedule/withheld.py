"""Doses that are not given because part of the log says nothing: who knows what is in the water?

A tank, a bottle or a batch that was renamed takes all that the log says of it out of every answer; so does a line that
cannot be read. A dose planned on what is left would be given a second time.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from pratique.history.fold import DOSING_ACTS, History
from pratique.problem import Problem, quoted
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.model import BatchPlan, Routine, Task

BEFORE = -24.0
"""Hours from the arrival that was announced: what the log says from then on may be of this batch."""

CODE = "S539"


def without_lost_doses(room: Room, history: History, plan: BatchPlan) -> BatchPlan:
    """The plan, with no dose still to be given where the log since it came has a name or a line that says nothing."""
    if plan.over or not plan.tasks:
        return plan
    came = min(room.batches[plan.batch.name].arrives, plan.batch.arrives, key=instant)
    lost = history.lost_since(plus_hours(came, BEFORE))
    if not lost:
        return plan
    problem = Problem(
        code=CODE,
        message=f"no dose is planned for {quoted(plan.batch.name)}: {lost}",
        places=(room.place(plan.batch.path, key=True),),
        note="what was given or moved there is left out, so a dose could be one too many",
        hint="set the log right, or write the old name in the room file again (L702 and L746 name the lines); until "
        "then read the level, and add nothing",
    )
    text = f"{CODE}: add nothing, and read the level: {lost}"
    change = f"{CODE}: none into the new water; read the level, and add nothing"
    tasks = {task.id for task in plan.tasks}
    return withhold(plan, problem, tasks, {stage.name for stage in plan.stages}, text, change)


def withhold(
    plan: BatchPlan, problem: Problem, tasks: Collection[str], stages: Collection[str], text: str, change: str
) -> BatchPlan:
    """The plan without an amount for those of its doses still to be given whose ids are in `tasks`, nor for those that
    go with the changes of `stages`. `problem` is why; `text` and `change` say so where the two stood.
    """
    return replace(
        plan,
        tasks=tuple(_refused(task, problem.code, text) if task.id in tasks else task for task in plan.tasks),
        stages=tuple(
            replace(stage, routines=tuple(_not_dosed(routine, change) for routine in stage.routines))
            if stage.name in stages
            else stage
            for stage in plan.stages
        ),
        problems=(problem, *plan.problems),
    )


def _refused(task: Task, code: str, text: str) -> Task:
    """A dose still to be given, without an amount; any other task as it is."""
    if task.act not in DOSING_ACTS or task.state in ("done", "skipped"):
        return task
    return replace(task, amount=None, refused=code, text=text)


def _not_dosed(routine: Routine, text: str) -> Routine:
    """A dose that goes with each change, without an amount; any other routine as it is."""
    if routine.act not in DOSING_ACTS:
        return routine
    return replace(routine, amount=None, text=text)
