"""JSON Schemas (2020-12) of every JSON answer, made from the shapes; they go out with the program, and in the docs.

A test makes them anew and compares (`--golden` writes them), and holds many answers against them.
"""

from __future__ import annotations

import importlib
import json
from collections.abc import Iterator
from importlib import resources
from typing import Any

DRAFT = "https://json-schema.org/draft/2020-12/schema"
PUBLISHED = "schemas"


def answer_schema(command: str) -> dict[str, Any]:
    """The schema of what `pratique COMMAND --json` prints. KeyError where the command has no shape."""
    from pydantic import TypeAdapter

    from pratique.export.shapes.common import Answer

    if command not in commands():
        raise KeyError(command)
    result = importlib.import_module(f"pratique.export.shapes.{command}").Result
    schema = TypeAdapter(Answer).json_schema(mode="serialization")
    inner = TypeAdapter(result).json_schema(mode="serialization")
    definitions = {**schema.pop("$defs", {}), **inner.pop("$defs", {})}
    schema["properties"]["command"] = {"const": command}
    schema["properties"]["result"] = {"anyOf": [inner, {"type": "null"}]}
    title = f"pratique {command} --json"
    return {"$schema": DRAFT, **_without_titles(schema), "title": title, "$defs": _without_titles(definitions)}


def commands() -> tuple[str, ...]:
    """Commands whose answers have a shape."""
    folder = resources.files("pratique.export") / "shapes"
    parts = ("common", "cleaning", "evidence", "first", "__init__")
    names = (file.name.removesuffix(".py") for file in folder.iterdir() if file.name.endswith(".py"))
    return tuple(sorted(name for name in names if name not in parts))


def _without_titles(schema: Any, *, named: bool = False) -> Any:
    """Titles that only repeat a key say nothing; a key that is called `title` stays."""
    if isinstance(schema, dict):
        return {
            key: _without_titles(value, named=not named and key in ("properties", "$defs"))
            for key, value in schema.items()
            if named or key != "title" or not isinstance(value, str)
        }
    return [_without_titles(entry) for entry in schema] if isinstance(schema, list) else schema


def every_schema() -> Iterator[tuple[str, dict[str, Any]]]:
    """File name to schema: one for each command, and that of the room file."""
    from pratique.export.room_schema import room_schema

    for command in commands():
        yield f"{command}.json", answer_schema(command)
    yield "room-file.json", room_schema()


def schema_text(schema: dict[str, Any]) -> str:
    """As it stands in its file."""
    return json.dumps(schema, ensure_ascii=False, indent=1, sort_keys=False) + "\n"


def published(name: str) -> str:
    """The text of a schema as it went out with the program, such as `room-file.json`."""
    return (resources.files("pratique.export") / PUBLISHED / name).read_text("utf-8")
