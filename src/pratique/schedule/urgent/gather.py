"""All that the log asks for before anything else, and what is to be said of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from pratique.history.fold import History
from pratique.problem import Problem
from pratique.schedule.basis import Basis
from pratique.schedule.model import BatchPlan, Plan, Task, work_order
from pratique.schedule.refuge import refuge_problems
from pratique.schedule.urgent.ammonia import ammonia_tasks
from pratique.schedule.urgent.desk import Desk
from pratique.schedule.urgent.exposed import exposed_tasks
from pratique.schedule.urgent.overdose import overdose_problems, overdose_tasks
from pratique.schedule.urgent.signs import sign_problems, sign_tasks


def with_urgent(basis: Basis, history: History, plans: tuple[BatchPlan, ...]) -> Plan:
    """The plan of the room with its urgent acts; what they are about is said with the batch it touches."""
    desk = Desk(basis=basis, history=history, plans=plans)
    found = [*sign_tasks(desk), *exposed_tasks(desk), *overdose_tasks(desk), *ammonia_tasks(desk)]
    said = [*overdose_problems(desk), *sign_problems(desk)]
    said += [("", problem) for problem in refuge_problems(basis.room, history)]
    told = tuple(_told(plan, said) for plan in plans)
    room_wide = [problem for batch, problem in said if not batch]
    problems = dict.fromkeys([*room_wide, *(problem for plan in told for problem in plan.problems)])
    return Plan(batches=told, problems=tuple(problems), urgent=_in_order(found))


def _told(plan: BatchPlan, said: Iterable[tuple[str, Problem]]) -> BatchPlan:
    own = [problem for batch, problem in said if batch == plan.batch.name]
    return replace(plan, problems=(*own, *plan.problems)) if own else plan


def _in_order(found: Iterable[Task]) -> tuple[Task, ...]:
    return tuple(sorted({task.id: task for task in found}.values(), key=work_order))
