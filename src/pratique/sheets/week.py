"""Several days on one page: tanks down, days across, only what differs from day to day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace

from pratique.room.resolve import Room
from pratique.schedule.model import OVER, Task
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Sheet, Table

EVERY_DAY = ("look", "feed")
"""Acts that come round every day; they are left out of the view of a week and stand on each day's lines."""

ACTS = {
    "change-water": "change", "prepare-water": "mix water", "set-up": "set up", "redose": "dose again",
}  # fmt: skip


def with_glance(sheet: Sheet, room: Room, days: tuple[tuple[dt.date, tuple[Task, ...]], ...]) -> Sheet:
    """The sheet of several days with the view of them all before the first."""
    return sheet if len(days) < 2 else replace(sheet, parts=(week_table(room, days), *sheet.parts))


def week_table(room: Room, days: tuple[tuple[dt.date, tuple[Task, ...]], ...]) -> Table:
    """One row a tank that has anything beyond looking and feeding in these days."""
    tanks = dict.fromkeys(task.tank for _, tasks in days for task in tasks if task.act not in EVERY_DAY)
    columns = (Column("Tank", "id", lead=True), *(Column(words.day(date), "prose") for date, _ in days))
    rows = tuple(
        (Cell(tank), *(_cell(room, (task for task in tasks if task.tank == tank)) for _, tasks in days))
        for tank in tanks
    )
    return Table(title="At a glance (looks and feeds stand on each day's lines)", columns=columns, rows=rows)


def _cell(room: Room, tasks: Iterable[Task]) -> Cell:
    found = [_said(room, task) for task in tasks if task.act not in EVERY_DAY and task.state not in OVER]
    return Cell("; ".join(dict.fromkeys(found))) if found else EMPTY


def _said(room: Room, task: Task) -> str:
    act = ACTS.get(task.act, task.act)
    if task.state == "late":
        return f"{act.upper()} NOW, late"
    if task.deadline:
        return f"{act.upper()} by {task.until:%H:%M}"
    amount = f" {words.amount(task.amount, room)}" if task.amount is not None else ""
    return f"{act}{amount}"
