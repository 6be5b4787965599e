"""`pratique check --json`."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import strict


@strict
class Result(TypedDict):
    """How many errors and warnings there are; they are the problems of the answer."""

    errors: int
    warnings: int
