"""A look in the log: what was seen of the animals in a tank, by eye, under a microscope, or in a dead one."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from pratique.logbook.common import Common
from pratique.logbook.fields import Breaths, Count, Name, Words
from pratique.room.wrong import Wrong


class Look(Common):
    """Somebody looked: at all in `tank`, at a `batch`, or at one `animal` of it.

    `heads` were counted alive, `breaths` in a minute; `findings` are the words for what a microscope or an opened
    body showed; `signs` are signs of disease, none where none is named.
    """

    kind: Literal["look"] = "look"
    tank: Name | None = None
    batch: Name | None = None
    animal: Name | None = None
    heads: Count | None = None
    eating: bool | None = None
    breaths: Breaths | None = None
    signs: tuple[Name, ...] = ()
    how: Literal["eye", "microscope", "necropsy"] = "eye"
    findings: Words | None = None

    @model_validator(mode="after")
    def _whole(self) -> Look:
        if self.tank is None and self.batch is None:
            raise Wrong("L708", "nothing says where somebody looked", "write `tank` or `batch`")
        if (self.how == "eye") != (self.findings is None):
            raise Wrong("L708", "`how` and `findings` go together", "write what the microscope or the body showed")
        return self
