"""The room file's models as a tree of keys: which keys may stand where, and which of them must."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from pratique.room.document import Path_
from pratique.room.model import RoomFile

NAME, ENTRY = "NAME", "-"
"""Steps that are no keys: the name the keeper gave an entry, and an entry of a list."""


@dataclass(frozen=True, slots=True)
class Home:
    """A place in the file where a key may stand: the steps down to it, whose key it is, and its field."""

    steps: tuple[str, ...]
    owner: type[BaseModel]
    key: str
    field: FieldInfo


def every_key(model: type[BaseModel] = RoomFile, steps: tuple[str, ...] = ()) -> Iterator[Home]:
    """Every key of the room file at every place where it may stand, each followed by those below it."""
    for key, field in keys_of(model).items():
        yield Home(steps, model, key, field)
        below = model_within(field.annotation)
        if below is not None:
            yield from every_key(below, (*steps, key, *_STEP_OF_ENTRY.get(get_origin(field.annotation), ())))


_STEP_OF_ENTRY: dict[Any, tuple[str, ...]] = {dict: (NAME,), tuple: (ENTRY,)}


def pattern_of(path: Path_) -> tuple[str, ...]:
    """The steps of a path in a file, as `every_key` gives them."""
    steps = zip(path, fields_along(path), strict=True)
    return tuple(str(step) if field is not None else ENTRY if isinstance(step, int) else NAME for step, field in steps)


def fields_along(path: Path_) -> Iterator[FieldInfo | None]:
    """For each step of `path` the field it names; None for an entry's name, an index, or no key at all."""
    for field, _ in _walk(path):
        yield field


def known_keys(path: Path_) -> list[str]:
    """The keys a room file may have at `path`."""
    models = [RoomFile, *(model for _, model in _walk(path))]
    return list(keys_of(models[-1])) if models[-1] is not None else []


def keys_of(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """Key as written in the file to its field."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def model_within(annotation: Any) -> type[BaseModel] | None:
    """The model of the value, or of the entries, that a field holds."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(model_within, get_args(annotation))), None)


def _walk(path: Path_) -> Iterator[tuple[FieldInfo | None, type[BaseModel] | None]]:
    """Each step's field, and the model whose keys stand below the step."""
    model: type[BaseModel] | None = RoomFile
    entries = False
    for step in path:
        field = None
        if entries:
            entries = False
        else:
            field = keys_of(model).get(str(step)) if model is not None else None
            model = model_within(field.annotation) if field is not None else None
            entries = field is not None and get_origin(field.annotation) in (dict, tuple)
        yield field, model
