"""What a keeper writes down, one entry a line: its kinds are told apart by `kind`.

An entry says what happened and nothing of what follows from it. None is ever changed or deleted: a
`correction` names an earlier entry by its id and says what should have stood there, or that nothing should.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field, model_validator

from pratique.logbook.amount import Quantity, Sort
from pratique.logbook.common import Common as Common
from pratique.logbook.dipped import Dip as Dip
from pratique.logbook.dipped import Out as Out
from pratique.logbook.fields import Count, Id, Name, TaskId, Thing, Words
from pratique.logbook.looked import Look as Look
from pratique.room.model import Measured
from pratique.room.wrong import Wrong


class Reading(Common):
    """What a test or an instrument showed."""

    kind: Literal["reading"] = "reading"
    tank: Name
    what: Measured
    value: Quantity
    kit: Name | None = None


class Dose(Common):
    """An amount of a product (mL, g or tablets) put into a tank, or into new water meant for it."""

    kind: Literal["dose"] = "dose"
    tank: Name
    treatment: Name | None = None
    product: Name
    amount: Quantity
    into: Literal["tank", "new-water"] = "tank"


class WaterChange(Common):
    """Water taken out and replaced: litres or a percentage, and what the new water held."""

    kind: Literal["change"] = "change"
    tank: Name
    volume: Quantity
    product: Name | None = None
    amount: Quantity | None = None

    @model_validator(mode="after")
    def _both(self) -> WaterChange:
        if (self.product is None) != (self.amount is None):
            raise Wrong("L708", "`product` and `amount` go together", "write both, or neither")
        return self


class TopOff(Common):
    """Fresh water for what evaporated."""

    kind: Literal["top-off"] = "top-off"
    tank: Name
    volume: Quantity


class Move(Common):
    """A batch, some animals, or things that were in one water and are now in another.

    `batch` alone is all of it; with `animals`, those of the batch. `from` is left out where it is plain.
    """

    kind: Literal["move"] = "move"
    batch: Name | None = None
    animals: tuple[Name, ...] = ()
    things: tuple[Thing, ...] = ()
    from_: Name | None = Field(default=None, alias="from")
    to: Name
    count: Count | None = None

    @model_validator(mode="after")
    def _whole(self) -> Move:
        if self.batch is None and not self.animals and not self.things:
            raise Wrong("L708", "nothing says what was moved", "write `batch`, `animals` or `things`")
        if self.from_ == self.to:
            raise Wrong("L736", f"`{self.to}` is both where it came from and where it went", "name two tanks")
        return self


class Arrival(Common):
    """A batch that came, and the tank it went into."""

    kind: Literal["arrival"] = "arrival"
    batch: Name
    tank: Name


class Death(Common):
    """Animals that died, of `batch` where the name alone does not say which."""

    kind: Literal["death"] = "death"
    tank: Name
    animal: Name
    batch: Name | None = None
    count: Count = 1


class Found(Common):
    """An animal seen alive where none was thought to be, whether or not it is in the room file."""

    kind: Literal["found"] = "found"
    tank: Name
    animal: Name
    count: Count = 1


class Sign(Common):
    """Signs of disease seen in a tank, on `animal` where it could be told."""

    kind: Literal["sign"] = "sign"
    tank: Name
    animal: Name | None = None
    batch: Name | None = None
    signs: Annotated[tuple[Name, ...], Field(min_length=1, max_length=60)]
    count: Count | None = None


class Fed(Common):
    """Food given; `treatment` where it was a medicine."""

    kind: Literal["fed"] = "fed"
    tank: Name
    food: Words | None = None
    treatment: Name | None = None


class Done(Common):
    """A task of the plan that was done."""

    kind: Literal["done"] = "done"
    task: TaskId


class Skipped(Common):
    """A task of the plan that will not be done, and why."""

    kind: Literal["skipped"] = "skipped"
    task: TaskId
    why: Words | None = None


class GearUse(Common):
    """A set of gear that was wet in a tank."""

    kind: Literal["gear"] = "gear"
    gear: Name
    tank: Name


class _GearOrTank(Common):
    tank: Name | None = None
    gear: Name | None = None

    @model_validator(mode="after")
    def _one(self) -> _GearOrTank:
        if (self.tank is None) == (self.gear is None):
            raise Wrong("L708", "it has to be one tank or one set of gear", "write `tank` or `gear`")
        return self


class Cleaned(_GearOrTank):
    """A tank or a set of gear that was scrubbed, disinfected and rinsed."""

    kind: Literal["cleaned"] = "cleaned"


class Dried(_GearOrTank):
    """A tank or a set of gear that is visibly dry: the hours of drying count from here."""

    kind: Literal["dried"] = "dried"


class Opened(Common):
    """A bottle opened for the first time."""

    kind: Literal["opened"] = "opened"
    product: Name


class Bought(Common):
    """More of a product on the shelf."""

    kind: Literal["bought"] = "bought"
    product: Name
    amount: Quantity


class Spoiled(Common):
    """A product lost or past use: `amount` of it, or all."""

    kind: Literal["spoiled"] = "spoiled"
    product: Name
    amount: Quantity | None = None


class Note(Common):
    """Words worth keeping, about `tank` or about the room."""

    kind: Literal["note"] = "note"
    tank: Name | None = None
    note: Words


Event = Annotated[
    Reading
    | Dose
    | WaterChange
    | TopOff
    | Move
    | Arrival
    | Death
    | Found
    | Sign
    | Fed
    | Look
    | Dip
    | Out
    | Done
    | Skipped
    | GearUse
    | Cleaned
    | Dried
    | Opened
    | Bought
    | Spoiled
    | Note,
    Field(discriminator="kind"),
]
"""Anything but a correction."""


class Correction(Common):
    """`instead` is the entry `of` as it should have been written, whole; without it, `of` is withdrawn."""

    kind: Literal["correction"] = "correction"
    of: Id
    instead: Event | None = None
    why: Words | None = None

    @model_validator(mode="after")
    def _of_another(self) -> Correction:
        if self.of == self.id:
            raise Wrong("L708", "a correction cannot be of itself", "name the entry it corrects")
        if self.instead is not None and self.instead.id != self.of:
            raise Wrong("L708", "`instead` has to have the id in `of`", "write the same id in both")
        return self


Entry = Annotated[Event | Correction, Field(discriminator="kind")]

_MODELS: tuple[type[Common], ...] = (
    Reading, Dose, WaterChange, TopOff, Move, Arrival, Death, Found, Sign, Fed, Look, Dip, Out, Done, Skipped, GearUse,
    Cleaned, Dried, Opened, Bought, Spoiled, Note, Correction,
)  # fmt: skip
KINDS: dict[str, type[Common]] = {model.model_fields["kind"].default: model for model in _MODELS}
"""Kind to the model of its entries."""


def quantities(entry: Common) -> Iterator[tuple[str, Quantity, Sort]]:
    """Each quantity in `entry` with its key and the way it is read."""
    match entry:
        case Reading():
            yield "value", entry.value, entry.what
        case WaterChange():
            yield "volume", entry.volume, "share"
            if entry.amount is not None:
                yield "amount", entry.amount, "amount"
        case TopOff():
            yield "volume", entry.volume, "volume"
        case Dose() | Bought():
            yield "amount", entry.amount, "amount"
        case Spoiled() | Dip() if entry.amount is not None:
            yield "amount", entry.amount, "amount"
        case Correction() if entry.instead is not None:
            yield from quantities(entry.instead)
        case _:
            return
