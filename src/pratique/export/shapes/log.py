"""`pratique log --json`: what was written, or the last entries."""

from __future__ import annotations

from typing import Any, TypeAlias

from typing_extensions import TypedDict

from pratique.export.shapes.common import strict


@strict
class Wrote(TypedDict):
    """The entries as they stand in the file (false in `written`: only tried), and what they change."""

    entries: list[dict[str, Any]]
    written: bool
    changes: list[str]
    unread_lines: int


@strict
class Listed(TypedDict):
    """The last of `count` entries."""

    entries: list[dict[str, Any]]
    count: int
    written: bool


Result: TypeAlias = Wrote | Listed
