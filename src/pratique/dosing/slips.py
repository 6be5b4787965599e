"""Slips that have a size of their own: the wrong gallon, the salt for the metal, a decimal place."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.knowledge import store
from pratique.knowledge.model import Treatment

SLIPS = (
    (3.785411784, "3.785 × is mg per US gallon read as mg per litre"),
    (4.54609, "4.546 × is mg per imperial gallon read as mg per litre"),
    (1.20095, "1.2 × is the imperial gallon taken for the US gallon"),
    (1 / 0.2545, "3.93 × is copper sulfate pentahydrate taken for copper"),
    (1 / 0.398, "2.51 × is anhydrous copper sulfate taken for copper"),
    (10.0, "10 × is a slip of the decimal point"),
    (100.0, "100 × is a slip of two decimal places"),
    (1000.0, "1000 × is one unit prefix (µg for mg, mg for g)"),
)
NEAR = 0.02


def named_slip(typed: float, meant: float) -> str:
    """The known slip that turns `meant` into `typed` (or back), or nothing. Sizes are exact ratios, ± 2 %.

    >>> named_slip(0.5678, 0.15)
    '3.785 × is mg per US gallon read as mg per litre'
    """
    if typed <= 0 or meant <= 0:
        return ""
    ratio = typed / meant
    for size, text in SLIPS:
        if abs(ratio / size - 1) <= NEAR or abs(ratio * size - 1) <= NEAR:
            return text
    return ""


def explain_level(level: float, treatment: Treatment, temperature: float | None = None) -> str:
    """Why a level outside the band of `treatment` may have been typed: another form's band, or a known slip.

    Every slip that lands the level inside the band is named, with the level that would then be meant.
    """
    return "; or ".join([*_other_bands(level, treatment), *_slips_into(level, treatment, temperature)][:3])


def _other_bands(level: float, treatment: Treatment) -> Iterator[str]:
    if not treatment.id.startswith("copper-"):
        return
    for other in ("copper-ionic", "copper-amine", "copper-chelated"):
        band = store.treatment(other).needed("target")
        if other != treatment.id and band.low <= level <= band.high:
            yield f"{level:g} {treatment.unit} lies in the band of `{other}` ({band.low:g} to {band.high:g} {treatment.unit})"


def _slips_into(level: float, treatment: Treatment, temperature: float | None) -> Iterator[str]:
    target = treatment.needed("target", temperature)
    for size, text in SLIPS:
        if "copper sulfate" in text and treatment.active != "copper":
            continue
        for meant in (level / size, level * size):
            if target.low * (1 - NEAR) <= meant <= target.high * (1 + NEAR):
                yield f"{text}: then {meant:.3g} {treatment.unit} is meant"
