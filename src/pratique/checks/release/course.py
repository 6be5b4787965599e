"""A course of repeated doses as a condition: how many of them count, each against the window the eggs leave it."""

from __future__ import annotations

from pratique.checks.release.model import Condition, Subject, listed, when
from pratique.logbook.ids import slug
from pratique.schedule.begun.course import Count, counted_with
from pratique.schedule.calendar import elapsed_hours
from pratique.schedule.model import Stage, Task
from pratique.schedule.timeline import DOSES, Due


def course_condition(subject: Subject, stage: Stage, text: str, *, is_over: bool) -> Condition:
    """Whether every dose was given; one too early does not count, one too late is counted from again."""
    given = _given(subject, stage)
    counting = len(_counting(subject, stage, given))
    evidence = (f"{counting} of {DOSES} doses that count", *listed(f"given {when(task.done_at)}" for task in given))
    if counting < len(given):
        evidence += (f"{len(given) - counting} outside the window the eggs leave, not counted",)
    lacking = DOSES - counting
    if lacking > 0:
        missing = f"{stage.name}: {lacking} more of {DOSES} doses, until {when(stage.end)}"
        if is_over:
            missing = f"{stage.name} was left after {counting} of {DOSES} doses: what it is for may still be with them"
        return Condition(text=text, met=False, evidence=evidence, against=is_over, missing=missing)
    if is_over or elapsed_hours(stage.end, subject.at) >= 0:
        return Condition(text=text, met=True, evidence=evidence)
    missing = f"{stage.name}: all doses are given; the last works until {when(stage.end)}"
    return Condition(text=text, met=False, evidence=evidence, missing=missing)


def _given(subject: Subject, stage: Stage) -> list[Task]:
    prefix = slug(subject.name, stage.name) + "/"
    doses = [task for task in subject.plan.tasks if task.act in ("dose", "redose") and not task.routine]
    return [task for task in doses if task.id.startswith(prefix) and task.state == "done" and task.done_at is not None]


def _counting(subject: Subject, stage: Stage, given: list[Task]) -> tuple[Due, ...]:
    """As the plan counts them."""
    treatment = subject.basis.treatment(stage.treatment)
    temperature = subject.basis.temperature(subject.room.tanks[stage.tanks[-1]])
    count = Count()
    for task in given:
        at = task.done_at or task.at
        count = counted_with(treatment, temperature, count, Due(at, at, at))
    return count.kept
