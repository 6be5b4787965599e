"""Dated acts as rows of a page: when and where, how each stands by the log, how much, and what."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pratique.room.resolve import Room
from pratique.schedule.model import OVER, Task
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Footnotes, Meaning, Table

STATE_WORDS = {"done": "done", "skipped": "skipped", "due": "due", "late": "late", "missed": "missed", "off": "not now"}


def state_cell(task: Task, at: dt.datetime) -> Cell:
    """How the task stands, in a word; when it was done. What had a limit says so before its text, in capitals."""
    if not task.state:
        return EMPTY
    word = STATE_WORDS[task.state]
    if task.done_at is not None:
        same = task.done_at.date() == task.at.date()
        word += f" {task.done_at:%H:%M}" if same else f" {words.moment(task.done_at, at=at)}"
    loud: Meaning = "error" if task.deadline else "warning"
    meanings: dict[str, Meaning] = {"done": "done", "due": "due", "late": loud, "missed": "warning"}
    return Cell(word, meanings.get(task.state, "muted"))


def words_of(source: str) -> str:
    """A task's citation `KEY, where (C)` in the words of a footnote."""
    key, _, rest = source.partition(", ")
    where, _, confidence = rest.rpartition(" (")
    return words.source_line(key, where, confidence.rstrip(")"))


def task_table(room: Room, title: str, tasks: Sequence[Task], at: dt.datetime, notes: Footnotes) -> Table:
    """Tasks as rows: when, where, how each stands, how much and what."""
    marked = any(task.state for task in tasks)
    rows = tuple(_row(room, task, at, notes, marked=marked) for task in tasks)
    columns = (
        Column("When", "id", lead=True),
        Column("Tank", "id", lead=True),
        *((Column("State", "id"),) if marked else ()),
        Column("Amount", "number"),
        Column("What", "prose"),
    )
    return Table(title=title, columns=columns, rows=rows)


def act_text(task: Task, notes: Footnotes) -> str:
    """The act and what it is, its limit or window before it, its stand-in and its source after it."""
    act = task.act.replace("-", " ")
    text = task.text if task.text.startswith(act) else f"{act}: {task.text}"
    if task.deadline and task.state == "late":
        text = f"LATE · {text}"
    elif task.deadline and task.state in ("", "due"):
        limit = words.moment(task.until)
        text = f"BY {limit} · {text.replace(f' by {limit}', '', 1)}"
    elif task.act == "redose" and task.until.date() > task.at.date():
        text = f"window to {words.moment(task.until)} · {text}"
    if task.who:
        text += f" (stand-in: {task.who})"
    return text + "".join(notes.mark(words_of(source)) for source in task.sources[:1])


def figure_cell(room: Room, task: Task) -> Cell:
    """The amount of a task, or the code that refused it."""
    if task.refused:
        return words.refused(task.refused)
    return Cell(words.amount(task.amount, room)) if task.amount else EMPTY


def _row(room: Room, task: Task, at: dt.datetime, notes: Footnotes, *, marked: bool) -> tuple[Cell, ...]:
    over = task.state in OVER or (not task.state and task.until < at)
    meaning: Meaning = "muted" if over else "due" if task.deadline else ""
    rest: Meaning = "muted" if task.state in OVER else ""
    when = Cell(words.moment(task.at, at=at), meaning)
    state = (state_cell(task, at),) if marked else ()
    figure = figure_cell(room, task)
    amount = Cell(figure.text, rest) if rest else figure
    return (when, Cell(task.tank, rest), *state, amount, Cell(act_text(task, notes), rest))
