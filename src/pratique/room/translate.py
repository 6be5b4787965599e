"""The validator's complaints in our words, each at its place in the keeper's own text."""

from __future__ import annotations

import re
from typing import Any, get_args

from pydantic import ValidationError

from pratique.problem import Problem, longer_names, near_hint, near_names, quoted
from pratique.room.bottle_hints import active_sold_as
from pratique.room.describe import example_of
from pratique.room.document import Document, Path_
from pratique.room.elsewhere import name_there, where_it_belongs
from pratique.room.shape import fields_along, known_keys
from pratique.room.wrong import Wrong


def translate(document: Document, error: ValidationError) -> list[Problem]:
    """Every complaint of `error` as a Problem; unknown kinds get a general sentence, never the library's."""
    return [_one(document, detail) for detail in error.errors(include_url=False)]


def file_path(detail: Any) -> tuple[Path_, bool]:
    """The path in the file that a complaint is about, and whether it is about the name of an entry."""
    loc: Path_ = tuple(detail["loc"])
    about_name = len(loc) == 3 and loc[-1] == "[key]" and detail["type"] != "extra_forbidden"
    return (loc[:-1] if about_name else loc), about_name


def _one(document: Document, detail: Any) -> Problem:
    path, about_name = file_path(detail)
    kind, last = detail["type"], _last_word(path)
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, Wrong):
        place = document.place(path, key=about_name, word=cause.part)
        message = _in_context(cause, detail, path)
        return Problem(code=cause.code, message=message, places=(place,), note=cause.note, hint=cause.hint)
    if kind == "extra_forbidden":
        return _unknown_key(document, path)
    if kind == "literal_error":
        return _choice(document, path, detail)
    if kind == "missing":
        message, hint = f"{quoted(last)} is missing{_under(path)}", _line_to_add(document, path, last)
        return Problem(code="F112", message=message, places=(document.place(path),), hint=hint)
    places = (document.place(path, key=kind == "too_short"),)
    if kind == "too_short":
        message, hint = f"{quoted(last)} is empty", "write at least one entry"
        return Problem(code="F112", message=message, places=places, hint=hint)
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        hint = "write the keys below it, each on a line of its own"
        return Problem(code="F110", message=_stands(detail, path, "keys belong"), places=places, hint=hint)
    if kind in ("list_type", "tuple_type"):
        message = _stands(detail, path, "a list belongs")
        return Problem(code="F110", message=message, places=places, hint="begin each entry with `- `")
    hint = f"`pratique why F126` says more; the examples show how {quoted(last)} is written"
    return Problem(code="F126", message=f"{quoted(last)} cannot be read", places=places, hint=hint)


def _in_context(cause: Wrong, detail: Any, path: Path_) -> str:
    """The sentence of `cause`, which does not know which key it is about, made to stand alone."""
    if cause.code == "F110":
        return f"{cause.message}, in {quoted(_last_word(path))}"
    if cause.code == "F112" and isinstance(detail["input"], str):
        return _nothing_in(path)
    return cause.message


def _nothing_in(path: Path_) -> str:
    if isinstance(path[-1], int):
        return f"{quoted(_last_word(path))} has an empty entry"
    return f"{quoted(path[-1])} has nothing after its colon"


def _last_word(path: Path_) -> str:
    """The last step that the keeper wrote as a word."""
    return next((step for step in reversed(path) if isinstance(step, str)), "the file")


def _under(path: Path_) -> str:
    parents = [step for step in path[:-1] if isinstance(step, str)]
    return f" under {quoted(parents[-1])}" if parents else ""


def _stands(detail: Any, path: Path_, belongs: str) -> str:
    found = detail["input"]
    if not found:
        return _nothing_in(path)
    what = "a list stands" if isinstance(found, list) else "keys stand" if isinstance(found, dict) else ""
    return f"{what or f'{quoted(found)} stands'} where {belongs}, in {quoted(_last_word(path))}"


def _line_to_add(document: Document, path: Path_, last: str) -> str:
    field = next(reversed(tuple(fields_along(path))), None)
    choices = get_args(field.annotation) if field is not None else ()
    if choices and all(isinstance(word, str) for word in choices):  # an example is copied: a display became a ward
        return f"add a line `{last}:` with one of: " + ", ".join(f"`{word}`" for word in choices)
    example = name_there(document.data, last) or (example_of(field) if field is not None else "")
    return f"add a line such as `{last}: {example}`"


def _unknown_key(document: Document, path: Path_) -> Problem:
    """A slip of the pen is offered a near name; a key that has lost its way, its place."""
    known = known_keys(path[:-1])
    word = str(path[-1])
    near = near_names(word, known) or _begun(word, known)
    here = "known here: " + ", ".join(f"`{name}`" for name in known)
    note, hint = "", near_hint(near) or _meant(word, path, known) or here
    elsewhere = "" if hint != here and not near else where_it_belongs(path, document.data)
    if elsewhere and not any(name.startswith(word) or word.startswith(name) for name in near):
        note, hint = here, elsewhere
    places = (document.place(path, key=True),)
    message = f"unknown key {quoted(word)}{_under(path)}"
    return Problem(code="F111", message=message, places=places, note=note, hint=hint)


def _begun(word: str, known: list[str]) -> list[str]:
    """The names that begin with what was written: it was cut short."""
    return [name for name in longer_names(word, known) if name.startswith(word.lower())]


KEEPERS_WORDS = {
    "size": "volume", "gallons": "volume", "litres": "volume", "liters": "volume", "type": "use", "fish": "animals",
    "livestock": "animals", "height": "fill", "depth": "fill", "from": "source", "shop": "source",
}  # fmt: skip
"""What a keeper may call a key of ours, where that key is known and the word is not."""


def _meant(word: str, path: Path_, known: list[str]) -> str:
    """The key that is called otherwise here, with what it means; empty where none is known."""
    key = KEEPERS_WORDS.get(word.lower(), "")
    if key not in known:
        return ""
    field = next(reversed(tuple(fields_along((*path[:-1], key)))), None)
    return f"here that is `{key}`: {field.description}" if field is not None else ""


def _choice(document: Document, path: Path_, detail: Any) -> Problem:
    found, last = detail["input"], _last_word(path)
    expected = re.findall("'([^']*)'", detail["ctx"]["expected"])
    choices = "write one of: " + ", ".join(f"`{word}`" for word in expected)
    places = (document.place(path),)
    if isinstance(found, (dict, list)):
        message = _stands(detail, path, "one word belongs")
        return Problem(code="F110", message=message, places=places, hint=choices)
    if not str(found).strip():
        return Problem(code="F112", message=_nothing_in(path), places=places, hint=choices)
    sold_as = active_sold_as(str(found)) if last == "active" else ""
    hint = near_hint([sold_as] if sold_as else near_names(str(found), expected) or _begun(str(found), expected))
    hint = hint or choices
    message = f"{quoted(found)} is not a known word for {quoted(last)}"
    return Problem(code="F114", message=message, places=places, hint=hint)
