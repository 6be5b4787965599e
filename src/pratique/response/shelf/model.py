"""The shelf as plain data: what is there, what the plan takes and when, what is short, what an emergency needs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal

from pratique.figure import Figure
from pratique.knowledge.keeping import KitItem
from pratique.response.need import Need, Needs
from pratique.room.money import Price

Kind = Literal["product", "salt", "test"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """One thing that is used up. `have` is in `unit` (mL, g, tablet, test), None where nobody wrote how much there is.

    `last_day` is its last good day; `missing` says that it is not on the shelf at all.
    """

    kind: Kind
    name: str
    unit: str
    have: float | None
    what: str = ""
    last_day: dt.date | None = None
    price: Price | None = None
    missing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One coming use, in the unit of its supply; `amount` is None where only a reading on the day can say it."""

    kind: Kind
    name: str
    at: dt.datetime
    amount: float | None
    tank: str = ""
    text: str = ""
    task: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One supply against all its uses. `short` = `need` - `covered`, never below nought; None where it is not known:
    nobody wrote how much there is, or what is lacking has no amount before a reading or a good bottle.

    `unknown` uses have no amount before a reading. `runs_out` is the first use that is not covered; `expired` how much
    of the need falls after the last good day; `buy_by` the day to order on; `packs` and `cost` by a price on file.
    """

    supply: Supply
    uses: tuple[Use, ...]
    need: float
    covered: float
    short: float | None
    left: float | None
    unknown: int
    expired: float
    runs_out: dt.datetime | None
    buy_by: dt.date | None
    packs: int | None = None
    cost: Decimal | None = None

    @property
    def lacks(self) -> bool:
        """True where some use is not covered."""
        return bool(self.short) or self.supply.missing or self.runs_out is not None

    @property
    def first(self) -> dt.datetime | None:
        """The first use; None where the plan does not use it."""
        return self.uses[0].at if self.uses else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """Mixed water in one container: L, g/kg, days old (None: nobody wrote when it was made), and what it is busy with.

    `changed` is L of water changes in the log since it was made: the file may not know of them.
    """

    name: str
    litres: float
    salinity: float | None
    age: float | None
    busy: str
    changed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """One thing that a first response would need, the most of it over all `waters` (they are not ill at once)."""

    need: Need
    waters: tuple[str, ...]
    pathogens: tuple[str, ...]

    @property
    def short(self) -> Figure | None:
        """Need less what there is, never below nought; None where either is not counted."""
        need, have = self.need.need, self.need.have
        if need is None or (have is None and self.need.name):
            return None
        there = have.value if have is not None else 0.0
        return Figure.exact(max(need.value - there, 0.0), need.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class KitLine:
    """One thing of the emergency kit for this room. `there`: None where a room file does not list such things."""

    item: KitItem
    amount: Figure | None
    there: bool | None
    name: str = ""
    have: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """The whole answer at `at`. `until` is the end of the plan; `spent` money by the keeper's word for it;
    `tonight` has each water in which the fastest killer could not be answered, with what is missing."""

    at: dt.datetime
    until: dt.datetime | None
    delivery: float | None
    lines: tuple[Line, ...]
    containers: tuple[Container, ...]
    syringes: tuple[str, ...]
    wanted: tuple[Wanted, ...]
    kit: tuple[KitLine, ...]
    spent: Mapping[str, Decimal] = field(default_factory=dict)
    tonight: tuple[tuple[Needs, tuple[str, ...]], ...] = ()

    @property
    def unanswered(self) -> tuple[str, ...]:
        """What the fastest killer would find missing tonight in any water."""
        return tuple(dict.fromkeys(said for _, missing in self.tonight for said in missing))

    @property
    def short(self) -> tuple[Line, ...]:
        """What the plan will lack."""
        return tuple(line for line in self.lines if line.lacks)

    @property
    def lacking(self) -> tuple[Wanted, ...]:
        """What a first response would lack tonight."""
        return tuple(wanted for wanted in self.wanted if not wanted.need.enough)
