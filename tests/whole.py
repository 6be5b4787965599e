"""An answer written out whole, field by field, one a line: for golden files that show every change of it."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any

from pratique.clocks.state import Row
from pratique.dosing.dip import DipStep
from pratique.figure import Figure, Step
from pratique.knowledge.model import Regimen, Sourced, Statement, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Batch, Room
from pratique.room.stock import Product
from pratique.schedule.model import Routine, Task

LEFT_OUT = ("request", "animals", "written", "group", "line", "right_dose", "next_dose")


def whole(answer: object) -> str:
    """Every field that is not empty; knowledge by its id or its source, figures to six places, cautions by number.

    What was asked and the animals are left out, and a dose inside another answer: it has a file of its own.
    """
    return "\n".join(_lines("", answer)) + "\n"


def _lines(path: str, value: object) -> Iterator[str]:
    short = _short(value)
    if short is not None:
        yield f"{path}: {short}"
    elif isinstance(value, Mapping):
        for key, entry in value.items():
            yield from _lines(f"{path}[{key}]", entry)
    elif isinstance(value, (tuple, list)):
        for number, entry in enumerate(value, 1):
            yield from _lines(f"{path} {number}", entry)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            entry = getattr(value, field.name)
            if field.name in ("cautions", "people"):
                yield f"{path}.{field.name}".lstrip(".") + f": {len(entry)}"
            elif field.name not in LEFT_OUT and entry not in (None, "", (), [], {}, False):
                yield from _lines(f"{path}.{field.name}" if path else field.name, entry)
    else:
        raise TypeError(f"{path}: {type(value)}")


def _short(value: Any) -> str | None:
    match value:
        case Figure():
            return f"{value.value:.6g} {value.unit} ({value.low:.6g} to {value.high:.6g})"
        case Step():
            return f"{value.label} | {value.expression} | {value.result} | {value.source}"
        case Problem():
            places = ", ".join(f"line {place.line}" for place in value.places)
            said = (value.code, value.severity, places, value.message, value.note, value.hint, value.source)
            return " | ".join(said)
        case Task():
            return _task(value)
        case Routine():
            return _routine(value)
        case Row():
            at = "" if value.at is None else f"{value.at:%Y-%m-%d %H:%M}"
            return f"{at} {value.mark}: {value.what} | {value.evidence}"
        case Batch() | Regimen():
            return value.name if isinstance(value, Batch) else value.id
        case DipStep():
            minute = "" if value.minute is None else f"{value.minute:g} min: "
            return f"{value.phase} {minute}{value.text} | {value.source}"
        case Treatment():
            return value.id
        case Room() | Product():
            return type(value).__name__
        case Sourced():
            return f"{value.value:g} {value.unit}: {value.source}, {value.where} ({value.confidence})"
        case Statement():
            return f"{value.text}: {value.source}, {value.where} ({value.confidence})"
        case bool() | int() | str() | frozenset():
            return str(value)
        case float():
            return f"{value:.6g}"
        case dt.datetime() | dt.date():
            return value.isoformat()
    return None


def _task(task: Task) -> str:
    flags = [name for name in ("deadline", "routine", "urgent") if getattr(task, name)]
    done = f"done {task.done_at:%d %H:%M}" if task.done_at is not None else ""
    amount = "" if task.amount is None else str(_short(task.amount))
    head = f"{task.at:%Y-%m-%d %H:%M} to {task.until:%d %H:%M} {task.tank} {task.act}"
    told = (head, task.text, amount, task.refused, "; ".join(task.sources), task.reason, task.who, task.state, done)
    return " | ".join([*told, *flags, task.id])


def _routine(routine: Routine) -> str:
    when = f"{routine.start:%m-%d %H:%M} to {routine.end:%m-%d %H:%M}, every {routine.every} d"
    amount = "" if routine.amount is None else str(_short(routine.amount))
    evening = "evening" if routine.evening else "morning"
    told = (routine.tank, routine.act, when, evening, routine.text, amount, "; ".join(routine.sources), routine.reason)
    return " | ".join(told)
