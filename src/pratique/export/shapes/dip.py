"""`pratique dip --json`."""

from __future__ import annotations

from typing import Literal, TypeAlias

from typing_extensions import TypedDict

from pratique.export.shapes.cleaning import Cleaning
from pratique.export.shapes.common import MaybeQuantity, Overridden, Quantity, Source, Step, strict


@strict
class Minutes(TypedDict):
    """The time in minutes, the shortest and longest in use, and the limit."""

    value: float
    low: float
    high: float
    ceiling: float


@strict
class Match(TypedDict):
    """What the vessel's water has to match."""

    temperature: MaybeQuantity
    ph: float
    salinity: str


@strict
class DipStep(TypedDict):
    """One act; `minute` counts from the moment the fish goes in, null where only the order matters."""

    phase: Literal["before", "in", "out", "after"]
    minute: float | None
    text: str
    source: str


Dip = TypedDict(
    "Dip",
    {
        "for": str,
        "treatment": str,
        "vessel": str,
        "water": Quantity,
        "product": str | None,
        "target": MaybeQuantity,
        "active": MaybeQuantity,
        "add": MaybeQuantity,
        "after": MaybeQuantity,
        "minutes": Minutes,
        "match": Match,
        "aerate_before_minutes": float,
        "steps": list[DipStep],
        "watch": list[str],
        "stop": list[str],
        "at_stop": list[str],
        "overridden": list[Overridden],
        "notes": list[str],
        "working": list[Step],
        "sources": list[Source],
    },
)
Dip.__doc__ = "The sheet of one dip or bath; the amounts are null for fresh water."
strict(Dip)
Result: TypeAlias = Dip | Cleaning
