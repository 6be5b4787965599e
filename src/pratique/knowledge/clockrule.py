"""The shape of a clock as it is declared: what starts it, counts, breaks and restarts it, each with who says so."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from pratique.knowledge.model import Known, NumbersField, Sourced, Statement

Effect = Literal[
    "counts", "ignored", "unknown", "stops", "restarts", "choice", "one-more", "longer", "gap", "note",
]  # fmt: skip


class ClockEvent(Statement):
    """What one kind of event does to the count; `only` names the agents it matters for, empty for all."""

    id: str
    effect: Effect
    only: tuple[str, ...] = ()


class ClockChoice(Statement):
    """A rule on which practice differs; the keeper chooses among `options`."""

    id: str
    options: tuple[str, ...]
    default: str

    @model_validator(mode="after")
    def _among_options(self) -> ClockChoice:
        if self.default not in self.options:
            raise ValueError(f"{self.default} is not among {self.options}")
        return self


class ClockRule(Known):
    """One clock. `by` has the numbers that hang on a treatment or an agent, by its id."""

    starts: tuple[Statement, ...]
    counts: tuple[Statement, ...]
    ends: tuple[Statement, ...]
    slack: tuple[Statement, ...]
    events: tuple[ClockEvent, ...]
    choices: tuple[ClockChoice, ...] = ()
    by: dict[str, NumbersField] = Field(default_factory=dict)

    def choice(self, id_: str) -> ClockChoice:
        """KeyError where there is no such choice."""
        found = next((choice for choice in self.choices if choice.id == id_), None)
        if found is None:
            raise KeyError(id_)
        return found

    def limit(self, subject: str, name: str) -> Sourced | None:
        """The first ranked value of `name` for a treatment or an agent, or None where there is none."""
        return next(iter(self.by.get(subject, {}).get(name, ())), None)

    def effects(self, subject: str = "") -> dict[str, Effect]:
        """Event to effect for an agent; what matters only for others is a `note`."""
        return {
            event.id: "note" if event.only and subject not in event.only else event.effect for event in self.events
        }

