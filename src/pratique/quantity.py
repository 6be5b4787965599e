"""Quantities as keepers write them, read without misreading. The only module that imports pint.

A quantity becomes a `Measure`: a value in the one canonical unit of its dimension, with the low and
high end of its error. What cannot be read for certain is a `QuantityError` that knows the mistake by
name; giving it a place and a sentence is the caller's work.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache, lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from pratique.spellings import CANONICAL, DECIMAL, MISTAKES, SAME, SPELLINGS, SPOKEN, find_mistake

if TYPE_CHECKING:
    import pint

__all__ = [
    "CANONICAL",
    "MISTAKES",
    "SPELLINGS",
    "Measure",
    "QuantityError",
    "from_canonical",
    "parse_measure",
    "parse_number",
    "to_canonical",
]


class QuantityError(ValueError):
    """Text that is not a quantity of the expected dimension.

    `kind` names the mistake, `part` is the smallest wrong part of `text` (empty: all of it).
    """

    def __init__(
        self, kind: str, text: str, dimension: str, detail: str, hint: str = "", *, part: str = ""
    ) -> None:
        super().__init__(f"`{text}`: {detail}")
        self.kind = kind
        self.text = text
        self.dimension = dimension
        self.detail = detail
        self.hint = hint
        self.part = part


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


_MOST_LETTERS = 80
_NUMBER = re.compile(r"[+-]?(0|[1-9][0-9]*)(\.[0-9]+)?")
_HEAD = re.compile(
    r"(?P<number>[+-]?[0-9][0-9.,_]*(?:[eE][+-]?[0-9]+)?|[+-]?\.[0-9]+|[+-]?\.?(?:nan|inf(?:inity)?)\b)", re.I
)
_SPREAD = re.compile(r"\s*(?:±|\+/-|\+-)\s*")
_CLOCK = re.compile(r"[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?")
_RANGE = re.compile(
    r"(?P<low>[0-9.]+)(?![eE][+-]?[0-9])(?: ?[A-Za-z_%/]+)? ?(?:-|–|—|to) ?"
    r"(?P<high>[0-9.]+) ?(?P<unit>[A-Za-z%_]\S*)?"
)
_LETTER_FOR_ZERO = re.compile(r"(?=[oO.]*[0-9])[0-9oO.]*[oO][0-9oO.]*( .*)?")
_SPLIT_DIGITS = re.compile(r"([0-9]{1,3})((?:[ '’][0-9]{3})+)(.*)")


def parse_number(text: str, dimension: str = "count", *, rest: str = "") -> float:
    """A plain decimal number. Exponents, commas, leading zeros, nan and inf are refused by name.

    `rest` is what follows the number in the keeper's text; it is shown and repeated in the hints.

    >>> parse_number("2.5")
    2.5
    """
    text = text.strip()
    if _NUMBER.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value
    raise _number_error(text, dimension, rest)


def _number_error(text: str, dimension: str, rest: str) -> QuantityError:
    def error(kind: str, detail: str, *fixes: str, hint: str = "") -> QuantityError:
        written = " or ".join(f"`{fix}{rest}`" for fix in fixes)
        return QuantityError(kind, text + rest, dimension, detail, hint or f"write {written}", part=text)

    sign = "-" if text.startswith("-") else ""
    bare = text.lstrip("+-")
    if bare.lower().lstrip(".") in ("nan", "inf", "infinity"):
        return error("not-finite", "is not a number a tank can have", hint="write what was measured")
    if re.fullmatch(r"[0-9]{1,3},[0-9]{3}", bare):
        two_ways = text.replace(",", ""), text.replace(",", ".")
        return error("comma", "has a comma, which can be read in two ways", *two_ways)
    if re.fullmatch(r"[0-9]+,[0-9]+", bare):
        return error("comma", "has a comma; a decimal point is a dot", text.replace(",", "."))
    if re.fullmatch(r"[0-9]{1,3}(\.[0-9]{3})+,[0-9]+", bare):
        plain = text.replace(".", "").replace(",", ".")
        return error("comma", "has a comma; a decimal point is a dot", plain)
    if re.search("[,_]", bare) and bare.count(".") <= 1:
        return error("comma", "has signs between its digits", re.sub("[,_]", "", text))
    if re.fullmatch(r"[0-9]+(\.[0-9]+)?[eE][+-]?[0-9]{1,2}", bare):
        return error("exponent", "has an exponent", f"{Decimal(text):f}")
    if re.fullmatch(r"[0-9.]+[eE][+-]?[0-9]+", bare):
        return error("exponent", "has an exponent", hint="write the number out, such as `1000` for `1e3`")
    if re.fullmatch(r"0[0-9]+(\.[0-9]+)?", bare):
        plain = re.sub(r"^0+(?=[0-9])", "", bare)
        return error("leading-zero", "begins with a zero and could be meant as octal", sign + plain)
    if re.fullmatch(r"\.[0-9]+", bare):
        return error("number", "has nothing before the dot", f"{sign}0{bare}")
    if re.fullmatch(r"[0-9]+", bare):
        return error("number", "is too large to be a number here", hint="write it in a larger unit")
    return error("number", "is not a number", hint="write digits, such as `12` or `12.5`")


def parse_measure(text: str, dimension: str) -> Measure:
    """Read `40 gal_us`, `62 L ± 2 L` or `62 L ± 3 %` as a Measure of `dimension`.

    Raises QuantityError. Values keep their sign; ranges that make sense are the caller's matter.

    >>> parse_measure("40 gal_us", "volume").value
    151.41647136
    """
    text = " ".join(text.split())
    if len(text) > _MOST_LETTERS:
        shown = text[:40] + "…"
        raise QuantityError("number", shown, dimension, "is too long to be a quantity", _example(dimension))
    parts = _SPREAD.split(text)
    if len(parts) > 2:
        raise QuantityError("spread", text, dimension, "has more than one `±`", "write one error")
    value = _parse_plain(parts[0].strip(), dimension)
    low = high = value
    if len(parts) == 2:
        low, high = _spread_ends(value, parts[1].strip(), text, dimension)
    return Measure(value, CANONICAL[dimension], low, high, text)


def _example(dimension: str) -> str:
    return f"write a number and a unit, such as `10 {SPELLINGS[dimension][0]}`"


def _spread_ends(value: float, spread_text: str, text: str, dimension: str) -> tuple[float, float]:
    by_share = spread_text.endswith("%") and dimension not in ("fraction", "temperature")
    try:
        if by_share:
            spread = abs(value) * parse_number(spread_text[:-1], rest=" %") / 100
        elif dimension == "temperature":
            spread = _temperature_difference(spread_text)
        else:
            spread = _parse_plain(spread_text, dimension)
    except QuantityError as error:
        size = "0.1" if dimension == "ph" else f"1 {SPELLINGS[dimension][0]}"
        example = f"write such as `± {size}`"
        hint = error.hint if error.kind not in ("no-unit", "number") else example
        detail = "has an error after `±` that cannot be read"
        raise QuantityError("spread", text, dimension, detail, hint, part=spread_text) from None
    if spread < 0:
        detail = "has a negative error"
        raise QuantityError("spread", text, dimension, detail, "write it without a sign", part=spread_text)
    return value - spread, value + spread


def _temperature_difference(text: str) -> float:
    size = re.fullmatch(r"(\S+?) ?(deg[CF]|°[CF])", text)
    if not size:
        raise QuantityError("no-unit", text, "temperature", "is not a difference of temperatures")
    return parse_number(size[1], "temperature", rest=f" {size[2]}") * (5 / 9 if size[2].endswith("F") else 1.0)


def _parse_plain(text: str, dimension: str) -> float:
    if dimension in ("ph", "count"):
        return parse_number(text.removesuffix(CANONICAL[dimension]), dimension)
    if _CLOCK.fullmatch(text):
        detail = f"is a time of day, not {SPOKEN[dimension]}"
        raise QuantityError("time", text, dimension, detail, _example(dimension))
    _refuse_lookalikes(text, dimension)
    head = _HEAD.match(text)
    if head is None:
        raise QuantityError("number", text, dimension, "does not begin with a number", _example(dimension))
    rest = text[head.end() :]
    number = parse_number(head["number"], dimension, rest=rest)
    unit = rest.strip()
    if not unit:
        choices = " or ".join(f"`{text} {name}`" for name in SPELLINGS[dimension][:2])
        raise QuantityError("no-unit", text, dimension, "has no unit", f"write such as {choices}")
    return to_canonical(number, unit, dimension, text)


def _refuse_lookalikes(text: str, dimension: str) -> None:
    """Signs and letters around numbers that would otherwise look like part of a unit."""
    if text[:1] in "−–" and text[1:2].isdigit():
        detail = "begins with a dash that is not a minus sign"
        raise QuantityError("number", text, dimension, detail, f"write `-{text[1:]}`", part=text[0])
    ends = _RANGE.fullmatch(text)
    if ends:
        unit = ends["unit"] or SPELLINGS[dimension][0]
        hint = f"write the middle and the error, such as `50 {unit} ± 10 {unit}` for 40 to 60 {unit}"
        raise QuantityError("spread", text, dimension, "is a range", hint)
    if _LETTER_FOR_ZERO.fullmatch(text):
        number = text.split(" ")[0]
        plain = re.sub("[oO]", "0", number)
        hint = f"write `{plain}{text[len(number) :]}`"
        raise QuantityError("number", text, dimension, "has the letter O for a zero", hint, part=number)
    split = _SPLIT_DIGITS.fullmatch(text)
    if split:
        digits = split[1] + split[2]
        hint = f"write `{re.sub('[^0-9]', '', digits)}{split[3]}`"
        raise QuantityError("comma", text, dimension, "has signs between its digits", hint, part=digits)


def to_canonical(number: float, unit: str, dimension: str, text: str = "") -> float:
    """`number` of `unit` in the canonical unit; QuantityError for any unit not listed for `dimension`."""
    known = SAME.get(unit, unit)
    if known not in SPELLINGS[dimension]:
        raise _unit_error(unit, dimension, text or f"{number:g} {unit}")
    factor, offset = _conversion(known, CANONICAL[dimension])
    if offset:  # 68 degF is 20 degC, not 19.99…: a bound at 20 degC holds for both
        return round(number * factor + offset, 9)
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
    accepted = "write " + ("one of " if len(allowed) > 1 else "") + ", ".join(f"`{name}`" for name in allowed)

    def error(kind: str, detail: str, hint: str) -> QuantityError:
        return QuantityError(kind, text, dimension, detail, hint, part=unit)

    other = next((name for name, units in SPELLINGS.items() if SAME.get(unit, unit) in units), "")
    mistake = find_mistake(unit, dimension)
    if mistake is not None and mistake.dimension in ("", dimension):
        return error("unit-mistake", f"has the unit `{unit}`, which is not read", mistake.hint)
    if other or mistake is not None:
        found = SPOKEN[other or (mistake.dimension if mistake else "")]
        return error("dimension", f"is {found}, not {SPOKEN[dimension]}", accepted)
    folded = next((f"write `{name}`" for name in allowed if name.lower() == unit.lower()), accepted)
    return error("unknown-unit", f"has the unknown unit `{unit}`", folded)


@lru_cache(maxsize=256)
def _conversion(unit: str, target: str) -> tuple[float, float]:
    if unit == target:
        return 1.0, 0.0
    if (unit, target) in DECIMAL:
        return DECIMAL[unit, target], 0.0
    registry = _registry()
    offset = float(registry.Quantity(0.0, unit).to(target).magnitude) if unit in ("degF", "degC") else 0.0
    one = float(registry.Quantity(1.0, unit).to(target).magnitude)
    return one - offset, offset


@cache
def _registry() -> pint.UnitRegistry[float]:
    import pint

    path = resources.files("pratique") / "units.txt"
    with resources.as_file(path) as file:
        return pint.UnitRegistry(str(file), autoconvert_offset_to_baseunit=True)
