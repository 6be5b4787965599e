"""One amount of liquid by one syringe: which of the room's, to which mark, in how many draws."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pratique.figure import digits
from pratique.room.model import Syringe
from pratique.room.resolve import Room

LEAST_STEPS = 2
"""Fewer steps of a syringe than this are guessed, not read (D)."""

MOST_ERROR = 0.10
"""Share of an amount by which a syringe may miss it (D). The bands of copper are a sixth to a third wide."""

GOOD_ERROR = 0.05
"""Up to this error the syringe with the fewest draws is taken, not the finest one (D)."""

MOST_DRAWS = 10
"""Draws of a small syringe that somebody still counts rightly (D); more only with the largest there is."""

NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """`amount` mL in `count` equal draws of a syringe: the last mark that is not above what was worked out.

    `error` is half a step for each draw, `short` what is left out by going down to a mark.
    """

    name: str
    step: float
    count: int
    amount: float
    error: float
    short: float

    @property
    def miss(self) -> float:
        """mL by which it may fall short of the amount."""
        return self.error + self.short

    @property
    def text(self) -> str:
        """The amount with no more places than the syringe has."""
        return f"{self.amount:.{places_of(self.step)}f}"


def find_draw(room: Room, amount: float) -> Draw | None:
    """How `amount` mL is best measured with the room's syringes, or None where none of them can.

    It is rounded down to a mark, so that a syringe never adds more than was worked out.
    """
    good = [draw for draw in draws_of(room, amount) if _is_good(draw, amount)]
    easy = [draw for draw in good if draw.miss <= GOOD_ERROR * amount]
    if easy:
        return min(easy, key=lambda draw: (draw.count, draw.miss, draw.name))
    return min(good, key=lambda draw: (draw.miss, draw.count, draw.name), default=None)


def as_measured(room: Room, amount: float) -> float:
    """The mL that the syringes really give for `amount`; the amount itself where none of them can measure it."""
    while True:
        draw = find_draw(room, amount)
        if draw is None or draw.amount >= amount * (1 - NEAR):
            return amount
        amount = draw.amount


def draws_of(room: Room, amount: float) -> list[Draw]:
    """`amount` by each syringe that would not take too many draws; the largest may take any number."""
    syringes = room.written.syringes
    if amount <= 0 or not syringes:
        return []
    largest = max(syringe.volume.value for syringe in syringes.values())
    draws = [(_draw(name, syringe, amount), syringe.volume.value) for name, syringe in syringes.items()]
    return [draw for draw, holds in draws if draw.count <= MOST_DRAWS or holds == largest]


def _draw(name: str, syringe: Syringe, amount: float) -> Draw:
    step, holds = syringe.step.value * 1000, syringe.volume.value * 1000
    shown = math.floor(amount / step + NEAR) * step
    count = math.ceil(shown / holds - NEAR)
    return Draw(name=name, step=step, count=count, amount=shown, error=count * step / 2, short=max(amount - shown, 0.0))


def _is_good(draw: Draw, amount: float) -> bool:
    enough = amount >= LEAST_STEPS * draw.step * (1 - NEAR)
    return enough and draw.miss <= MOST_ERROR * amount * (1 + NEAR)


def places_of(step: float) -> int:
    """Decimals that a step in mL needs: 0 for 1, 1 for 0.2, 2 for 0.25."""
    return next((places for places in range(5) if math.isclose(round(step, places), step, rel_tol=1e-6)), 5)


def shown_mL(room: Room, amount: float) -> str:  # noqa: N802 (the unit's own letter)
    """`amount` mL no finer than the room's syringes can measure it."""
    draw = find_draw(room, amount)
    return f"{draw.text if draw is not None else digits(amount)} mL"
