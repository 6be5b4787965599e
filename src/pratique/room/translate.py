"""The validator's complaints in our words, each at its place in the keeper's own text."""

from __future__ import annotations

from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from pratique.problem import Problem, near_names
from pratique.room.fields import Wrong
from pratique.room.model import RoomFile
from pratique.room.read import Document, Path_


def translate(document: Document, error: ValidationError) -> list[Problem]:
    """Every complaint of `error` as a Problem; unknown kinds get a general sentence, never the library's."""
    return [_one(document, detail) for detail in error.errors(include_url=False)]


def _one(document: Document, detail: Any) -> Problem:
    path: Path_ = tuple(step for step in detail["loc"] if step != "[key]")
    is_key = "[key]" in detail["loc"]
    kind = detail["type"]
    last = str(path[-1]) if path else "the file"
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, Wrong):
        place = document.place(path, key=is_key)
        return Problem(code=cause.code, message=cause.message, places=(place,), note=cause.note, hint=cause.hint)
    if kind == "extra_forbidden":
        return _unknown_key(document, path, last)
    if kind == "missing":
        place = document.place(path)
        return Problem(code="F112", message=f"`{last}` is missing{_under(path)}", places=(place,), hint=_line_to_add(path, last))
    if kind == "literal_error":
        return _choice(document, path, detail)
    if kind == "too_short":
        return Problem(code="F112", message=f"`{last}` is empty", places=(document.place(path, key=True),), hint="write at least one entry")
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        hint = "write the keys below it, each on its own line, without `- `"
        return Problem(code="F110", message=f"`{last}` should be a map of keys", places=(document.place(path),), hint=hint)
    if kind in ("list_type", "tuple_type"):
        return Problem(code="F110", message=f"`{last}` should be a list", places=(document.place(path),), hint="begin each entry with `- `")
    return Problem(code="F126", message=f"`{last}` cannot be read", places=(document.place(path),), hint=f"`pratique why F126`; the examples show how `{last}` is written")


def _under(path: Path_) -> str:
    parents = [str(step) for step in path[:-1] if isinstance(step, str)]
    return f" under `{parents[-1]}`" if parents else ""


def _line_to_add(path: Path_, last: str) -> str:
    example = EXAMPLES.get(last)
    return f"add a line such as `{last}: {example}`" if example else f"add `{last}:`"


EXAMPLES = {
    "time_zone": "Europe/Lisbon",
    "use": "ward",
    "tank": "display",
    "species": "ocellaris clownfish",
    "trust": "untrusted",
    "arrives": "2027-03-05T18:00",
    "strength": "10 mg/mL as Cu",
    "active": "copper",
    "measures": "copper",
    "reason": "why this and not the default",
    "from": "2027-03-12",
    "to": "2027-03-14",
    "treatment": "copper-chelated",
}


def _unknown_key(document: Document, path: Path_, last: str) -> Problem:
    known = known_keys(path[:-1])
    near = near_names(last, known)
    if near:
        hint = "did you mean " + " or ".join(f"`{name}`" for name in near) + "? nothing was changed"
    else:
        hint = "known here: " + ", ".join(known) if known else ""
    return Problem(code="F111", message=f"unknown key `{last}`", places=(document.place(path, key=True),), hint=hint)


def known_keys(path: Path_) -> list[str]:
    """The keys a room file may have at `path` (indices and names of entries walked through)."""
    model: Any = RoomFile
    for step in path:
        if isinstance(model, type) and issubclass(model, BaseModel):
            field = next((f for name, f in model.model_fields.items() if step in (name, f.alias)), None)
            if field is None:
                return []
            model = _inner(field.annotation)
        # a name of an entry, or an index: the model stays that of the entries
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        return []
    return [f.alias or name for name, f in model.model_fields.items()]


def _inner(annotation: Any) -> Any:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in get_args(annotation):
        found = _inner(part)
        if found is not None:
            return found
    return None


def _choice(document: Document, path: Path_, detail: Any) -> Problem:
    text = str(detail.get("input", ""))
    last = str(path[-1]) if path else ""
    expected = [part.strip().strip("'") for part in str(detail["ctx"]["expected"]).replace(" or ", ", ").split(",")]
    if isinstance(detail.get("input"), dict | list):
        return Problem(code="F110", message=f"`{last}` should be one word", places=(document.place(path, key=True),), hint="one of: " + ", ".join(expected))
    near = near_names(text, expected)
    hint = "one of: " + ", ".join(expected)
    if near:
        hint = "did you mean " + " or ".join(f"`{name}`" for name in near) + "? nothing was changed"
    what = last if isinstance(path[-1], str) else str(path[-2]) if len(path) > 1 else last
    return Problem(code="F114", message=f"`{text[:60]}` is not a known `{what}`", places=(document.place(path),), hint=hint)
