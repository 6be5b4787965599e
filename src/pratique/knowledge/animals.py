"""Species, and what a fish of a length weighs. The groups they belong to stand in `model`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import model_validator

from pratique.knowledge.model import Confidence, Known, Record
from pratique.quantity import Measure


class Build(Known):
    """Groups of one build, and the numbers of W = factor × L^power: W in g, L in cm, nose to tail tip."""

    groups: tuple[str, ...]

    def mass(self, length: float) -> Measure:
        """The mass (g) of a fish `length` cm long, with the ends of its error, which are wide."""
        factor, power = self.needed("factor"), self.needed("power")
        value, low, high = (a * length**power.value for a in (factor.value, factor.low, factor.high))
        return Measure(value, "g", low, high)


class Species(Record):
    scientific: str
    names: tuple[str, ...]
    group: str
    jumps: bool = False
    source: str = "COMMON"
    confidence: Confidence = "C"

    @model_validator(mode="before")
    @classmethod
    def _words(cls, data: Any) -> Any:
        if isinstance(data, Mapping) and isinstance(data.get("jumps"), str):
            return {**data, "jumps": data["jumps"] == "yes"}
        return data
