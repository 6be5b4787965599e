"""Quantities as keepers write them, read without misreading. The only module that imports pint.

A quantity becomes a `Measure`: a value in the one canonical unit of its dimension, with the low and
high end of its error. What cannot be read for certain is a `QuantityError` that knows the mistake by
name; giving it a place and a sentence is the caller's work.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint

CANONICAL = {
    "volume": "L",
    "length": "cm",
    "mass": "g",
    "temperature": "degC",
    "duration": "h",
    "level": "mg/L",
    "parts": "uL/L",
    "salinity": "g/kg",
    "fraction": "%",
    "count": "count",
    "ph": "pH",
    "irradiation": "mJ/cm2",
    "distance": "m",
    "per_body": "mg/kg",
    "specific gravity": "sg",
}
"""Dimension to canonical unit; every Measure of a dimension is in that unit."""

SPELLINGS = {
    "volume": ("L", "mL", "uL", "m3", "ft3", "gal_us", "gal_imp", "fl_oz_us", "fl_oz_imp"),
    "length": ("cm", "mm", "m", "in", "ft"),
    "mass": ("g", "kg", "mg", "ug", "lb", "oz"),
    "temperature": ("degC", "degF"),
    "duration": ("h", "d", "min", "s", "wk"),
    "level": ("mg/L", "ug/L", "g/L", "mg/mL", "g/m3", "mg/gal_us", "mg/gal_imp"),
    "parts": ("uL/L", "mL/L", "mL/m3"),
    "salinity": ("g/kg",),
    "fraction": ("%",),
    "count": ("count",),
    "ph": ("pH",),
    "irradiation": ("mJ/cm2",),
    "distance": ("m", "cm", "ft"),
    "per_body": ("mg/kg",),
    "specific gravity": ("sg",),
}
"""Dimension to the unit spellings accepted for it, the first being the one proposed in hints."""

_OWN = {"%", "count", "pH", "mJ/cm2", "mg/kg", "g/kg", "sg"}

MISTAKES = {
    "C": "`C` alone is a unit of electric charge; write `degC`",
    "F": "`F` alone is a unit of capacitance; write `degF`",
    "°C": "write `degC`",
    "°F": "write `degF`",
    "ppt": "write `g/kg` for salinity; `ppt` is also read as parts per trillion",
    "psu": "write `g/kg`; the two differ by half a percent, less than any instrument here shows",
    "‰": "write `g/kg`",
    "ppm": "`ppm` does not say of what: write `mg/L` of the active, or `uL/L` for formalin (µL of the 37 % "
    "product per litre)",
    "gal": "say which gallon: `gal_us` (3.785 L) or `gal_imp` (4.546 L)",
    "gallon": "say which gallon: `gal_us` (3.785 L) or `gal_imp` (4.546 L)",
    "gallons": "say which gallon: `gal_us` (3.785 L) or `gal_imp` (4.546 L)",
    "mg/gal": "say which gallon: `mg/gal_us` (0.264 mg/L) or `mg/gal_imp` (0.220 mg/L)",
    "Mg/L": "a capital M means mega, a thousand million times milli; write `mg/L`",
    "MG/L": "a capital M means mega, a thousand million times milli; write `mg/L`",
    "mG/L": "write `mg/L`",
    "mg/l": "write `mg/L`, with a capital L",
    "mg/ml": "write `mg/mL`, with a capital L",
    "Mg": "a capital M means mega; write `mg`",
    "l": "write `L`, with a capital letter: a small one looks like the digit 1",
    "ml": "write `mL`",
    "ML": "a capital M means mega; write `mL`",
    "ul/l": "write `uL/L`",
    "µL/L": "write `uL/L`",
    "fl oz": "say which: `fl_oz_us` (29.57 mL) or `fl_oz_imp` (28.41 mL)",
    "fl": "say which fluid ounce: `fl_oz_us` (29.57 mL) or `fl_oz_imp` (28.41 mL)",
    "tsp": "a teaspoon is not a measure: weigh powders, measure liquids in mL",
    "tbsp": "a tablespoon is not a measure: weigh powders, measure liquids in mL",
    "cup": "a cup is not a measure: weigh powders, measure liquids in mL",
    "drops": "drops need a calibrated dropper: write `dropper: 20 drops/mL` under the product",
    "days": "write `d`",
    "day": "write `d`",
    "hours": "write `h`",
    "hour": "write `h`",
    "hrs": "write `h`",
    "minutes": "write `min`",
    "m": "`m` is metres; for minutes write `min`",
    "weeks": "write `wk`",
    "inch": "write `in`",
    "inches": "write `in`",
    '"': "write `in`",
    "SG": "write `sg`, and the temperature it was read at: `1.025 sg at 25 degC`",
}
"""Spellings that are often typed and never accepted, with what to write instead."""


class QuantityError(ValueError):
    """Text that is not a quantity of the expected dimension. `kind` names the mistake."""

    def __init__(self, kind: str, text: str, dimension: str, detail: str, hint: str = "") -> None:
        super().__init__(f"`{text}`: {detail}")
        self.kind = kind
        self.text = text
        self.dimension = dimension
        self.detail = detail
        self.hint = hint


@dataclass(frozen=True, slots=True)
class Measure:
    """A value in canonical units with the ends of its error, and the words it was written in."""

    value: float
    unit: str
    low: float
    high: float
    text: str = ""

    @property
    def exact(self) -> bool:
        return self.low == self.high

    def with_error(self, share: float) -> Measure:
        """The same value; where no error was written, plus or minus `share` of the value (0.02 is 2 %)."""
        if not self.exact:
            return self
        spread = abs(self.value) * share
        return replace(self, low=self.value - spread, high=self.value + spread)


NUMBER = re.compile(r"[+-]?(0|[1-9][0-9]*)(\.[0-9]+)?")
_HEAD = re.compile(r"(?P<number>[+-]?[0-9][0-9.,_]*(?:[eE][+-]?[0-9]+)?|[+-]?\.[0-9]+|nan|inf|[+-]inf)", re.I)
_SPREAD = re.compile(r"\s*(?:±|\+/-|\+-)\s*")


def parse_number(text: str, dimension: str = "count") -> float:
    """A plain decimal number. Exponents, commas, leading zeros, nan and inf are refused by name.

    >>> parse_number("2.5")
    2.5
    """
    text = text.strip()
    if NUMBER.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value
        raise QuantityError("number", text, dimension, "is too large to be a number here")
    low = text.lower().lstrip("+-")
    if low in ("nan", "inf", "infinity", ".nan", ".inf"):
        raise QuantityError("not-finite", text, dimension, "is not a number a tank can have")
    if re.fullmatch(r"[+-]?[0-9]+,[0-9]+", text):
        raise QuantityError(
            "comma", text, dimension, "has a comma", f"a decimal point is a dot: `{text.replace(',', '.')}`"
        )
    if "," in text or "_" in text:
        plain = text.replace(",", "").replace("_", "")
        raise QuantityError("comma", text, dimension, "has separators between digits", f"write `{plain}`")
    if re.fullmatch(r"[+-]?[0-9.]+[eE][+-]?[0-9]+", text):
        raise QuantityError(
            "exponent", text, dimension, "has an exponent", "write the number out, such as `1000` for `1e3`"
        )
    if re.fullmatch(r"[+-]?0[0-9]+(\.[0-9]+)?", text):
        sign = "-" if text.startswith("-") else ""
        plain = sign + text.lstrip("+-").lstrip("0")
        plain = plain if plain.lstrip("-")[:1].isdigit() else sign + "0" + plain.lstrip("-")
        raise QuantityError(
            "leading-zero", text, dimension, "begins with a zero and could be meant as octal", f"write `{plain}`"
        )
    if re.fullmatch(r"[+-]?\.[0-9]+", text):
        raise QuantityError("number", text, dimension, "has nothing before the dot", f"write `0{text.lstrip('+')}`")
    raise QuantityError("number", text, dimension, "is not a number", "write digits, such as `12` or `12.5`")


def parse_measure(text: str, dimension: str) -> Measure:
    """Read `40 gal_us`, `62 L ± 2 L` or `62 L ± 3 %` as a Measure of `dimension`.

    Raises QuantityError. Values keep their sign; ranges that make sense are the caller's matter.

    >>> parse_measure("40 gal_us", "volume").value
    151.41647136
    """
    text = " ".join(text.split())
    if len(text) > 80:
        raise QuantityError("number", text[:40] + "…", dimension, "is too long to be a quantity")
    parts = _SPREAD.split(text)
    if len(parts) > 2:
        raise QuantityError("spread", text, dimension, "has more than one ±")
    value = _parse_plain(parts[0], dimension)
    low = high = value
    if len(parts) == 2:
        low, high = _spread_ends(value, parts[1], text, dimension)
    return Measure(value, CANONICAL[dimension], low, high, text)


def _spread_ends(value: float, spread_text: str, text: str, dimension: str) -> tuple[float, float]:
    if spread_text.strip().endswith("%") and dimension != "fraction":
        share = parse_number(spread_text.strip()[:-1])
        spread = abs(value) * share / 100
    elif dimension == "temperature":
        size = re.fullmatch(r"(\S+) ?(degC|degF)", spread_text.strip())
        if not size:
            raise QuantityError("spread", text, dimension, "has an unreadable error", "write `± 0.5 degC`")
        spread = parse_number(size[1]) * (5 / 9 if size[2] == "degF" else 1.0)
    else:
        spread = _parse_plain(spread_text, dimension)
    if spread < 0:
        raise QuantityError("spread", text, dimension, "has a negative error")
    return value - spread, value + spread


def _parse_plain(text: str, dimension: str) -> float:
    text = text.strip()
    proposed = SPELLINGS[dimension][0]
    if dimension == "ph":
        return parse_number(text.removesuffix("pH").strip(), dimension)
    if dimension == "count":
        return parse_number(text.removesuffix("count").strip(), dimension)
    if re.fullmatch(r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?", text):
        raise QuantityError("time", text, dimension, f"is a time of day, not a {dimension}", f"write a number and `{proposed}`")
    head = _HEAD.match(text)
    if head is None:
        raise QuantityError("number", text, dimension, "does not begin with a number", f"write a number and a unit, such as `10 {proposed}`")
    number = parse_number(head["number"], dimension)
    unit = text[head.end():].strip()
    if not unit:
        raise QuantityError("no-unit", text, dimension, "has no unit", f"write `{text} {proposed}` if {_spoken(proposed)} is meant")
    return number * 1.0 if unit == CANONICAL[dimension] else to_canonical(number, unit, dimension, text)


def _spoken(unit: str) -> str:
    return f"`{unit}`"


def to_canonical(number: float, unit: str, dimension: str, text: str = "") -> float:
    """`number` of `unit` in the canonical unit of `dimension`; QuantityError for any unit not listed for it."""
    if unit not in SPELLINGS[dimension]:
        raise _unit_error(unit, dimension, text or f"{number:g} {unit}")
    factor, offset = _conversion(unit, CANONICAL[dimension])
    return number * factor + offset


def from_canonical(value: float, unit: str, dimension: str) -> float:
    """The inverse of `to_canonical`.

    >>> round(from_canonical(25.0, "degF", "temperature"), 6)
    77.0
    """
    factor, offset = _conversion(unit, CANONICAL[dimension])
    return (value - offset) / factor


def _unit_error(unit: str, dimension: str, text: str) -> QuantityError:
    allowed = SPELLINGS[dimension]
    accepted = ", ".join(f"`{u}`" for u in allowed)
    if unit in MISTAKES:
        return QuantityError("unit-mistake", text, dimension, f"has the unit `{unit}`, which is not read", MISTAKES[unit])
    other = next((d for d, units in SPELLINGS.items() if unit in units), None)
    if other is not None:
        article = "an" if other[0] in "aeiou" else "a"
        return QuantityError("dimension", text, dimension, f"is {article} {other}, not a {dimension}", f"accepted here: {accepted}")
    folded = [u for u in allowed if u.lower() == unit.lower()]
    hint = f"write `{folded[0]}`" if folded else f"accepted here: {accepted}"
    return QuantityError("unknown-unit", text, dimension, f"has the unknown unit `{unit}`", hint)


@lru_cache(maxsize=256)
def _conversion(unit: str, target: str) -> tuple[float, float]:
    if unit == target:
        return 1.0, 0.0
    registry = _registry()
    offset = float(registry.Quantity(0.0, unit).to(target).magnitude) if unit in ("degF", "degC") else 0.0
    one = float(registry.Quantity(1.0, unit).to(target).magnitude)
    return one - offset, offset


@cache
def _registry() -> pint.UnitRegistry:
    import pint

    path = resources.files("pratique") / "units.txt"
    with resources.as_file(path) as file:
        return pint.UnitRegistry(str(file), autoconvert_offset_to_baseunit=True)
