"""`pratique signs --json`."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import Source, strict
from pratique.export.shapes.first import RunSheet


@strict
class Circumstance(TypedDict):
    """What was asked about besides signs; `found` says where the program found it itself."""

    id: str
    choice: str
    found: str | None


@strict
class Judged(TypedDict):
    """What a reading on record says for a cause in the water."""

    cause: str
    verdict: str
    text: str
    source: Source


@strict
class ReasonSource(TypedDict):
    """Who says so, and how sure it is."""

    key: str
    confidence: str


@strict
class Reason(TypedDict):
    """What speaks for or against it. Points are the program's own and no probabilities."""

    kind: str
    what: str
    weight: str | float
    points: float
    source: ReasonSource
    note: str | None


Fit = TypedDict(
    "Fit",
    {
        "id": str,
        "title": str,
        "fits": str,
        "points": float,
        "kills": str | None,
        "measured": bool,
        "for": list[Reason],
        "against": list[Reason],
    },
)
Fit.__doc__ = "One thing that fits what was seen, with every reason."
strict(Fit)


@strict
class Shown(TypedDict):
    """What a trial would show with one of them."""

    of: str
    text: str
    source: Source


@strict
class Apart(TypedDict):
    """A trial that would tell some of them apart."""

    trial: str
    title: str
    shows: list[Shown]


@strict
class Result(TypedDict):
    """What fits what was seen. `cover` are those to answer, in the order in which they may kill; it is no diagnosis."""

    tank: str
    seen: list[str]
    not_there: list[str]
    circumstances: list[Circumstance]
    affected: list[str]
    dying: list[str]
    dead: list[str]
    breaths_per_minute: float | None
    readings: list[Judged]
    first_causes: list[str]
    causes: list[Fit]
    fits: list[Fit]
    unspecific: bool | str
    apart: list[Apart]
    cover: list[str]
    water: list[str]
    not_read: list[str]
    log: str | None
    response: RunSheet | None
