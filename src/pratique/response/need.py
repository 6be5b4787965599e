"""What a first response would need, item by item: plain data."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Literal

from pratique.figure import Figure

NeedKind = Literal["product", "mixed water", "salt", "tank", "vessel", "gear", "test", "syringe"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """One thing. `need` and `have` are None where the thing is not counted, or where nobody wrote how much there is.

    `name` is the entry of the room file that serves, empty where none does; `treatment` what a product is for;
    `measure` what a test is for;
    `active` mg of it (µL of 37 % for formalin); `enough` whether tonight's work can be done with what there is.
    """

    kind: NeedKind
    what: str
    why: str
    enough: bool
    need: Figure | None = None
    have: Figure | None = None
    name: str = ""
    treatment: str = ""
    measure: str = ""
    active: Figure | None = None
    buy: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """All of it for one water and one agent. `tank` is where the fish would go, empty where there is no tank for it."""

    water: str
    pathogen: str
    at: dt.datetime
    tank: str
    items: tuple[Need, ...]

    @property
    def short(self) -> tuple[Need, ...]:
        """What tonight's work would lack."""
        return tuple(item for item in self.items if not item.enough)

    def of(self, kind: NeedKind) -> tuple[Need, ...]:
        """The items of one kind."""
        return tuple(item for item in self.items if item.kind == kind)
