"""`pratique day --json`."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import Day, strict
from pratique.export.shapes.plan import Task


@strict
class OneDay(TypedDict):
    """The tasks of a date, in the order of work."""

    date: Day
    tasks: list[Task]


@strict
class Result(TypedDict):
    """The days that were asked for."""

    days: list[OneDay]
