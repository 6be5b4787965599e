"""A sign that was written down: it stays at the head of its tank's lines until somebody says that it was answered."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pratique.history.events import Seen
from pratique.knowledge import store
from pratique.problem import Problem
from pratique.schedule.calendar import instant, plus_hours, shown
from pratique.schedule.feeds import SOON, cut, within
from pratique.schedule.model import BatchPlan, Task
from pratique.schedule.urgent.desk import Desk, typed

UNANSWERED = ("S518", "S519", "S520")
"""Warnings that what a batch is going through may not be what its signs call for."""

ACT = "signs"

GOES_ON = {
    "hold": "the days of copper go on counting, whatever it is",
    "transfers": "the moves go on by their hours, whatever it is",
    "watch": "the days of watching go on from when it was last answered",
    "fallow": "",
}
"""What a clock does that no sign breaks."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Group:
    """The signs of one batch (empty: of residents), and the tank in which it is now."""

    batch: str
    tank: str
    seen: tuple[Seen, ...]


def sign_tasks(desk: Desk) -> Iterator[Task]:
    """One task for each batch, or water of residents, with a sign that waits for an answer.

    It stands with the tank they are in now. One that was answered today stands as done.
    """
    for group in _groups(desk):
        open_ = _open(desk, group)
        if open_:
            yield _task(desk, replace(group, seen=tuple(open_)))
            continue
        for entry in group.seen:
            answered = _answered(desk, entry)
            if answered is not None and desk.is_today(answered):
                yield _task(desk, replace(group, seen=(entry,)))


def sign_problems(desk: Desk) -> Iterator[tuple[str, Problem]]:
    """Each batch with an open sign (empty: residents), and what the sign means for it."""
    for group in _groups(desk):
        open_ = _open(desk, group)
        if not open_:
            continue
        last, water = open_[-1], desk.room.waters[desk.room.tanks[group.tank].water]
        of = f" of `{group.batch}`" if group.batch else ""
        problem = Problem(
            code="S530",
            severity="warning",
            message=f"{titles(open_)} seen{_on(last)}{of} in `{last.tank}`, {shown(last.at)}",
            places=(desk.place(water, group.batch),),
            note=consequence(desk.plan_of(group.batch), open_),
            hint=f"{command(group.tank, open_)} says what it may be and what comes first",
        )
        yield group.batch, problem


def _groups(desk: Desk) -> Iterator[_Group]:
    """Signs of late by whose they are: those of a batch go with it, those of residents stay with their water."""
    found: defaultdict[tuple[str, str], list[Seen]] = defaultdict(list)
    for water, record in desk.history.waters.items():
        for entry in cut(record.signs, (desk.listed_from, plus_hours(desk.now, SOON))):
            batch = _batch_of(desk, water, entry)
            tank = desk.tank_of(batch) if batch else entry.tank
            if tank and (batch or desk.history.in_water(water)):
                found[batch, tank if batch else water].append(entry)
    for (batch, tank), seen in found.items():
        seen.sort(key=lambda entry: instant(entry.at))
        yield _Group(batch=batch, tank=tank if batch else seen[-1].tank, seen=tuple(seen))


def _batch_of(desk: Desk, water: str, entry: Seen) -> str:
    """The batch that was meant: the one named, else the one that was there then; empty for a display and residents."""
    if desk.room.tanks[entry.tank].use == "display":
        return ""
    there = [name for name, span in desk.history.presence.get(water, ()) if name and within(entry.at, span)]
    return entry.batch or (there[0] if len(there) == 1 else "")


def command(tank: str, seen: Sequence[Seen]) -> str:
    """How the question is typed, with every sign that was seen."""
    return typed("pratique signs", tank, *dict.fromkeys(sign for entry in seen for sign in entry.signs))


def consequence(plan: BatchPlan | None, seen: Sequence[Seen]) -> str:
    """What signs do to the plan of a batch: to its clock, and whether its regimen still answers."""
    if plan is None or not plan.stages:
        return "this water is suspect from now on: nothing wet goes from it into another"
    ids = {entry.entry_id for entry in seen}
    said = []
    states = [stage.state for stage in plan.stages if stage.state is not None]
    if states and any(found.entry_id in ids for found in states[-1].breaks):
        said.append("the days of watching begin again with it")
    elif states:
        said.append(GOES_ON[states[-1].kind])
    unanswered = dict.fromkeys(problem.code for problem in plan.problems if problem.code in UNANSWERED)
    if unanswered:
        said.append(f"`{plan.regimen.id}` may no longer be the answer ({', '.join(unanswered)})")
    return "; ".join(said) or "the plan goes on as it was until this is answered"


def titles(seen: Sequence[Seen]) -> str:
    """The signs in words, each once."""
    known = store.signs()
    names = dict.fromkeys(sign for entry in seen for sign in entry.signs)
    return ", ".join(known[name].title if name in known else name for name in names)


def _on(entry: Seen) -> str:
    return f" on {entry.animal}" if entry.animal else ""


def _answered(desk: Desk, entry: Seen) -> dt.datetime | None:
    return desk.is_answered(ACT, desk.room.tanks[entry.tank].water, entry.entry_id)


def _open(desk: Desk, group: _Group) -> list[Seen]:
    """Signs after the last one that was answered: a mark answers all that had been seen by then."""
    marks = [at for entry in group.seen if (at := _answered(desk, entry)) is not None]
    last = max(map(instant, marks), default=dt.datetime.min.replace(tzinfo=dt.UTC))
    return [entry for entry in group.seen if instant(entry.at) > last]


def _task(desk: Desk, group: _Group) -> Task:
    first, last = group.seen[0], group.seen[-1]
    when = shown(last.at) if len(group.seen) == 1 else f"{shown(first.at)} to {shown(last.at)}"
    where = f" in {last.tank}" if last.tank != group.tank else ""
    ask = command(group.tank, group.seen)
    return desk.task(
        ACT, last.at, group.tank, first.entry_id,
        f"signs SEEN {when}{where}{_on(last)}: {titles(group.seen)}. {ask} says what comes first; "
        f"{_short(desk.plan_of(group.batch))}",
        batch=group.batch, water=desk.room.tanks[first.tank].water,
        reason="a sign waits for an answer; tick the line when it has one",
    )  # fmt: skip


def _short(plan: BatchPlan | None) -> str:
    rest = "nothing wet from this water into another; tick this when it is answered"
    if plan is not None and any(problem.code in UNANSWERED for problem in plan.problems):
        return f"what it is going through may not be the answer; {rest}"
    return rest
