"""Entries of the log as data: their own keys, with the words that would write them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from pratique.logbook.entry import Common
from pratique.logbook.say import spoken


def entry_json(entry: Common) -> dict[str, Any]:
    """As the line of the file, and `words`: what `pratique log` would write it from."""
    return {**entry.model_dump(mode="json", by_alias=True, exclude_none=True), "words": spoken(entry)}


def written_json(entries: Iterable[Common], effects: Sequence[str], *, saved: bool, unread: int) -> dict[str, Any]:
    """`unread`: lines of the log that cannot be read, and were left as they are."""
    return {
        "entries": [entry_json(entry) for entry in entries],
        "written": saved,
        "changes": list(effects),
        "unread_lines": unread,
    }


def list_json(entries: Iterable[Common], count: int) -> dict[str, Any]:
    """The last entries of `count` that were asked for."""
    return {"entries": [entry_json(entry) for entry in entries], "count": count, "written": False}
