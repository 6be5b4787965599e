"""`pratique why --json`."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import strict


@strict
class Rows(TypedDict):
    """A table: each row by the heads of its columns."""

    title: str
    rows: list[dict[str, str]]


@strict
class Sentences(TypedDict):
    """Sentences under a heading."""

    title: str
    lines: list[str]


@strict
class Facts(TypedDict):
    """Labels and their values."""

    title: str
    facts: dict[str, str]


@strict
class Result(TypedDict):
    """A page as data."""

    title: str
    parts: list[Rows | Sentences | Facts]
