"""The closed list of units a keeper may write, and the spellings that are often typed and never read."""

from __future__ import annotations

import unicodedata
from typing import NamedTuple

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

SAME = {"°C": "degC", "°F": "degF", "\u2103": "degC", "\u2109": "degF"}
"""Signs that mean a unit and nothing else: read as that unit, never proposed."""

SPOKEN = {
    "volume": "a volume",
    "length": "a length",
    "mass": "a mass",
    "temperature": "a temperature",
    "duration": "a duration",
    "level": "a level (mass per volume)",
    "parts": "a level by volume",
    "salinity": "a salinity",
    "fraction": "a percentage",
    "count": "a plain number",
    "ph": "a pH",
    "irradiation": "an irradiation",
    "distance": "a distance",
    "per_body": "a dose per body mass",
    "specific gravity": "a specific gravity",
    "strength": "a strength",
}
"""Dimension to what it is called in a sentence."""


class Mistake(NamedTuple):
    """What to write instead of a spelling, and the dimension it is a slip for (empty: more than one)."""

    dimension: str
    hint: str


def _each(dimension: str, hint: str, *spellings: str) -> dict[str, Mistake]:
    return dict.fromkeys(spellings, Mistake(dimension, hint))


_MEGA = "a capital M means mega, a thousand million times milli; write "
_SPOON = "spoons, cups and caps are no measure: weigh powders, measure liquids in mL"

_PPT = "write `g/kg`, such as `35 g/kg` for 35 parts per thousand; `ppt` is also read as parts per trillion"

MISTAKES: dict[str, Mistake] = {
    **_each("temperature", "write `degC`", "C", "°c", "ºC", "oC", "deg C", "celsius", "Celsius", "c"),
    **_each("temperature", "write `degF`", "F", "°f", "ºF", "oF", "deg F", "fahrenheit", "Fahrenheit", "f"),
    **_each("temperature", "say which degrees: `degC` or `degF`", "°", "º", "deg", "degrees"),
    **_each("salinity", _PPT, "ppt", "PPT"),
    **_each(
        "salinity",
        "write `g/kg`; the two differ by half a percent, less than any instrument here shows",
        "psu",
        "PSU",
    ),
    **_each("salinity", "write `g/kg`", "‰", "o/oo", "permille"),
    **_each("salinity", "write `sg`, and the temperature it was read at: `1.025 sg at 25 degC`", "SG", "Sg"),
    **_each(
        "",
        "`ppm` does not say of what: write `mg/L` of the active, or `uL/L` for formalin "
        "(uL of the 37 % product per litre)",
        "ppm",
        "PPM",
        "ppb",
        "PPB",
    ),
    **_each(
        "volume",
        "say which gallon: `gal_us` (3.785 L) or `gal_imp` (4.546 L)",
        "gal",
        "gals",
        "gallon",
        "gallons",
        "Gal",
        "GAL",
        "US gal",
        "UK gal",
        "gal US",
        "gal UK",
    ),
    **_each(
        "level",
        "say which gallon: `mg/gal_us` (0.264 mg/L) or `mg/gal_imp` (0.220 mg/L)",
        "mg/gal",
        "mg/gallon",
        "mg per gallon",
    ),
    **_each("level", _MEGA + "`mg/L`", "Mg/L", "MG/L", "Mg/l", "MG/l"),
    **_each("level", "write `mg/L`", "mG/L", "mg/l", "mgL", "mg L", "mg/litre", "mg/liter", "mg per L"),
    **_each(
        "level",
        "write `mg/L` of calcium carbonate: 17.85 mg/L for each degree of carbonate hardness (7 dKH is `125 mg/L`)",
        "dKH",
        "dkh",
        "DKH",
        "KH",
        "°dKH",
    ),
    **_each(
        "level",
        "write `mg/L` of calcium carbonate: 50.04 mg/L for each meq (2.5 meq/L is `125 mg/L`)",
        "meq/L",
        "meq/l",
        "mEq/L",
    ),
    **_each("level", "write `mg/mL`, with a capital L", "mg/ml"),
    **_each("level", "write `g/L`, with a capital L", "g/l"),
    **_each("level", "write `ug/L`", "μg/L", "μg/l", "ug/l", "mcg/L"),
    **_each("parts", "write `uL/L`", "ul/l", "μL/L", "μl/L", "μl/l", "ul/L", "uL/l"),
    **_each("parts", "write `mL/L`", "ml/l", "ml/L", "mL/l"),
    **_each("mass", _MEGA + "`mg`", "Mg", "MG"),
    **_each("mass", "write `ug`", "μg", "mcg"),
    **_each("mass", "write `g`; `gr` is also the grain, 65 mg", "gr"),
    **_each("mass", "write `g`", "gm", "gms", "grams", "gram", "grammes"),
    **_each("mass", "write `lb`", "lbs", "pounds", "pound"),
    **_each("volume", "write `L`, with a capital letter: a small one looks like the digit 1", "l", "ℓ"),
    **_each("volume", "write `L`", "litre", "litres", "liter", "liters", "lt", "ltr", "Lt"),
    **_each("volume", "write `mL`", "ml", "mls", "cc", "cm3"),
    **_each("volume", _MEGA + "`mL`", "ML", "Ml"),
    **_each("volume", "write `uL`", "μL", "μl", "ul"),
    **_each("volume", "write `m3`", "m³", "cbm"),
    **_each(
        "volume",
        "say which: `fl_oz_us` (29.57 mL) or `fl_oz_imp` (28.41 mL)",
        "fl oz",
        "fl",
        "fl. oz",
        "floz",
    ),
    **_each("", _SPOON, "tsp", "tbsp", "cup", "cups", "cap", "caps", "capful", "teaspoon", "tablespoon"),
    **_each(
        "", "drops need a calibrated dropper: write `dropper: 20 drops/mL` under the product", "drop", "drops"
    ),
    **_each("duration", "write `d`", "days", "day", "D"),
    **_each("duration", "write `h`", "hours", "hour", "hrs", "hr", "H"),
    **_each("duration", "write `min`", "minutes", "minute", "mins", "mn"),
    **_each("duration", "`m` is metres; for minutes write `min`", "m"),
    **_each("duration", "write `s`", "sec", "secs", "seconds"),
    **_each("duration", "write `wk`", "weeks", "week", "w"),
    **_each("duration", "write days, such as `30 d`", "month", "months", "mo"),
    **_each("length", "write `in`", "inch", "inches", '"', "″", "''"),
    **_each("length", "write `ft`", "feet", "foot", "'", "′"),
    **_each("length", "write `cm`", "centimetres", "centimeters", "Cm", "CM"),
    **_each("length", "write `mm`", "MM", "Mm"),
}
"""Spelling to its mistake. Looked up as typed, then in compatibility form (NFKC): both micro signs, `℃`."""


_AS_LEVEL = Mistake("level", "write `mg/L` of what the kit measures; `ppm` does not say of what")
"""For a reading, of ammonia or copper, formalin is beside the point."""


def find_mistake(unit: str, dimension: str = "") -> Mistake | None:
    """The known slip that `unit` is; where a unit can be one for several dimensions, by the `dimension` asked for.

    >>> find_mistake("µL/L").hint
    'write `uL/L`'
    """
    if dimension == "level" and unit in ("ppm", "PPM"):
        return _AS_LEVEL
    return MISTAKES.get(unit) or MISTAKES.get(unicodedata.normalize("NFKC", unit))

DECIMAL = {
    ("mL", "L"): 0.001,
    ("uL", "L"): 1e-6,
    ("m3", "L"): 1000.0,
    ("mm", "cm"): 0.1,
    ("m", "cm"): 100.0,
    ("cm", "m"): 0.01,
    ("kg", "g"): 1000.0,
    ("mg", "g"): 0.001,
    ("ug", "g"): 1e-6,
    ("ug/L", "mg/L"): 0.001,
    ("g/L", "mg/L"): 1000.0,
    ("mg/mL", "mg/L"): 1000.0,
    ("g/m3", "mg/L"): 1.0,
    ("mL/L", "uL/L"): 1000.0,
    ("mL/m3", "uL/L"): 1.0,
    ("min", "h"): 1 / 60,
    ("s", "h"): 1 / 3600,
    ("d", "h"): 24.0,
    ("wk", "h"): 168.0,
}
"""Steps of ten, and hours: they need no library, and pint is slow to import. A test holds them against units.txt."""
