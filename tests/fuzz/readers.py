"""Every reader of one typed value, and a second reader of quantities that shares no line with the first.

The second one knows the units from their definitions: the US gallon is 231 cubic inches, the inch 25.4 mm (exact,
international yard and pound agreement of 1959), the pound 453.59237 g, the imperial gallon 4.54609 L (UK Weights and
Measures Act 1985), and reads with fractions instead of floats.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Any

from pratique.cli.values import read_off
from pratique.dosing.stock import read_stock
from pratique.logbook.amount import _READERS, read_quantity
from pratique.room.bottles import read_strength
from pratique.room.brine import read_salinity
from pratique.room.fields import measure, read_count, read_count_left, read_yes
from pratique.room.money import read_price
from pratique.room.phrases import read_change, read_claim, read_dropper, read_left, read_spread
from pratique.room.prescribed import read_prescribed_dose
from pratique.room.times import read_clock_time, read_hours, read_when
from pratique.spellings import CANONICAL

_FOOT = Fraction("30.48")
_INCH = Fraction("2.54")
_GALLON, _IMPERIAL = 231 * _INCH**3 / 1000, Fraction("4.54609")
_POUND = Fraction("453.59237")

FACTORS: dict[str, dict[str, Fraction]] = {
    "volume": {
        "L": Fraction(1),
        "mL": Fraction(1, 1000),
        "uL": Fraction(1, 10**6),
        "m3": Fraction(1000),
        "ft3": _FOOT**3 / 1000,
        "gal_us": _GALLON,
        "gal_imp": _IMPERIAL,
        "fl_oz_us": _GALLON / 128,
        "fl_oz_imp": _IMPERIAL / 160,
    },
    "length": {"cm": Fraction(1), "mm": Fraction(1, 10), "m": Fraction(100), "in": _INCH, "ft": _FOOT},
    "mass": {
        "g": Fraction(1),
        "kg": Fraction(1000),
        "mg": Fraction(1, 1000),
        "ug": Fraction(1, 10**6),
        "lb": _POUND,
        "oz": _POUND / 16,
    },
    "temperature": {"degC": Fraction(1), "degF": Fraction(5, 9)},
    "duration": {
        "h": Fraction(1),
        "d": Fraction(24),
        "wk": Fraction(168),
        "min": Fraction(1, 60),
        "s": Fraction(1, 3600),
    },
    "level": {
        "mg/L": Fraction(1),
        "ug/L": Fraction(1, 1000),
        "g/L": Fraction(1000),
        "mg/mL": Fraction(1000),
        "g/m3": Fraction(1),
        "mg/gal_us": 1 / _GALLON,
        "mg/gal_imp": 1 / _IMPERIAL,
    },
    "parts": {"uL/L": Fraction(1), "mL/L": Fraction(1000), "mL/m3": Fraction(1)},
    "salinity": {"g/kg": Fraction(1)},
    "fraction": {"%": Fraction(1)},
    "count": {"": Fraction(1), "count": Fraction(1)},
    "ph": {"": Fraction(1), "pH": Fraction(1)},
    "irradiation": {"mJ/cm2": Fraction(1)},
    "distance": {"m": Fraction(1), "cm": Fraction(1, 100), "ft": _FOOT / 100},
    "per_body": {"mg/kg": Fraction(1)},
    "specific gravity": {"sg": Fraction(1)},
}
"""Dimension to unit to how many canonical units it is."""

_PLAIN = re.compile(r"([+-]?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?) ?([A-Za-z%][A-Za-z0-9_/%]*)?")
_ERROR = re.compile(r" ?(?:±|\+/-|\+-) ?")


def second_reading(text: str, dimension: str) -> tuple[Fraction, Fraction, Fraction] | None:
    """Value, low and high of `text` in the canonical unit; None where it is no quantity of `dimension`."""
    parts = _ERROR.split(" ".join(text.split()))
    value = _plain(parts[0], dimension)
    if value is None or len(parts) > 2:
        return None
    if len(parts) == 1:
        return value, value, value
    spread = _spread(parts[1], value, dimension)
    return None if spread is None or spread < 0 else (value, value - spread, value + spread)


def _plain(text: str, dimension: str, *, difference: bool = False) -> Fraction | None:
    found = _PLAIN.fullmatch(text)
    unit = (found[2] or "") if found else ""
    if found is None or unit not in FACTORS[dimension]:
        return None
    number = Fraction(found[1])
    return (number - 32 if unit == "degF" and not difference else number) * FACTORS[dimension][unit]


def _spread(text: str, value: Fraction, dimension: str) -> Fraction | None:
    if text.endswith("%") and dimension not in ("fraction", "temperature"):
        share = _plain(text, "fraction")
        return None if share is None else abs(value) * share / 100
    return _plain(text, dimension, difference=True)


def _strength_of(active: str) -> Callable[[str], Any]:
    return lambda text: read_strength(text, active)


READERS: dict[str, Callable[[str], Any]] = {
    **{f"field {name}": measure(name, most=1e9) for name in CANONICAL},
    **{f"log {sort}": (lambda text, sort=sort: read_quantity(text, sort)) for sort in _READERS},
    **{f"strength {active}": _strength_of(active) for active in ("copper", "formalin", "praziquantel", "")},
    "salinity": read_salinity,
    "date": read_when,
    "time": read_clock_time,
    "hours": read_hours,
    "count": read_count,
    "count left": read_count_left,
    "yes": read_yes,
    "price": read_price,
    "left": read_left,
    "claim": read_claim,
    "spread": read_spread,
    "change": read_change,
    "dropper": read_dropper,
    "prescribed": read_prescribed_dose,
    "stock": read_stock,
    "off": read_off,
}
"""Each takes one text; Wrong, QuantityError or a usage error of the command line is a refusal."""
