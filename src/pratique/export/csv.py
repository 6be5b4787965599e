"""Tasks and log entries as CSV (RFC 4180): a row of heads, a record a row, numbers and units in columns of their own.

A cell that a spreadsheet would take for a formula begins with an apostrophe; numbers, which are never words of a
person, stay numbers.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterable, Sequence

from pratique.export.json import number
from pratique.logbook import entry as kinds
from pratique.logbook.entry import Common
from pratique.logbook.say import spoken
from pratique.schedule.model import Task

TASK_HEADS = (
    "id", "at", "until", "deadline", "tank", "batch", "act", "text", "amount", "unit", "low", "high", "who", "state",
    "done_at", "refused", "sources",
)  # fmt: skip
DAY_HEADS = ("date", *TASK_HEADS)
LOG_HEADS = (
    "id", "at", "written", "by", "kind", "tank", "batch", "animals", "what", "value", "unit", "low", "high", "product",
    "treatment", "words", "note",
)  # fmt: skip
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
Value = str | float | bool | None


def tasks_csv(tasks: Iterable[Task]) -> str:
    """One row a task; times are ISO 8601 with offset, amounts in mL, g, L or tablets."""
    return _written(TASK_HEADS, (_task(task) for task in tasks))


def day_csv(days: Iterable[tuple[dt.date, Sequence[Task]]]) -> str:
    """One row a task, in the order of the lines of each day."""
    return _written(DAY_HEADS, ((date.isoformat(), *_task(task)) for date, tasks in days for task in tasks))


def log_csv(entries: Iterable[Common]) -> str:
    """One row an entry; `words` are those that would write it."""
    return _written(LOG_HEADS, map(_entry, entries))


def is_ours(text: str) -> bool:
    """True for the beginning of a table that this module made."""
    return text.lstrip("\ufeff").split("\n", 1)[0].rstrip("\r") in {",".join(heads) for heads in _HEADS}


_HEADS = (TASK_HEADS, DAY_HEADS, LOG_HEADS)


def _task(task: Task) -> tuple[Value, ...]:
    amount = task.amount
    exact = amount is None or amount.is_exact
    return (
        task.id, task.at.isoformat(), task.until.isoformat(), task.deadline, task.tank, task.batch, task.act, task.text,
        number(amount.value) if amount is not None else None, amount.unit if amount is not None else "",
        None if exact or amount is None else number(amount.low),
        None if exact or amount is None else number(amount.high),
        task.who, task.state, task.done_at.isoformat() if task.done_at is not None else "", task.refused,
        "; ".join(task.sources),
    )  # fmt: skip


def _entry(entry: Common) -> tuple[Value, ...]:
    found = next(iter(kinds.quantities(entry)), None)
    quantity = found[1] if found is not None else None
    fields = entry.__dict__
    animals = fields.get("animals") or ((fields["animal"],) if fields.get("animal") else ())
    return (
        entry.id, entry.at.isoformat(), entry.written.isoformat(), entry.by, entry.kind,
        fields.get("tank") or fields.get("to"), fields.get("batch"), "; ".join(animals), fields.get("what"),
        number(quantity.value) if quantity is not None else None, quantity.unit if quantity is not None else "",
        quantity.low if quantity is not None else None, quantity.high if quantity is not None else None,
        fields.get("product"), fields.get("treatment"), spoken(entry), entry.note,
    )  # fmt: skip


def _written(heads: Sequence[str], rows: Iterable[Sequence[Value]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(heads)
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: Value) -> str:
    """
    >>> _cell("=1+1"), _cell("late angel"), _cell(-1.5), _cell(True), _cell(None)
    ("'=1+1", 'late angel', '-1.5', 'yes', '')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:.9g}"
    return f"'{value}" if value.startswith(_FORMULA) or value.lstrip().startswith(_FORMULA) else value
