"""How the strength of a product is written instead, in the words that fit its active."""

from __future__ import annotations

import re
from collections.abc import Iterable

from pratique.knowledge import store
from pratique.quantity import QuantityError, parse_measure

EXAMPLES = {
    "copper": ("10 mg/mL as Cu", "10 mg/mL as CuSO4.5H2O"),
    "formalin": ("37 % w/v as formaldehyde",),
    "peroxide": ("3 % w/v as H2O2",),
    "praziquantel": ("95 % w/w as praziquantel",),
    "bicarbonate": ("99 % w/w as sodium bicarbonate",),
    "chloroquine phosphate": ("98 % w/w as chloroquine phosphate", "250 mg per tablet as chloroquine phosphate"),
    "acriflavine": ("1 % w/v as acriflavine",),
    "methylene blue": ("5 % w/v as methylene blue",),
    "metronidazole": ("98 % w/w as metronidazole", "250 mg per tablet as metronidazole"),
    "fenbendazole": ("100 mg/mL as fenbendazole",),
    "levamisole": ("75 mg/mL as levamisole",),
    "antibiotic": ("100 mg/g as the drug the label names",),
    "chlorine": ("5.25 % w/v as chlorine",),
    "sodium thiosulfate": ("99 % w/w as sodium thiosulfate pentahydrate",),
}
"""Active to strengths as labels give them: what it is sold as, and what its strength counts."""

_IN_GENERAL = (
    "10 mg/mL as Cu",
    "37 % w/v as formaldehyde",
    "95 % w/w as praziquantel",
    "500 mg per tablet as praziquantel",
)
TABLET = re.compile(r"\b(?:tablets?|tabs?|pills?|capsules?)\b", re.I)
_MASS = re.compile(r"[0-9][0-9.,]* ?(?:mg|g|ug)\b")


def strength_hint(text: str, active: str) -> str:
    """What to write where `text` is no strength at all."""
    each = _per_tablet(text)
    if each:
        return f"write {_either(f'{each} as {word}' for word in counted_as(active))}; how many there are goes to `left`"
    return f"write such as {', '.join(f'`{example}`' for example in EXAMPLES.get(active, _IN_GENERAL))}"


def _per_tablet(text: str) -> str:
    """`250 mg per tablet` where that is what `1 tablet of 250 mg` means; empty where there is no tablet in it."""
    if not TABLET.search(text):
        return ""
    try:
        mass = _MASS.search(text)
        return f"{parse_measure(mass[0], 'mass').value * 1000:.6g} mg per tablet" if mass else "500 mg per tablet"
    except QuantityError:
        return "500 mg per tablet"


def basis_hint(number: str, active: str, substance: str) -> str:
    """What to write where a percentage does not say by what it is counted."""
    words = [substance] if substance and _fits(substance, active) else counted_as(active)
    by_volume = _either(f"{number} % w/v as {word}" for word in words)
    by_weight = _either(f"{number} % w/w as {word}" for word in words)
    if active not in EXAMPLES:
        liquids = "liquids also need such as `density 1.13 g/mL`"
        return f"write such as {by_volume} (g in 100 mL, most liquids), or {by_weight} (g in 100 g: powders; {liquids})"
    if any(re.search("w/w|mg/g", example) for example in EXAMPLES[active]):
        return f"write {by_weight} (g in 100 g of powder), or {by_volume} (g in 100 mL of a solution)"
    density = _either(f"{number} % w/w density … g/mL as {word}" for word in words)
    return f"write {by_volume} (g in 100 mL), or {density} (g in 100 g, with the density from its data sheet)"


def substance_hint(text: str, active: str) -> str:
    """What to write where a strength does not say of what."""
    words = counted_as(active)
    return f"write {_either(f'{text} as {word}' for word in words)}" + ", as the label counts it" * (len(words) > 1)


def stock_hint(mass: str, volume: str, level: float, active: str) -> str:
    """The same for what was weighed and made up by hand, with the sum done; `level` is in mg/mL."""
    word = counted_as(active)[-1]
    shown = f"{level:.4g} mg/mL"
    strength = f"{shown if 'e' not in shown else f'{mass} in {volume}'} as {word}"
    spoken = next((name for name in _names(word) if len(name) > len(word)), "")
    return f"{mass} ÷ {volume} is `{strength}`" + (f" if it was {spoken}" if spoken else "")


def active_sold_as(word: str) -> str:
    """The active behind the name of a salt, a formula or a common name; empty where none is known.

    >>> active_sold_as("copper sulfate"), active_sold_as("Formaldehyde"), active_sold_as("garlic")
    ('copper', 'formalin', '')
    """
    asked = word.strip().lower()
    for record in store.substances().values():
        if any(asked == name.lower() or name.lower().startswith(f"{asked} ") for name in record.names):
            return record.active
    return ""


def counted_as(active: str) -> list[str]:
    """What strengths of this active are counted as; of copper, the metal first."""
    known = active if active in EXAMPLES else active_sold_as(active)
    examples = EXAMPLES.get(known, ("10 mg/mL as what the label names",))
    return list(dict.fromkeys(example.partition(" as ")[2] for example in examples))


def _names(word: str) -> tuple[str, ...]:
    return next((record.names for record in store.substances().values() if word in record.names), ())


def _fits(substance: str, active: str) -> bool:
    """True where nothing speaks against counting this active as that."""
    known = {name.lower(): record.active for record in store.substances().values() for name in record.names}
    return not active or known.get(substance.lower(), active) == active


def _either(written: Iterable[str]) -> str:
    return " or ".join(f"`{one}`" for one in written)
