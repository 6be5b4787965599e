"""A dip in the log: an entry when the fish goes in, so that nothing is lost, and one when it is out."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from pratique.logbook.amount import Quantity
from pratique.logbook.common import Common
from pratique.logbook.fields import Count, Ending, Id, Minutes, Name
from pratique.room.wrong import Wrong


class Dip(Common):
    """Animals that went into a vessel for minutes; an `out` says when they came out, and how it went.

    `batch` alone is all of it; `minutes` is the time that was meant, `tank` where they live, `product` and
    `amount` what went into the vessel.
    """

    kind: Literal["dip"] = "dip"
    treatment: Name
    batch: Name | None = None
    animals: tuple[Name, ...] = ()
    count: Count | None = None
    tank: Name | None = None
    minutes: Minutes | None = None
    product: Name | None = None
    amount: Quantity | None = None

    @model_validator(mode="after")
    def _whole(self) -> Dip:
        if self.batch is None and not self.animals:
            raise Wrong("L708", "nothing says who was dipped", "write `batch` or `animals`")
        if (self.product is None) != (self.amount is None):
            raise Wrong("L708", "`product` and `amount` go together", "write both, or neither")
        return self


class Out(Common):
    """The end of the dip with the id `dip`: after how many minutes, and whether it was cut short.

    `how`: `whole` for the time that was meant, `early` for less, `distress` at a stop sign.
    """

    kind: Literal["out"] = "out"
    dip: Id
    minutes: Minutes
    how: Ending = "whole"

    @model_validator(mode="after")
    def _of_another(self) -> Out:
        if self.dip == self.id:
            raise Wrong("L708", "the end of a dip cannot be its own beginning", "name the entry of the dip")
        return self
