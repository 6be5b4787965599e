"""The demo's room, and what is understood of words typed in it."""

from __future__ import annotations

import datetime as dt
from functools import cache
from importlib import resources
from typing import Any

from pratique.logbook.entry import Common
from pratique.logbook.phrase import parse_entry
from pratique.logbook.scope import Scope
from pratique.room.load import load_room_text
from pratique.room.resolve import Room

TASKS = {3: "spring-tangs/transfers/transfer/1", 4: "spring-tangs/transfers/strip/1"}


def demo() -> str:
    return (resources.files("pratique.room") / "templates" / "demo.yaml").read_text("utf-8")


@cache
def room() -> Room:
    found, problems = load_room_text(demo())
    assert found is not None, problems
    return found


AT = dt.datetime(2027, 3, 8, 18, 30, tzinfo=dt.UTC)
COMMON = {"id", "at", "written", "by", "kind"}


def scope(**fields: Any) -> Scope:
    return Scope(**{"room": room(), "at": AT, "written": AT, "task_of": TASKS.get, **fields})


def understood(words: str, **fields: Any) -> list[Common]:
    found = parse_entry(words.split(" "), scope(**fields))
    assert found.problems == (), found.problems
    return list(found.entries)


def said(entry: Common) -> dict[str, Any]:
    """The fields of an entry that say something, quantities as their words."""
    data = entry.model_dump(by_alias=True, exclude_none=True, exclude=COMMON)
    return {key: value["text"] if isinstance(value, dict) else value for key, value in data.items() if value != ()}
