"""What every part of the room file's shape is made of: strict models, lists, and maps of entries."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict

from pratique.problem import quoted
from pratique.room.wrong import Wrong


@dataclass(frozen=True, slots=True)
class Form:
    """How a value is written, for the page of its key: in words, and one example."""

    words: str
    example: str


class Written(BaseModel):
    """Keys of the room file. `title` says whose they are; each field describes itself (`describe` shows both)."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


def read_list(value: Any) -> Any:
    """A list, or words with commas on one line."""
    if isinstance(value, Mapping):
        raise Wrong("F110", "keys stand where a list belongs", "begin each entry with `- `")
    if isinstance(value, str):
        return [part.strip() for part in value.split(",") if part.strip()]
    return value


def read_entries(value: Any) -> Any:
    """A list of maps."""
    if isinstance(value, str) and value.strip():
        hint = "begin each entry with `- ` on a line of its own"
        raise Wrong("F110", f"{quoted(value)} stands where a list belongs", hint)
    return read_list(value)


def read_map(value: Any) -> Any:
    if isinstance(value, list):
        hint = "write a name and a colon, and the keys below it, without `- `"
        raise Wrong("F110", "a list stands where keys belong", hint)
    if isinstance(value, str):
        if value.strip():
            hint = "write the keys below it, each on a line of its own"
            raise Wrong("F110", f"{quoted(value)} stands where keys belong", hint)
        return {}
    return value
