"""Chlorine for gear and tanks, and the thiosulfate that takes it away. Volumes in L, levels in mg/L of chlorine.

Bleach strength is % w/v: g in 100 mL. A label states it as chlorine or as sodium hypochlorite; 5.25 % of the
latter is 5.00 % of the former. Removing chloramine sets its ammonia free.
"""

from __future__ import annotations

from typing import Literal

from pratique.figure import Figure
from pratique.knowledge import store

StatedAs = Literal["chlorine", "hypochlorite"]
Thiosulfate = Literal["pentahydrate", "anhydrous"]
"""The salt as weighed."""
Ratio = Literal["book", "reaction"]
"""mg of the salt for each mg of chlorine: a hatchery book's, 6 % over what the reaction needs, or just that."""

_MG_PER_ML = 10.0  # one percent w/v


def bleach_for(level: float, litres: float, strength: float, stated_as: StatedAs = "chlorine") -> float:
    """mL of bleach of `strength` (% w/v) that take `litres` to `level` (mg/L of chlorine).

    ValueError where the bleach is not stronger than nothing. Source: arithmetic; DERIVED (atomic weights).

    >>> round(bleach_for(200, 1, 5.25), 2)
    3.81
    """
    if strength <= 0:
        raise ValueError("a bleach without strength reaches no level")
    return level * litres / (strength * _MG_PER_ML * _chlorine_part(stated_as))


def diluted(strength: float, parts: float) -> float:
    """mg/L in a mixture of one part of `strength` (% w/v) in `parts` parts in all. ValueError below one part.

    >>> diluted(5.25, 10)
    5250.0
    """
    if parts < 1:
        raise ValueError(f"one part in {parts:g} is no dilution")
    return strength * _MG_PER_ML * 1000 / parts


def thiosulfate_for(
    chlorine: Figure, litres: Figure, form: Thiosulfate = "pentahydrate", ratio: Ratio = "book"
) -> Figure:
    """g of sodium thiosulfate that take all of `chlorine` (mg/L) from `litres`.

    Weigh the high end where chlorine must be gone: a little too much only costs oxygen, so aerate, and test to
    zero before fish. Source: PIPER82 (`book`), DERIVED (`reaction`, 2 mol to 1 mol of Cl2).

    >>> round(thiosulfate_for(Figure.exact(200, "mg/L"), Figure.exact(10, "L")).value, 1)
    14.8
    """
    grams = _parts(form, ratio) / 1000
    low, high = chlorine.low * litres.low * grams, chlorine.high * litres.high * grams
    return Figure.around(chlorine.value * litres.value * grams, "g", low, high)


def chlorine_of_titrant(millilitres: float, normality: float) -> float:
    """mg of chlorine that `millilitres` of thiosulfate solution of `normality` (mol/L) answer to.

    >>> round(chlorine_of_titrant(1, 0.1), 3)
    3.545
    """
    return millilitres * normality * _number("mass_chlorine") / 2


def _parts(form: Thiosulfate, ratio: Ratio) -> float:
    """mg of the salt for each mg of chlorine; the competing values differ by who says so."""
    said_by = "PIPER82" if ratio == "book" else "DERIVED"
    ranked = store.treatment("thiosulfate-neutralising").numbers[f"{form}_per_chlorine"]
    return next(number.value for number in ranked if number.source == said_by)


def _number(name: str) -> float:
    return store.water_figures().needed(name).value


def _chlorine_part(stated_as: StatedAs) -> float:
    return 1.0 if stated_as == "chlorine" else store.substances()["sodium-hypochlorite"].fraction
