"""The validator's complaints about a line of the log, in our words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from pratique.logbook.entry import KINDS
from pratique.problem import Severity, near_hint, near_names, quoted
from pratique.room.wrong import Wrong


@dataclass(frozen=True, slots=True)
class Fault:
    """A problem that has no place yet: `path` are the keys that lead to it, `part` the wrong words."""

    code: str
    message: str
    hint: str = ""
    note: str = ""
    part: str = ""
    path: tuple[str, ...] = ()
    column: int = 0
    severity: Severity = "error"


_MOST = 5
_NEWER = "a newer version of the program may have written it; the whole entry is set aside"
_WANTED = {
    "at": "a moment with its offset, such as `2027-03-05T18:00:00+00:00`",
    "written": "a moment with its offset, such as `2027-03-05T18:00:00+00:00`",
    "id": "seven of the letters and digits ids are made of",
    "of": "the id of an entry",
    "dip": "the id of the entry of a dip",
    "minutes": "minutes, more than 0 and at most 1,440",
    "value": "a quantity, or its figure",
    "amount": "a quantity",
    "volume": "a quantity",
    "count": "a whole number from 1",
    "signs": "a list of signs",
    "note": "words on one line, up to 1,000 characters",
    "why": "words on one line, up to 1,000 characters",
    "task": "the id of a task",
}


def explain(error: ValidationError, text: str, *, tagged: bool = True) -> list[Fault]:
    """Each complaint about the line `text`, five at most. `tagged`: the paths to them begin with a kind."""
    details = error.errors(include_url=False)
    faults = [_one(detail, text, _path(detail["loc"], tagged)) for detail in details[: _MOST * 10]]
    meant = "".join(fault.hint for fault in faults if fault.code == "L706")
    # a misspelt key is one mistake: what is then missing is not told as another
    told = [fault for fault in faults if fault.code != "L707" or fault.message.split(" is ")[0] not in meant]
    return told[:_MOST]


def _path(steps: Sequence[str | int], tagged: bool) -> tuple[str, ...]:
    """The keys that lead to the place; the kind of an entry, which the library puts between them, is none."""
    keys, is_kind = [], tagged
    for step in steps:
        if not is_kind and isinstance(step, str):
            keys.append(step)
        is_kind = not is_kind and step == "instead"
    return tuple(keys)


def _one(detail: Any, text: str, path: tuple[str, ...]) -> Fault:
    kind, cause = detail["type"], detail.get("ctx", {}).get("error")
    last = path[-1] if path else "the entry"
    if isinstance(cause, Wrong):
        return Fault(cause.code, cause.message, cause.hint, cause.note, cause.part, path)
    if kind == "json_invalid":
        hint = "the line is kept as it is; write again with `pratique log` what it should have said"
        return Fault("L702", "the line is not an entry: it cannot be read as JSON", hint)
    if kind == "missing":
        return Fault("L707", f"{quoted(last)} is missing", f"it is {_wanted(last)}", path=path[:-1])
    if kind == "extra_forbidden":
        hint = near_hint(near_names(last, _known_keys(text)))
        return Fault("L706", f"unknown key {quoted(last)}", hint, _NEWER, path=path)
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return Fault("L705", "`instead` is not of a kind that can be read", "any kind but `correction`", path=path)
    if kind == "literal_error":
        expected = re.findall("'([^']*)'", detail["ctx"]["expected"])
        found = detail["input"]
        hint = "" if not isinstance(found, str) else near_hint(near_names(found, expected))
        message = f"{quoted(found)} is not a known word for {quoted(last)}"
        return Fault("L708", message, hint or "one of: " + ", ".join(f"`{word}`" for word in expected), path=path)
    return Fault("L708", f"{quoted(last)} cannot be read", f"it is {_wanted(last)}", path=path)


def _wanted(key: str) -> str:
    return _WANTED.get(key, "a name or words on one line, without signs that do not show")


def _known_keys(text: str) -> set[str]:
    """The keys of the kind that the line says it is."""
    found = re.search(r'"kind"\s*:\s*"([^"]*)"', text)
    model = KINDS.get(found[1]) if found else None
    return {field.alias or name for name, field in model.model_fields.items()} if model else set()
