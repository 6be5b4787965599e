"""From a level to an amount and back, with every error at its worst. Works for mg/L and for µL/L alike."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.dosing.product import Active
from pratique.figure import Figure
from pratique.room.model import Kit
from pratique.room.resolve import Room


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


def best_kit(room: Room, form: str, *, near: float = 1.0, at: dt.datetime | None = None) -> tuple[str, Kit] | None:
    """The copper kit for this form with the least error at the level `near` (mg/L), those past their date left out.

    The name decides between equals.
    """
    kits = [(name, kit) for name, kit in room.written.kits.items() if kit.measures == "copper" and form in kit.forms]
    good = [(name, kit) for name, kit in kits if not is_past(kit, at)]
    return min(good, key=lambda entry: (_width(entry[1], near), entry[0]), default=None)


def is_past(kit: Kit, at: dt.datetime | None) -> bool:
    """True where the kit's date lies before the day of `at`."""
    return at is not None and kit.expires is not None and kit.expires.date < at.date()


def _width(kit: Kit, near: float) -> float:
    if kit.error is None and kit.resolution is None:
        return float("inf")
    found = read_with(kit, near, "mg/L")
    return found.high - found.low


def read_with(kit: Kit | None, value: float, unit: str) -> Figure:
    """A reading with the kit's error around it, never less than half its smallest step.

    Under the kit's limit the level may be anything from nothing up to that limit.
    """
    if kit is None:
        return Figure.exact(value, unit)
    half = kit.resolution.value / 2 if kit.resolution is not None else 0.0
    low, high = max(value - half, 0.0), value + half
    if kit.error is not None:
        least, most = kit.error.around(value)
        low, high = min(low, least), max(high, most)
    if kit.limit is not None and value < kit.limit.value:
        low, high = 0.0, max(high, kit.limit.value)
    return Figure(value=value, unit=unit, low=low, high=high)


def highest_reading(kit: Kit | None, limit: float) -> float:
    """The highest reading whose true level, at the top of the kit's error, is not above `limit`."""
    if kit is None:
        return limit
    by_step = limit - (kit.resolution.value / 2 if kit.resolution is not None else 0.0)
    if kit.error is None:
        return by_step
    return min(by_step, (limit - kit.error.absolute) / (1 + kit.error.share))
