"""What changed between two plans of the same room, and why: one sentence for each batch that is affected.

The reasons are what broke or restarted a clock, what came otherwise than announced, who died; then the date of release.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.clocks.state import ClockState, spoken
from pratique.dates import full_day, shown_day
from pratique.history.fold import History, fold
from pratique.problem import plural
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, elapsed_hours, instant, shown
from pratique.schedule.day_lines import log_before
from pratique.schedule.model import BatchPlan, Plan, Stage
from pratique.schedule.plan import make_plan

A_MINUTE = 1 / 60

WORTH_SAYING = 12.0
"""Hours by which the end of a stage has to move before that is given as a reason by itself."""

SAID = ("S518", "S519", "S520", "S523", "S524", "S525", "S526", "S532", "S538")
"""Warnings that are a reason in themselves."""

CLOCK_NAMES = {"hold": "copper clock", "transfers": "transfer series", "watch": "watch"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One batch whose plan changed. `before` and `after` are the earliest dates of release, None where there is none.

    `entry_ids` are the log entries the reasons rest on.
    """

    batch: str
    reasons: tuple[str, ...]
    before: dt.datetime | None
    after: dt.datetime | None
    entry_ids: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The whole as a sentence."""
        return "; ".join([*self.reasons, *release_moves(self.before, self.after)])


def changes_between(before: Plan, after: Plan, since: dt.datetime | None = None) -> tuple[Change, ...]:
    """What is otherwise in `after`, batch by batch; what came before `since` was only written down after it."""
    old = {plan.batch.name: plan for plan in before.batches}
    found = (_change(old[plan.batch.name], plan, since) for plan in after.batches if plan.batch.name in old)
    return tuple(change for change in found if change is not None)


def changes_since_yesterday(room: Room, plan: Plan, history: History) -> tuple[Change, ...]:
    """What changed since the plan as it stood when the day began, by the log as it was written then.

    Nothing where nothing is on record. An entry written later than the moment that is asked about says nothing of when
    it was known, and counts from when it happened.
    """
    if history.is_empty:
        return ()
    morning = Calendar(room).midnight(history.at.astimezone(room.zone).date())
    known = log_before(history.log, morning, asked=history.at)
    left_out = room.batches.keys() - {after.batch.name for after in plan.batches}
    return changes_between(make_plan(room, fold(room, known, morning), but=left_out), plan, morning)


def _change(before: BatchPlan, after: BatchPlan, since: dt.datetime | None) -> Change | None:
    reasons = list(dict.fromkeys(_reasons(before, after, since)))
    old = before.release.earliest if before.release is not None else None
    new = after.release.earliest if after.release is not None else None
    if not reasons and not release_moves(old, new):
        return None
    ids = tuple(dict.fromkeys(id_ for _, id_ in reasons if id_))
    said = tuple(dict.fromkeys(text for text, _ in reasons)) or tuple(_shifted(before, after))
    return Change(batch=after.batch.name, reasons=said, before=old, after=new, entry_ids=ids)


Reason = tuple[str, str]
"""The sentence, and the id of the entry it rests on (empty: none)."""


def _reasons(before: BatchPlan, after: BatchPlan, since: dt.datetime | None) -> Iterator[Reason]:
    yield from _arrival(before, after, since)
    known = {stage.name: stage.state for stage in before.stages}
    for stage in after.stages:
        if stage.state is not None:
            yield from _of_clock(stage, known.get(stage.name))
    yield from _deaths(before, after)
    if after.over and not before.over:
        yield after.over, ""
    if before.stages and after.stages and before.regimen.id != after.regimen.id:
        yield f"the regimen is {after.regimen.id} instead of {before.regimen.id}", ""
    for name, (old, new) in _tanks(before, after).items():
        yield f"{name} in {new} instead of {old}", ""
    known_problems = {(problem.code, problem.message) for problem in before.problems}
    for problem in after.problems:
        if (problem.code, problem.message) not in known_problems and (problem.is_error or problem.code in SAID):
            said = problem.message.replace("`", "").removeprefix(f"{after.batch.name} ")  # the sentence begins with it
            yield f"{said} ({problem.code})", ""


def _arrival(before: BatchPlan, after: BatchPlan, since: dt.datetime | None) -> Iterator[Reason]:
    if after.begun and not before.begun:
        where = after.stages[0].tanks[0] if after.stages else ""
        text = f"arrived {shown(after.batch.arrives)}" + (f" in {where}" if where else "")
        if instant(after.batch.arrives) != instant(before.batch.arrives):
            text += f", announced for {shown(before.batch.arrives)}"
        if since is not None and instant(after.batch.arrives) < instant(since):
            text += ", written down since"
        yield text, ""


def _of_clock(stage: Stage, old: ClockState | None) -> Iterator[Reason]:
    """Breaks and unknown stretches that were not there before, and a limit that has passed since."""
    state = stage.state
    assert state is not None
    name = CLOCK_NAMES[state.kind]
    known = {(instant(found.at), found.why) for found in old.breaks} if old is not None else set()
    again = (row for row in state.explain if row.mark == "restart")
    restarts = {(instant(row.at), row.entry_id) for row in again if row.at is not None}
    for found in state.breaks:
        if (instant(found.at), found.why) not in known:
            what = "restarted" if (instant(found.at), found.entry_id) in restarts else "stopped"
            if state.kind == "transfers" and what == "stopped":
                what = "late"
            yield f"{name} {what}: {found.why} on {shown_day(found.at)}", found.entry_id
    seen = {instant(span.start): span.hours for span in old.unknown} if old is not None else {}
    for span in state.unknown if state.kind == "hold" else ():
        if span.hours - seen.get(instant(span.start), 0.0) > 1:
            yield f"{name} not counting for {spoken(span.hours)} from {shown(span.start)}: {span.why}", span.entry_id
    was_late = old is not None and old.slack is not None and old.slack < -A_MINUTE
    if state.kind == "transfers" and state.slack is not None and state.slack < -A_MINUTE and not was_late:
        yield f"{name}: the next move is {spoken(-state.slack)} late", ""


def _deaths(before: BatchPlan, after: BatchPlan) -> Iterator[Reason]:
    if not after.begun:
        return
    left = {animal.label: 0 for animal in before.batch.animals}
    was = dict(left)
    for counts, plan in ((was, before), (left, after)):
        for animal in plan.batch.animals:
            counts[animal.label] = counts.get(animal.label, 0) + animal.count
    for label, count in was.items():
        lost = count - left.get(label, 0)
        if lost > 0:
            yield f"{lost} {label} dead, {after.batch.head_count} left of the batch", ""


def _tanks(before: BatchPlan, after: BatchPlan) -> dict[str, tuple[str, str]]:
    """Stages that are planned into another tank."""
    old = {stage.name: stage for stage in before.stages}
    found: dict[str, tuple[str, str]] = {}
    for stage in after.stages:
        was = old.get(stage.name)
        if was is not None and was.kind == stage.kind != "transfers" and was.tank != stage.tank:
            found[stage.name] = (was.tank, stage.tank)
    return found


def _shifted(before: BatchPlan, after: BatchPlan) -> Iterator[str]:
    """Where no other reason was found: the first stage that ends at another time."""
    old = {stage.name: stage for stage in before.stages}
    for stage in after.stages:
        was = old.get(stage.name)
        if was is not None and abs(elapsed_hours(was.end, stage.end)) >= WORTH_SAYING:
            yield f"{stage.name} ends {shown(stage.end)} instead of {shown(was.end)}"
            return


def release_moves(before: dt.datetime | None, after: dt.datetime | None) -> list[str]:
    """`release moves from Fri 12 Mar to Sun 21 Mar, 9 days later`; empty where the day is the same."""
    if before is None or after is None:
        if before is None and after is None:
            return []
        gone = "there is no date of release any more"
        return [gone if after is None else f"release {shown_day(after)} at the earliest"]
    if before.date() == after.date():
        return []
    said = shown_day if before.year == after.year else full_day
    days = (after.date() - before.date()).days
    cost = f"{plural(abs(days), 'day')} {'later' if days > 0 else 'sooner'}"
    return [f"release moves from {said(before)} to {said(after)}, {cost}"]
