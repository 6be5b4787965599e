"""`pratique book --json`."""

from __future__ import annotations

from typing import Literal

from typing_extensions import TypedDict

from pratique.export.shapes.common import Moment, Quantity, strict


@strict
class Stay(TypedDict):
    """One stage of a booking in its tanks, in the order the fish go through them."""

    name: str
    treatment: str
    tanks: list[str]
    start: Moment
    end: Moment


@strict
class Booked(TypedDict):
    """A wish that can come; `waits` counts from its earliest day."""

    wish: str
    arrives: Moment
    waits: Quantity
    moves: int
    regimen: str
    stages: list[Stay]
    end: Moment
    mixed_with: str | None
    left_behind: str | None


@strict
class Instead(TypedDict):
    """What would make a wish possible, and the booking it would give."""

    sort: Literal["later", "regimen", "tank"]
    what: str
    booked: Booked
    others_moved: list[str]


@strict
class Clash(TypedDict):
    """The smallest set that cannot be had together; `smallest` is false where the search could not tell."""

    wishes: list[str]
    limits: list[str]
    waters: list[str]
    taken_by: list[str]
    smallest: bool


@strict
class Broken(TypedDict):
    """A wish that cannot come as it is; `code` and `reason` where it could not whatever else is booked."""

    wish: str
    regimen: str
    code: str | None
    reason: str | None
    clash: Clash | None
    instead: list[Instead]


@strict
class Best(TypedDict):
    """How good the answer is; the least figures hold for any answer."""

    proven: bool
    waiting: Quantity
    moves: int
    least_broken: int
    least_waiting: Quantity


@strict
class Result(TypedDict):
    """The answer to all wishes."""

    booked: list[Booked]
    broken: list[Broken]
    best: Best
    not_looked_at: list[str]
