"""The thiosulfate that takes chlorine away. Volumes in L, levels in mg/L of chlorine.

Removing chloramine sets its ammonia free.
"""

from __future__ import annotations

from typing import Literal

from pratique.knowledge import store

Thiosulfate = Literal["pentahydrate", "anhydrous"]
"""The salt as weighed."""


def thiosulfate_for(chlorine: float, litres: float, form: Thiosulfate) -> float:
    """g of sodium thiosulfate that take all of `chlorine` (mg/L) from `litres`: 6 % over what the reaction needs.

    A little too much only costs oxygen, so aerate, and test to zero before fish. Source: PIPER82.

    >>> round(thiosulfate_for(200, 10, "pentahydrate"), 1)
    14.8
    """
    ratio = store.treatment("thiosulfate-neutralising").needed(f"{form}_per_chlorine")
    return chlorine * litres * ratio.value / 1000
