"""`pratique release --json`."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, strict


@strict
class Condition(TypedDict):
    """A condition with its evidence; `met` is null where the record does not show it."""

    condition: str
    met: bool | None
    evidence: list[str]


@strict
class Match(TypedDict):
    """A figure of the water it is in against that of the water it would go into."""

    what: str
    unit: str
    here: float | None
    there: float | None
    difference: float | None


@strict
class Result(TypedDict):
    """May it go, and what is proven; `left` says how it left quarantine where it has."""

    batch: str
    answer: str
    earliest: MaybeMoment
    into: str | None
    left: str | None
    reasons: list[str]
    conditions: list[Condition]
    dips: list[str]
    not_proven: list[str]
    last_steps: list[str]
    match: list[Match]
