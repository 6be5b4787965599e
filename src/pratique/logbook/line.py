"""One entry to one line of the file and back, and what is wrong with a line that is not an entry."""

from __future__ import annotations

import json
import re
from codecs import getincrementaldecoder
from collections.abc import Sequence
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from pratique.logbook.amount import Quantity, agrees
from pratique.logbook.entry import KINDS, Common, Correction, Entry, quantities
from pratique.logbook.faults import Fault, explain
from pratique.problem import near_hint, near_names, quoted

MOST_BYTES = 64 * 1024
"""More than the longest line any entry can have."""

_NEWER = "a newer version of the program may have written it; this version leaves the line as it is"


def to_line(entry: Common) -> bytes:
    """The entry as one line of JSON, without the line end."""
    return entry.model_dump_json(by_alias=True, exclude_none=True).encode()


@cache
def _adapter() -> TypeAdapter[Entry]:
    return TypeAdapter(Entry)


def read_line(raw: bytes) -> Common | Sequence[Fault]:
    """The entry in `raw` (a line without its end), or everything that is wrong with it."""
    try:
        entry = _adapter().validate_json(raw)
    except ValidationError as error:
        return _faults_before(raw) or explain(error, raw.decode("utf-8", "replace"))
    keys, doubts = len(entry.model_fields_set), []
    if isinstance(entry, Correction) and entry.instead is not None:
        keys += len(entry.instead.model_fields_set)
    for key, quantity, sort in quantities(entry):
        keys += len(quantity.model_fields_set)
        if not agrees(quantity, sort):
            doubts.append(_disagreement(key, quantity))
    if raw.count(b'":') != keys or b'" ' in raw or b'"\t' in raw or b'"\r' in raw:
        doubts = _faults_before(raw) or doubts  # a key may stand twice: keys are counted, unless they are spaced
    return doubts or entry


def _disagreement(key: str, quantity: Quantity) -> Fault:
    message = f"{quoted(quantity.text)} in `{key}` is not the {quantity.value:g} {quantity.unit} beside it"
    hint = "set the entry right with a new one; the words and the figure are written together"
    return Fault("L709", message, hint, part=quantity.text)


class _TwiceError(ValueError):
    pass


class _NotFiniteError(ValueError):
    pass


def _no_twins(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        raise _TwiceError(next(name for name in names if names.count(name) > 1))
    return found


def _not_finite(word: str) -> Any:
    raise _NotFiniteError(word)


def _faults_before(raw: bytes) -> list[Fault]:
    """What is wrong with the line before its keys are looked at; empty where it is an object of a known kind."""
    if len(raw) > MOST_BYTES:
        message = f"the line has more than {MOST_BYTES // 1024} kB, and no entry is as long"
        return [Fault("L703", message, "is it the right file? the line is kept as it is")]
    try:
        text = raw.decode()
        data = json.loads(text, object_pairs_hook=_no_twins, parse_constant=_not_finite)
    except _TwiceError as error:
        hint = "set the entry right with a new one, and take this one out of the file"
        return [Fault("L702", f"the key {quoted(error)} stands twice in one entry", hint, part=f'"{error}"')]
    except _NotFiniteError as error:
        return [Fault("L702", f"{quoted(error)} is not a number", "write what was measured", part=str(error))]
    except (ValueError, RecursionError) as error:
        return [_torn(raw) or _not_json(raw, error)]
    return _wrong_kind(data)


def _torn(raw: bytes) -> Fault | None:
    """A line that is the beginning of an entry, and nothing else."""
    begun = raw.rstrip(b"\0")  # what a file system leaves where the length was kept and the bytes were not
    try:
        text = getincrementaldecoder("utf-8")().decode(begun)  # a letter cut in the middle is left out
        json.loads(text)
        return None
    except json.JSONDecodeError as error:
        cut = error.msg.startswith("Unterminated string") or _CUT_TOKEN.fullmatch(text, error.pos) is not None
        if text[:1] not in ("{", "") or not cut:
            return None
    except (ValueError, RecursionError):
        return None
    message = "the line breaks off: it was being written when the power or the program stopped"
    hint = "see whether that entry is among the next ones, else write it again; the broken line may be deleted"
    return Fault("L701", message, hint, severity="warning")


_CUT_TOKEN = re.compile(r"|t|tr|tru|f|fa|fal|fals|n|nu|nul|-|\.|[eE][+-]?|\\?u[0-9a-fA-F]{0,4}")
"""What the decoder may stumble over at the end of a line that was cut: nothing, or a part of a word or number."""


def _not_json(raw: bytes, error: Exception) -> Fault:
    hint = "the line is kept as it is; write again with `pratique log` what it should have said"
    if isinstance(error, UnicodeDecodeError):
        column = len(raw[: error.start].decode()) + 1
        return Fault("L702", "the line has a byte that is not UTF-8", hint, column=column)
    if isinstance(error, json.JSONDecodeError):
        return Fault("L702", "the line is not an entry: it cannot be read as JSON", hint, column=error.colno)
    what = "too many brackets inside each other" if isinstance(error, RecursionError) else "too long a number"
    return Fault("L702", f"the line is not an entry: it has {what}", hint)


def _wrong_kind(data: Any) -> list[Fault]:
    if not isinstance(data, dict):
        return [Fault("L702", "the line is not an entry: it has no keys", 'an entry is such as `{"id": …, "kind": …}`')]
    if "kind" not in data:
        return [Fault("L707", "`kind` is missing", "the kinds: " + ", ".join(KINDS))]
    kind = data["kind"]
    if isinstance(kind, str) and kind in KINDS:
        return []
    word = kind if isinstance(kind, str) else json.dumps(kind)[:60]
    hint = near_hint(near_names(word, KINDS)) or f"the kinds this version knows: {', '.join(KINDS)}"
    written = json.dumps(kind, ensure_ascii=False)
    return [Fault("L705", f"unknown kind of entry {quoted(word)}", hint, note=_NEWER, part=written)]


def find_part(text: str, fault: Fault) -> tuple[int, int]:
    """Column (from 1) and width of what `fault` is about in the line `text`."""
    if fault.column:
        return fault.column, 1
    at = -1
    for key in fault.path:
        found = text.find(f'"{key}"', at + 1)
        if found < 0:
            break
        at = found
    if fault.part:
        found = text.find(fault.part, max(at, 0))
        if found >= 0:
            return found + 1, len(fault.part)
    if at >= 0:
        match = re.compile(r'"(?:[^"\\]|\\.)*"').match(text, at)
        return at + 1, len(match[0]) if match else 1
    return 1, max(len(text), 1)
