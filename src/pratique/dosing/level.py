"""From a level to an amount and back, with every error at its worst. Works for mg/L and for µL/L alike."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.product import Active
from pratique.figure import Figure
from pratique.room.model import Kit
from pratique.room.resolve import Room


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """An amount of active (mg, or µL of 37 % formalin) in a water, and the level after it."""

    active: float
    after: Figure
    cut: bool


def amount_for(level: float, *, before: Figure, water: Figure, strength: Active, ceiling: float | None) -> Added:
    """The active that takes `before` to `level` in `water`.

    Where a ceiling is known the amount is cut so that even the smallest water, the strongest bottle and the
    highest reading stay under it; `cut` then says so.
    """
    wanted = max(level - before.value, 0.0) * water.value
    amount = wanted
    if ceiling is not None:
        amount = min(amount, max(ceiling - before.high, 0.0) * water.low / (1 + strength.share_error))
    return Added(active=amount, after=after_adding(amount, before, water, strength), cut=amount < wanted * (1 - 1e-9))


def after_adding(active: float, before: Figure, water: Figure, strength: Active) -> Figure:
    """The level after `active` has been mixed into `water`."""
    return Figure(
        value=before.value + active / water.value,
        unit=before.unit,
        low=before.low + active * (1 - strength.share_error) / water.high,
        high=before.high + active * (1 + strength.share_error) / water.low,
    )


def best_kit(room: Room, form: str) -> tuple[str, Kit] | None:
    """The copper kit for this form with the least error; the name decides between equals."""
    kits = [(name, kit) for name, kit in room.written.kits.items() if kit.measures == "copper" and form in kit.forms]
    return min(kits, key=lambda entry: (_width(entry[1]), entry[0]), default=None)


def _width(kit: Kit) -> float:
    if kit.error is None:
        return float("inf")
    low, high = kit.error.around(1.0)
    return high - low


def read_with(kit: Kit | None, value: float, unit: str) -> Figure:
    """A reading with the kit's error around it; without a stated error, half its smallest step."""
    if kit is None:
        return Figure.exact(value, unit)
    if kit.error is not None:
        low, high = kit.error.around(value)
    else:
        half = kit.resolution.value / 2 if kit.resolution is not None else 0.0
        low, high = max(value - half, 0.0), value + half
    return Figure(value=value, unit=unit, low=low, high=high)
