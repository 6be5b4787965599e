"""From a level to an amount and back, with every error at its worst. Works for mg/L and for µL/L alike."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.product import Active
from pratique.figure import Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """An amount of active (mg, or µL of 37 % formalin) in a water, and the level after it.

    `wanted` is what the level alone would ask for; `cut` says that `active` is less.
    """

    active: float
    after: Figure
    cut: bool
    wanted: float


def amount_for(level: float, *, before: Figure, water: Figure, strength: Active, ceiling: float | None) -> Added:
    """The active that takes `before` to `level` in `water` (L).

    Where a ceiling is known the amount is cut so that even the smallest water, the strongest bottle and the
    highest reading stay under it; `cut` then says so.
    """
    wanted = max(level - before.value, 0.0) * water.value
    amount = wanted
    if ceiling is not None:
        amount = min(amount, max(ceiling - before.high, 0.0) * water.low / (1 + strength.share_error))
        if amount < wanted * 1e-9:  # what rounding left of nothing
            amount = 0.0
    after = after_adding(amount, before, water, strength)
    return Added(active=amount, after=after, cut=amount < wanted * (1 - 1e-9), wanted=wanted)


def after_adding(active: float, before: Figure, water: Figure, strength: Active) -> Figure:
    """The level after `active` (mg, or µL of 37 % formalin) has been mixed into `water` (L)."""
    return Figure(
        value=before.value + active / water.value,
        unit=before.unit,
        low=before.low + active * max(1 - strength.share_error, 0.0) / water.high,
        high=before.high + active * (1 + strength.share_error) / water.low,
    )
