"""One medicine at a time in a water: where two batches came into the same one, the second medicine is not planned.

The planner gives no two batches one water; a keeper may, or puts fish into a water that still holds what others were
given. The pairs are untested or known to harm (the interlocks say which), so the medicine that is there stays, and the
other waits. How long it stays after those it was for have left is not guessed: until the log shows that it is out.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.history.fold import DOSING_ACTS, History
from pratique.knowledge import store
from pratique.logbook.ids import slug
from pratique.problem import Problem
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant
from pratique.schedule.model import BatchPlan, Stage, Task
from pratique.schedule.recorded import medicines_on_record
from pratique.schedule.withheld import withhold

CODE = "S546"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Course:
    """A stage with a medicine, not over; `rank`: that of its batch by arrival. `begun`: a dose of it is on record."""

    batch: str
    rank: int
    stage: Stage
    waters: frozenset[str]
    begun: bool

    def goes_before(self, other: _Course) -> bool:
        """True where the other one has to wait: what is in the water stays; else who came first. Two that have both
        begun were given so by the keeper."""
        if self.begun != other.begun:
            return self.begun
        return not self.begun and self.rank < other.rank


def with_one_medicine(room: Room, history: History, plans: tuple[BatchPlan, ...]) -> tuple[BatchPlan, ...]:
    """The plans, without doses into a water in which another batch's medicine is by then."""
    courses = [course for rank, plan in enumerate(plans) for course in _courses(room, plan, rank)]
    return tuple(_without_the_second(room, history, plan, courses) for plan in plans)


def _courses(room: Room, plan: BatchPlan, rank: int) -> Iterator[_Course]:
    if plan.over:
        return
    for stage in plan.stages:
        if not stage.over and store.treatment(stage.treatment).active:
            yield _Course(
                batch=plan.batch.name,
                rank=rank,
                stage=stage,
                waters=frozenset(room.tanks[name].water for name in stage.tanks),
                begun=any(task.done_at is not None for task in _doses(plan, stage)),
            )


def _doses(plan: BatchPlan, stage: Stage) -> list[Task]:
    head = f"{slug(plan.batch.name, stage.name)}/"
    return [task for task in plan.tasks if task.act in DOSING_ACTS and task.id.startswith(head)]


def _without_the_second(room: Room, history: History, plan: BatchPlan, courses: list[_Course]) -> BatchPlan:
    for own in courses:
        if own.batch == plan.batch.name:
            there = next(_there(history, plan, own, courses), None)
            plan = _withheld(room, plan, own, *there) if there is not None else plan
    return plan


def _there(
    history: History, plan: BatchPlan, own: _Course, courses: list[_Course]
) -> Iterator[tuple[str, dt.datetime]]:
    """The medicines that are in the water of a course, or will be before it: what to say of each, and since when."""
    for other in courses:
        if other.batch != own.batch and _meet(own, other) and other.goes_before(own):
            how = "is in" if other.begun else "comes first into"
            yield f"{other.stage.treatment} {how} this water, for `{other.batch}`", other.stage.start
    if own.begun or not plan.begun or instant(own.stage.start) > instant(history.at):
        return
    known = {id_ for stage in plan.regimen.stages for id_ in stage.treatments}
    for id_ in medicines_on_record(history.room, history, history.room.tanks[own.stage.tank].water):
        if id_ not in known:
            yield f"by the log {id_} is in this water", own.stage.start


def _meet(one: _Course, other: _Course) -> bool:
    """True for two medicines in one water at one time."""
    return (
        one.stage.treatment != other.stage.treatment
        and not one.waters.isdisjoint(other.waters)
        and instant(one.stage.start) < instant(other.stage.end)
        and instant(other.stage.start) < instant(one.stage.end)
    )


def _withheld(room: Room, plan: BatchPlan, own: _Course, there: str, since: dt.datetime) -> BatchPlan:
    wrong = {
        task.id
        for task in _doses(plan, own.stage)
        if task.done_at is None and instant(since) <= instant(task.at)
    }
    if not wrong:
        return plan
    problem = Problem(
        code=CODE,
        message=f"no {own.stage.treatment} is planned for `{own.batch}` in `{own.stage.tank}`: {there}",
        places=(room.place(plan.batch.path, key=True),),
        note="what is in a water, all are in who live there; the two together are untested, or known to harm",
        hint="move the batch into a water of its own, and write the move; or finish the one, change the water (copper: "
        "until a reading shows none), and write that",
    )
    change = f"{CODE}: nothing into the new water: {there}"
    return withhold(plan, problem, wrong, {own.stage.name}, f"{CODE}: give nothing: {there}", change)
