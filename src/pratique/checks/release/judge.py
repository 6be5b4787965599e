"""May this batch go? Yes, not yet, or no, from its plan and its record. It is never more than what is on record.

conditions (stages, signs, looks, food, water)  ->  answer  ->  what is not proven, last steps
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.checks.release.dipped import dips_of
from pratique.checks.release.kept import fed_condition, looked_condition
from pratique.checks.release.model import Answer, Condition, Subject, Verdict, listed, when
from pratique.checks.release.stages import stage_condition
from pratique.checks.release.steps import last_steps, matches
from pratique.checks.release.unproven import unproven
from pratique.history.fold import History
from pratique.room.resolve import Room
from pratique.schedule.feeds import cut
from pratique.schedule.model import BatchPlan
from pratique.schedule.occupants import split_apart
from pratique.schedule.recorded import room_as_recorded


def judge(room: Room, history: History, plan: BatchPlan, *, left: str = "") -> Verdict:
    """The verdict on a batch that has a plan (`plan.stages` is not empty)."""
    subject = Subject(room=room, history=history, plan=plan)
    conditions = tuple(_conditions(subject)) if plan.begun else tuple(_unwritten(plan))
    answer = _answer(conditions)
    if plan.over and not left:
        answer = "no"
    is_yes = answer == "yes"
    return Verdict(
        plan=plan,
        at=subject.at,
        answer=answer,
        earliest=_earliest(subject, conditions),
        into=plan.release.into if plan.release is not None else plan.batch.written.into or "",
        tank=subject.tank if plan.begun else "",
        conditions=conditions,
        reasons=() if is_yes else tuple(_reasons(subject, conditions)),
        not_proven=tuple(dict.fromkeys(unproven(subject))),
        dips=tuple(dips_of(subject)),
        last_steps=tuple(last_steps(subject)) if is_yes else (),
        matches=matches(subject) if is_yes else (),
        left=left,
    )


def _conditions(subject: Subject) -> Iterator[Condition]:
    for index in range(len(subject.plan.stages)):
        yield stage_condition(subject, index)
    yield _signs(subject)
    yield looked_condition(subject)
    yield _together(subject)
    yield _water(subject)
    if subject.has_fish:
        yield fed_condition(subject)


def _answer(conditions: tuple[Condition, ...]) -> Answer:
    if any(condition.against for condition in conditions):
        return "no"
    return "yes" if all(condition.met for condition in conditions) else "not yet"


def _earliest(subject: Subject, conditions: tuple[Condition, ...]) -> dt.datetime | None:
    """The date of the plan; none where a stage that is over was never whole."""
    release = subject.plan.release
    stages = conditions[: subject.current] if subject.plan.begun and subject.current > 0 else ()
    if release is None or any(condition.against for condition in stages):
        return None
    return release.earliest


def _reasons(subject: Subject, conditions: tuple[Condition, ...]) -> Iterator[str]:
    if subject.plan.over:
        yield subject.plan.over
    if not subject.plan.begun:
        yield _nothing_yet(subject)
        return
    yield from (condition.missing for condition in conditions if condition.against)
    asked = conditions if subject.is_last else conditions[: len(subject.plan.stages)]
    yield from (c.missing for c in asked if not c.met and not c.against and c.missing)
    if subject.plan.release is None:
        yield from (problem.message for problem in subject.plan.problems if problem.is_error)


def _nothing_yet(subject: Subject) -> str:
    what = "nothing is written down" if subject.history.is_empty else "its arrival is not on record"
    return f"{what}; what is not on record cannot be shown"


def _unwritten(plan: BatchPlan) -> Iterator[Condition]:
    """What will have to be shown, by the plan."""
    for text in plan.release.conditions if plan.release is not None else ():
        yield Condition(text=text, met=None, evidence=("nothing is on record",))


def _signs(subject: Subject) -> Condition:
    """A sign in the last stage speaks against it until the days were counted in full again."""
    stage, state = subject.stage, subject.stage.state
    text = f"no sign of disease in {subject.plan.stages[-1].name}, the last stage"
    if not subject.is_last:
        return Condition(text=text, met=False, evidence=(f"{subject.plan.stages[-1].name} has not begun",))
    found = [
        f"{when(sign.at)}: {', '.join(sign.signs)}" + (f" on {sign.animal}" if sign.animal else f" in {sign.tank}")
        for water in subject.waters(stage)
        for sign in cut(subject.history.of_water(water).signs, (stage.start, None))
    ]
    if not found:
        return Condition(text=text, met=True, evidence=(f"none on record since {when(stage.start)}",))
    if state is not None and state.kind == "watch" and state.is_finished:
        again = f"the days were counted in full again since {when(state.started)}"
        return Condition(text=text, met=True, evidence=(*listed(found), again))
    missing = f"a sign in the last stage ({found[-1]}): find out what it is, answer it, and the days are counted again"
    return Condition(text=text, met=False, evidence=listed(found), against=True, missing=missing)


def _together(subject: Subject) -> Condition:
    text = "all of the batch in one water"
    apart = split_apart(subject.history, subject.room, subject.name)
    if apart:
        where = " and ".join(f"{count} in {name}" for name, count in sorted(apart.items()))
        mend = "write the missing move, or give those apart a batch of their own"
        missing = f"the batch is in two waters ({where}): {mend}"
        return Condition(text=text, met=False, evidence=(where,), against=True, missing=missing)
    count = subject.plan.batch.head_count
    return Condition(text=text, met=True, evidence=(f"{count} alive by the record, in {subject.tank}",))


def _water(subject: Subject) -> Condition:
    """A medicine still in the water goes with the fish; while a treatment runs it is as it should be."""
    text = "no medicine in the water they are in"
    water = subject.room.tanks[subject.tank].water
    held = [holds.treatment for holds in room_as_recorded(subject.room, subject.history).waters[water].conditions.holds]
    if not held:
        return Condition(text=text, met=True, evidence=(f"none is on record in {subject.tank}, or it is out again",))
    names = ", ".join(subject.basis.treatment(id_).title for id_ in dict.fromkeys(held))
    missing = f"{names} is still in {subject.tank}: change water until a reading of zero, or move them to clean water"
    if not subject.is_last:
        return Condition(text=text, met=False, evidence=(f"{names}, as the stage wants it",))
    return Condition(text=text, met=False, evidence=(names,), against=True, missing=missing)
