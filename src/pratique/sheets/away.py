"""Days away in the plan of a batch: what falls inside them, what may wait and what may not."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable

from pratique.room.resolve import AwayDays, Room
from pratique.schedule.calendar import Calendar, instant
from pratique.schedule.model import BatchPlan, Task
from pratique.schedule.slip import Slip, during, with_stand_in
from pratique.sheets import words
from pratique.sheets.rows import Cell, Lines, Part


def away_parts(room: Room, plan: BatchPlan, at: dt.datetime) -> list[Part]:
    """One part for each stretch of days away that is still to come and falls into the plan."""
    covered = with_stand_in(room)
    calendar = Calendar(covered)
    parts: list[Part] = []
    for away, named in zip(covered.away, room.away, strict=True):
        if instant(away.end) <= instant(at):
            continue
        found = list(during(plan, calendar, away))
        if found:
            parts.append(_part(plan, named, found, at))
    return parts


def _part(plan: BatchPlan, away: AwayDays, found: list[tuple[Task, Slip]], at: dt.datetime) -> Lines:
    who = f"stand-in: {away.stand_in}" if away.stand_in else "nobody is there"
    lines = []
    for may, label in ((False, "may not wait"), (True, "may wait")):
        said = list(_said([(task, slip) for task, slip in found if slip.may is may]))
        if said:
            lines.append(Cell(f"{label}: {'; '.join(said)}", "" if may else "due"))
    last = words.moment(away.end, at=at)
    title = f"{plan.batch.name} · days away {words.moment(away.start, at=at)} to {last} ({who})"
    return Lines(title=title, lines=tuple(lines), bullet="·")


def _said(found: Iterable[tuple[Task, Slip]]) -> Iterable[str]:
    """Single acts one by one, repeated ones counted."""
    counts: Counter[str] = Counter()
    for task, slip in found:
        if task.routine:
            what = task.text.split(":")[0].split(",")[0] if task.act == "test" else ""
            counts[f"{what} {task.act}".strip() if what else task.act.replace("-", " ")] += 1
        else:
            until = f" until {words.moment(slip.until)}" if slip.until is not None else ""
            yield f"{task.act.replace('-', ' ')}, {task.tank}, {words.moment(task.at)}{until}"
    for name, count in counts.items():
        yield f"{count} × {name}"
