"""Slips that have a size of their own: the wrong gallon, the salt for the metal, a decimal place."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from pratique.figure import shown_unit
from pratique.knowledge import store
from pratique.knowledge.model import Treatment

COPPERS = ("copper-ionic", "copper-amine", "copper-chelated")


class Slip(NamedTuple):
    """A known slip: how many times too much (or too little) it gives, its sentence, the active it is of."""

    size: float
    text: str
    active: str = ""


SLIPS = (
    Slip(3.785411784, "3.785 × is mg per US gallon read as mg per litre"),
    Slip(4.54609, "4.546 × is mg per imperial gallon read as mg per litre"),
    Slip(1.20095, "1.2 × is the imperial gallon taken for the US gallon"),
    Slip(1 / 0.2545, "3.93 × is copper sulfate pentahydrate taken for copper", "copper"),
    Slip(1 / 0.398, "2.51 × is anhydrous copper sulfate taken for copper", "copper"),
    Slip(1 / 0.37, "2.7 × is formaldehyde by weight taken for the 37 % product by volume", "formalin"),
    Slip(1.08, "1.08 × is formalin counted by weight (1.08 g/mL) taken for formalin by volume", "formalin"),
    Slip(10.0, "10 × is a slip of the decimal point"),
    Slip(100.0, "100 × is a slip of two decimal places"),
    Slip(1000.0, "1000 × is one unit prefix (µg for mg, mg for g)"),
)
"""Exact unit definitions; mass fractions as in the record `substances` and the treatment `formalin-bath`."""

NEAR = 0.02
"""A ratio this near to a slip's size, either way, is taken for it."""

LARGE = 2.0
"""Slips under this size are not looked for in a reading: a level may really be that far off."""

ORDINARY = 1.2
"""A reading within a fifth of a level on the way is taken at its word."""


def named_slip(typed: float, meant: float, active: str = "copper", *, least: float = 1.0) -> str:
    """The known slip that turns `meant` into `typed` (or back), or nothing. Sizes are exact ratios, ± 2 %.

    Both levels in one unit; slips under `least` are passed over, and so are those of another active.

    >>> named_slip(0.5678, 0.15)
    '3.785 × is mg per US gallon read as mg per litre'
    """
    if typed <= 0 or meant <= 0:
        return ""
    ratio = max(typed / meant, meant / typed)
    slips = (slip for slip in _slips_of(active) if slip.size >= least)
    found = [slip for slip in slips if abs(ratio / slip.size - 1) <= NEAR]
    return min(found, key=lambda slip: abs(math.log(ratio / slip.size))).text if found else ""


def explain_level(level: float, treatment: Treatment, temperature: float | None = None) -> str:
    """Why a level outside the band of `treatment` may have been typed: another form's band, or a known slip.

    Every slip that lands the level inside the band is named, with the level that would then be meant.
    """
    return "; or ".join([*other_bands(level, treatment), *_slips_into(level, treatment, temperature)][:3])


def explain_reading(reading: float, plausible: Sequence[float], treatment: Treatment) -> str:
    """Why a reading may not be what it seems: a large slip off the level aimed for, or another form's band.

    `plausible` holds the levels on the way to the target, the target last; near one of them a reading is
    ordinary and nothing is said. All levels in the treatment's unit.
    """
    if any(1 / ORDINARY < reading / level < ORDINARY for level in plausible):
        return ""
    active = treatment.active if reading > plausible[-1] else ""  # a salt taken for its metal only reads more
    slip = named_slip(reading, plausible[-1], active, least=LARGE)
    named = [f"{slip}: then {plausible[-1]:.3g} {shown_unit(treatment.unit)} is meant"] if slip else []
    return "; or ".join([*other_bands(reading, treatment), *named])


def other_bands(level: float, treatment: Treatment) -> Iterator[str]:
    """The other copper forms in whose bands the level lies, as sentences."""
    if treatment.id not in COPPERS:
        return
    for other in COPPERS:
        band = store.treatment(other).needed("target")
        if other != treatment.id and band.low <= level <= band.high:
            ends = f"{band.low:g} to {band.high:g} {treatment.unit}"
            yield f"{level:g} {treatment.unit} lies in the band of `{other}` ({ends})"


def _slips_into(level: float, treatment: Treatment, temperature: float | None) -> Iterator[str]:
    target = treatment.needed("target", temperature)
    unit = shown_unit(treatment.unit)
    for size, text, _ in _slips_of(treatment.active):
        for meant in (level / size, level * size):
            if target.low * (1 - NEAR) <= meant <= target.high * (1 + NEAR):
                yield f"{text}: then {meant:.3g} {unit} is meant"


def _slips_of(active: str) -> Iterator[Slip]:
    return (slip for slip in SLIPS if slip.active in ("", active))
