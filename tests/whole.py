"""An answer written out whole, field by field, one a line: for golden files that show every change of it."""

from __future__ import annotations

import dataclasses
import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any

from pratique.dosing.dip import DipStep
from pratique.figure import Figure, Step
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Room

LEFT_OUT = ("request", "animals")


def whole(answer: object) -> str:
    """Every field that is not empty; knowledge by its id or its source, figures to six places, cautions by their number.

    What was asked (`request`) and the animals are left out: the answer is what is looked at.
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
        case DipStep():
            minute = "" if value.minute is None else f"{value.minute:g} min: "
            return f"{value.phase} {minute}{value.text} | {value.source}"
        case Treatment() | Room():
            return value.id if isinstance(value, Treatment) else "room"
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
