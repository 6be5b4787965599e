"""The strength of a product: how much of which substance, and by what a percentage is counted."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.problem import quoted
from pratique.quantity import QuantityError, parse_number
from pratique.room.wrong import Wrong, need_text, wrong_quantity
from pratique.spellings import find_mistake


@dataclass(frozen=True, slots=True)
class Strength:
    """How much of `substance` a product holds: mg per mL, mg per g, or mg per tablet.

    `percent` is kept where that was written, since `37 %` names a product as well as a strength.
    """

    text: str
    per: str  # "mL", "g" or "tablet"
    milligrams: float
    substance: str
    percent: float | None = None
    basis: str = ""  # "w/v", "w/w" or "" for a mass per volume


_UNITS = {
    "mg/mL": (1.0, "mL"),
    "g/L": (1.0, "mL"),
    "mg/L": (0.001, "mL"),
    "g per 100 mL": (10.0, "mL"),
    "mg/g": (1.0, "g"),
    "g/kg": (1.0, "g"),
    "mg per tablet": (1.0, "tablet"),
}
"""Unit to milligrams, and per what."""

_MOST = {"mL": 5000.0, "g": 1000.0, "tablet": 100_000.0}
"""Milligrams that no product exceeds: a gram holds 1,000, and no solution comes near 5 g in a mL."""

_DENSITY = r"(?:,? ?density (?P<{name}>[^ ]+) ?g/mL)?"
_STRENGTH = re.compile(
    rf"(?P<number>[^ %]+?) ?(?P<unit>%|{'|'.join(map(re.escape, _UNITS))})"
    r"(?: ?(?P<basis>w/v|w/w|v/v))?"
    + _DENSITY.format(name="density")
    + r"(?: as (?P<substance>.+?))?"
    + _DENSITY.format(name="density2")
)
_EXAMPLES = (
    "write such as `10 mg/mL as Cu`, `3 % w/v as H2O2`, `95 % w/w as praziquantel`, "
    + "`500 mg per tablet as praziquantel`"
)


def read_strength(value: Any) -> Strength:
    if isinstance(value, Strength):
        return value
    text = " ".join(need_text(value, "a strength").split())
    found = _STRENGTH.fullmatch(text)
    if found is None:
        raise _not_a_strength(text)
    density_text = found["density"] or found["density2"]
    try:
        number = parse_number(found["number"], "strength", rest=text[found.end("number") :])
        density = parse_number(density_text) if density_text else None
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if number <= 0:
        raise Wrong("U212", f"{quoted(text)} is not above zero", "copy the number from the label")
    if density is not None and not 0.5 <= density <= 3:
        message = f"{quoted(text)} has a density outside 0.5 to 3 g/mL"
        raise Wrong("U212", message, "copy it from the data sheet", part=density_text)
    unit, basis = found["unit"], found["basis"] or ""
    _check_basis(text, unit, basis, density, found["substance"])
    if found["substance"] is None:
        raise Wrong(
            "U215",
            f"{quoted(text)} does not say of what",
            f"write `{text} as Cu`, or `{text} as CuSO4.5H2O`, or the substance the label names",
            "taking the salt for the metal is an error of 3.93 times with copper sulfate pentahydrate",
        )
    milligrams, per = _content(unit, basis, number, density)
    if (unit == "%" and number > 100) or milligrams > _MOST[per]:
        raise Wrong("U212", f"{quoted(text)} is more than a bottle can hold", "check the number and its unit")
    return Strength(
        text=text,
        per=per,
        milligrams=milligrams,
        substance=found["substance"].strip(),
        percent=number if unit == "%" else None,
        basis=basis,
    )


def _not_a_strength(text: str) -> Wrong:
    parts = re.match(r"[0-9.]+ ?(\S+)", text)
    mistake = find_mistake(parts[1]) if parts else None
    if parts and mistake is not None and mistake.dimension in ("", "level", "parts"):
        message = f"{quoted(text)} has the unit `{parts[1]}`, which is not read"
        return Wrong("U208", message, mistake.hint, part=parts[1])
    return Wrong("U214", f"{quoted(text)} is not a strength", _EXAMPLES)


def _check_basis(text: str, unit: str, basis: str, density: float | None, substance: str | None) -> None:
    if unit != "%" and basis:
        hint = "`w/v` and `w/w` go with a percentage only"
        raise Wrong("U214", f"{quoted(text)} has both a unit and `{basis}`", hint, part=basis)
    if unit == "%" and basis in ("", "v/v"):
        of = f" as {substance}" if substance else " as H2O2"
        number = text.split("%")[0].strip()
        says = "counts by volume, which gives no mass" if basis else "does not say by what it is counted"
        raise Wrong(
            "U216",
            f"{quoted(text)} {says}",
            f"write such as `{number} % w/v{of}` (g in 100 mL, most liquids), or `{number} % w/w{of}` "
            "(g in 100 g: powders; liquids also need such as `density 1.13 g/mL`)",
        )
    if density is not None and basis != "w/w":
        message = f"{quoted(text)} has a density, which goes with `w/w` only"
        raise Wrong("U214", message, "leave the density out")


def _content(unit: str, basis: str, number: float, density: float | None) -> tuple[float, str]:
    """Milligrams, and per what."""
    if unit != "%":
        factor, per = _UNITS[unit]
        return number * factor, per
    if basis == "w/v":
        return number * 10, "mL"
    if density is not None:
        return number * 10 * density, "mL"
    return number * 10, "g"


StrengthField = Annotated[Strength, BeforeValidator(read_strength)]
