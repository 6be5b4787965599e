"""What is published on how long a medicine stays in the water. Where nothing is, nothing is assumed."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.figure import Figure
from pratique.knowledge.model import Sourced, Statement, Treatment

WARNING = "never count on it lasting"
"""How a treatment's record begins its sentence on a medicine that goes by itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lasting:
    """`first`: the time after which a first dose was gone; `again`: the same where it had been dosed before.

    `said`: the sentence of a record that says it does not last.
    """

    first: Sourced | None
    again: Sourced | None
    said: Statement | None

    @property
    def fades(self) -> bool:
        """True for a medicine known to go by itself. False says nothing: of copper no figure is on file."""
        return self.first is not None or self.said is not None

    def gone_after(self, *, dosed_before: bool) -> Sourced | None:
        """The published time until none is left (h)."""
        return self.again or self.first if dosed_before else self.first


def lasting_of(treatment: Treatment) -> Lasting:
    """What the record of a treatment says on how long it lasts."""
    said = next((step for step in treatment.steps if step.text.startswith(WARNING)), None)
    return Lasting(first=treatment.number("persistence"), again=treatment.number("persistence_repeat"), said=said)


def level_by_figure(start: Figure, hours: float, gone: Sourced) -> Figure:
    """What may be left of `start` after `hours`, where only the time is known after which none is left.

    Up to that time it may be anything from nothing to all of it; the middle is a straight line (derived here, since
    no curve was published). After its latest end nothing is left.
    """
    if hours <= 0:
        return start
    left = max(1 - hours / gone.value, 0.0)
    high = start.high if hours < gone.high else 0.0
    return Figure(value=min(start.value * left, high), unit=start.unit, low=0.0, high=high)
