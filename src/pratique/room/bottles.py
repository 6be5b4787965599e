"""The strength of a product: how much of which substance, and by what a percentage is counted."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator, ValidationInfo

from pratique.problem import quoted
from pratique.quantity import QuantityError, parse_measure, parse_number
from pratique.room.bottle_hints import TABLET, basis_hint, stock_hint, strength_hint, substance_hint
from pratique.room.written import Form
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
_STOCK = re.compile(
    r"(?P<mass>[0-9][0-9.,]* ?[^\W\d]+) ?(?:in|per|/) ?(?P<volume>[0-9][0-9.,]* ?[^\W\d]\w*)"
    r"(?: (?:of )?(?:[A-Za-z/]+ )?water)?(?: as (?P<substance>.+?))?"
)
"""What a keeper made up by hand, or a label's `500 mg/5 mL`: a mass in a volume."""


def read_strength(value: Any, active: str = "") -> Strength:
    """The strength; `active` is that of its product where it is known, for hints that fit it."""
    if isinstance(value, Strength):
        return value
    text = " ".join(need_text(value, "a strength").split())
    found = _STRENGTH.fullmatch(text)
    if found is None:
        stock = _STOCK.fullmatch(text)
        if stock is None or TABLET.search(text):
            raise _not_a_strength(text, active)
        return _read_stock(text, stock, active)
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
    _check_basis(text, basis, density, unit, found["substance"] or "", active)
    if found["substance"] is None:
        raise _of_what(text, substance_hint(text, active), active)
    milligrams, per = _content(unit, basis, number, density)
    if (unit == "%" and number > 100) or milligrams > _MOST[per]:
        raise _too_strong(text)
    return Strength(
        text=text,
        per=per,
        milligrams=milligrams,
        substance=found["substance"].strip(),
        percent=number if unit == "%" else None,
        basis=basis,
    )


def _read_stock(text: str, stock: re.Match[str], active: str) -> Strength:
    try:
        mass, volume = parse_measure(stock["mass"], "mass"), parse_measure(stock["volume"], "volume")
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if mass.value <= 0 or volume.value <= 0:
        raise Wrong("U212", f"{quoted(text)} is not above zero", "write what was weighed, and the volume it is in")
    level = mass.value / volume.value  # g/L, which is mg/mL
    if stock["substance"] is None:
        raise _of_what(text, stock_hint(stock["mass"], stock["volume"], level, active), active)
    if level > _MOST["mL"]:
        raise _too_strong(text)
    return Strength(text=text, per="mL", milligrams=level, substance=stock["substance"].strip())


def _of_what(text: str, hint: str, active: str) -> Wrong:
    note = "taking the salt for the metal is an error of 3.93 times with copper sulfate pentahydrate"
    return Wrong("U215", f"{quoted(text)} does not say of what", hint, note if active in ("", "copper") else "")


def _too_strong(text: str) -> Wrong:
    return Wrong("U212", f"{quoted(text)} is more than a bottle can hold", "check the number and its unit")


def _not_a_strength(text: str, active: str) -> Wrong:
    parts = re.match(r"[0-9.]+ ?(\S+)", text)
    mistake = find_mistake(parts[1]) if parts else None
    if parts and mistake is not None and mistake.dimension in ("", "level", "parts"):
        message = f"{quoted(text)} has the unit `{parts[1]}`, which is not read"
        return Wrong("U208", message, mistake.hint, part=parts[1])
    return Wrong("U214", f"{quoted(text)} is not a strength", strength_hint(text, active))


def _check_basis(text: str, basis: str, density: float | None, unit: str, substance: str, active: str) -> None:
    if unit != "%" and basis:
        hint = "`w/v` and `w/w` go with a percentage only"
        raise Wrong("U214", f"{quoted(text)} has both a unit and `{basis}`", hint, part=basis)
    if unit == "%" and basis in ("", "v/v"):
        says = "counts by volume, which gives no mass" if basis else "does not say by what it is counted"
        number = text.partition("%")[0].strip()
        raise Wrong("U216", f"{quoted(text)} {says}", basis_hint(number, active, substance))
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


def _read_of_product(value: Any, info: ValidationInfo) -> Strength:
    return read_strength(value, str(info.data.get("active", "")))


StrengthField = Annotated[
    Strength,
    BeforeValidator(_read_of_product),
    Form(
        "mass in a mL, g or tablet, a percentage `w/v` or `w/w`, or a mass in a volume; then `as` and what is counted",
        "10 mg/mL as Cu",
    ),
]
