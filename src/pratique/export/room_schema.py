"""A JSON Schema of the room file, for editors that complete and check YAML while it is typed.

It takes what the program takes, as far as a schema can say it: keys, choices, lists. Whether `2.1 mg/L` can be read is
for `pratique check` to say.
"""

from __future__ import annotations

from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from pratique.export.schemas import DRAFT
from pratique.room.describe import example_of, form_of, owner_title
from pratique.room.model import RoomFile
from pratique.room.shape import keys_of

_WORDS = {"type": ["string", "number"]}
"""A name may look like a number, and a pH is one."""

_YES = {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no", "true", "false", "on", "off"]}]}


def room_schema() -> dict[str, Any]:
    """The schema of the whole file."""
    definitions: dict[str, Any] = {}
    _model(RoomFile, definitions)
    root = definitions.pop(RoomFile.__name__)
    return {"$schema": DRAFT, **root, "title": "a room file of pratique", "$defs": definitions}


def _model(model: type[BaseModel], definitions: dict[str, Any]) -> dict[str, Any]:
    """A reference to the model's keys, which are put among `definitions`."""
    name = model.__name__
    if name not in definitions:
        definitions[name] = {}
        keys = keys_of(model)
        definitions[name] = {
            "title": owner_title(model),
            "description": " ".join((model.__doc__ or "").split()),
            "type": "object",
            "additionalProperties": False,
            "required": [key for key, field in keys.items() if field.is_required()],
            "properties": {key: _field(field, definitions) for key, field in keys.items()},
        }
    return {"$ref": f"#/$defs/{name}"}


def _field(field: FieldInfo, definitions: dict[str, Any]) -> dict[str, Any]:
    schema = dict(_annotation(field.annotation, field.metadata, definitions))
    if field.description:
        schema["description"] = f"{field.description}. Written as {form_of(field)}"
    example = example_of(field)
    if example and example[0] not in "{[" and "$ref" not in schema:
        schema["examples"] = [example]
    return schema


def _annotation(annotation: Any, metadata: list[Any], definitions: dict[str, Any]) -> dict[str, Any]:
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _annotation(parts[0], [*parts[1:], *metadata], definitions)
    if origin in (Union, UnionType):
        return _annotation(next(part for part in parts if part is not NoneType), metadata, definitions)
    if origin is Literal:
        return {"enum": list(parts)}
    if origin is dict:
        return {"type": ["object", "null"], "additionalProperties": _annotation(parts[1], [], definitions)}
    if origin is tuple:
        inner = _annotation(parts[0], [], definitions)
        entries = {"type": "array", "items": inner}
        return entries if "$ref" in inner else {"anyOf": [entries, _WORDS]}
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return _model(annotation, definitions)
    return _YES if annotation is bool else _WORDS
