"""What watching adds: how often a parasite that lives on comes back to the fish, and what of that goes unseen.

How often a round is seen by somebody who looks nobody has published. So no chance of the model counts it, and what is
told here is only what would follow from a share that the keeper believes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pratique.risk.chances import HIGH, LOW
from pratique.risk.course import Course
from pratique.risk.draws import Array, Draws, draws_of

SEEN = (1 / 20, 1 / 10, 1 / 4, 1 / 2)
"""Shares of rounds that somebody sees: not measured, tried."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounds:
    """How many rounds of one strain, on the fish and off it, fit into the watch: nine in ten draws lie between."""

    strain: str
    title: str
    low: float
    high: float

    def unseen(self, share: float) -> tuple[float, float]:
        """The chance (0 to 1) that nobody sees one of them, where each is seen with `share`: low and high end."""
        return (1 - share) ** self.high, (1 - share) ** self.low


def rounds(agent: str, course: Course) -> tuple[Rounds, ...]:
    """Of every strain, over the days of watching; none where the course has none.

    A line of descent that lives through the watch is on the fish at least so often: more at a time where it grows.
    """
    if not course.watched:
        return ()
    found = []
    for draws in draws_of(agent):
        low, high = (float(end) for end in np.percentile(_rounds(draws, course), (LOW, HIGH)))
        found.append(Rounds(strain=draws.strain.id, title=draws.strain.title, low=low, high=high))
    return tuple(found)


def _rounds(draws: Draws, course: Course) -> Array:
    whole = np.zeros(draws.count)
    for span in course.spans:
        if span.kind == "observation":
            degrees = (span.low + span.high) / 2 + draws.warmer * (span.high - span.low) / 2
            whole += span.hours / (np.exp(draws.stay.at(degrees)) + np.exp(draws.release.at(degrees)))
    return whole
