"""What may not meet: the shape of a row of interlocks.yaml."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from pratique.knowledge.model import Confidence, Record


class Interlock(Record):
    """Two things that may not meet: a treatment, and what it meets in the water, the fish or the room.

    `override` says of every block whether a keeper may set it aside, `never_with` for which of its treatments not.
    """

    code: str
    treatments: tuple[str, ...]
    meets: str
    verdict: Literal["block", "warn"]
    override: Literal["yes", "no", ""] = ""
    never_with: tuple[str, ...] = ()
    message: str
    reason: str
    instead: str
    source: str
    where: str
    confidence: Confidence

    @model_validator(mode="after")
    def _says_whether(self) -> Interlock:
        if (self.verdict == "block") != bool(self.override):
            raise ValueError(f"{self.code}: `override` stands on a block, and on nothing else")
        if self.never_with and self.override != "yes":
            raise ValueError(f"{self.code}: `never_with` goes with `override: yes`")
        return self

    def yields_to_reason(self, treatment: str) -> bool:
        """True where a keeper may set this block aside for `treatment`, with a reason."""
        return self.override == "yes" and treatment not in self.never_with
