"""The shapes of what signs may point to: causes that are no disease, circumstances, hosts, tempo, looks that decide."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import Field, model_validator

from pratique.knowledge.model import Confidence, Known, Record, SignWeight, read_figure

Weights = dict[str, SignWeight]
"""Agent or cause to how a sign or circumstance weighs for it."""


def _yes(data: Any, *keys: str) -> Any:
    """Yes and no, which the files hold as words, as truth values."""
    if not isinstance(data, Mapping):
        return data
    return {key: value == "yes" if key in keys and isinstance(value, str) else value for key, value in data.items()}


class Cause(Record):
    """What no parasite did; `water`: it is in the water of all. `look` is the look that settles it.

    `needs` are circumstances (`done.copper`): without one of them, or a reading, it is not weighed.
    """

    id: str
    title: str
    water: bool
    look: str
    needs: tuple[str, ...] = ()
    signs: dict[str, SignWeight]

    @model_validator(mode="before")
    @classmethod
    def _words(cls, data: Any) -> Any:
        return _yes(data, "water")


class Span(Record):
    """From a figure up to another (h, or cm for a size); an end that is not given is open."""

    unit: str
    low: float
    high: float

    @model_validator(mode="before")
    @classmethod
    def _figures(cls, data: Any) -> Any:
        if not isinstance(data, Mapping) or "unit" in data:
            return data
        ends = {key: read_figure(text) for key, text in data.items()}
        low, high = ends.get("from"), ends.get("below")
        unit = next(iter(ends.values())).unit
        return {"unit": unit, "low": low.value if low else 0.0, "high": high.value if high else float("1e12")}


class Choice(Record):
    """One answer about a circumstance, and what it says for and against each suspect."""

    id: str
    title: str
    words: tuple[str, ...] = ()
    span: Span | None = None
    weights: Weights = Field(default={})


class Circumstance(Record):
    """What surrounds the signs. `only_with`: signs without which it is not asked; `several`: choices may both hold."""

    id: str
    title: str
    ask: str
    choices: tuple[Choice, ...]
    only_with: tuple[str, ...] = ()
    several: bool = False

    @model_validator(mode="before")
    @classmethod
    def _words(cls, data: Any) -> Any:
        return _yes(data, "several")

    def choice(self, id_: str) -> Choice:
        """KeyError where there is none of that name."""
        return {choice.id: choice for choice in self.choices}[id_]

    def of_number(self, value: float) -> Choice | None:
        """The choice a typed number (h, or cm) falls into."""
        spans = ((choice, choice.span) for choice in self.choices)
        return next((choice for choice, span in spans if span is not None and span.low <= value < span.high), None)


class Host(Record):
    """A group or species (`of`) named to take an agent more, or less, than others."""

    agent: str
    of: str
    weight: Literal["more", "less"]
    text: str
    source: str
    where: str
    confidence: Confidence


class Tempo(Record):
    """How soon an agent may kill: `hours` at the worst, in words `text`."""

    agent: str
    hours: float
    text: str
    source: str
    where: str
    confidence: Confidence

    @model_validator(mode="before")
    @classmethod
    def _figure(cls, data: Any) -> Any:
        if isinstance(data, Mapping) and "soonest" in data:
            rest = {key: value for key, value in data.items() if key != "soonest"}
            return {**rest, "hours": read_figure(data["soonest"]).value}
        return data


class Shown(Record):
    """What a look shows of one suspect."""

    text: str
    source: str
    where: str
    confidence: Confidence


class Trial(Record):
    """A look or a trial that tells suspects apart."""

    id: str
    title: str
    note: str = ""
    source: str
    where: str
    confidence: Confidence
    shows: dict[str, Shown]


class Scoring(Known):
    """The points, and where readings stop to be fine; all of it in numbers with a source."""

    def points(self, name: str) -> int:
        """A number of points."""
        return round(self.needed(name).value)

    def of(self, name: str) -> float:
        """A figure in its canonical unit."""
        return self.needed(name).value
