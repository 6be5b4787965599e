"""A quantity in the log: the keeper's own words beside the value the program understood by them.

Both are kept, so that a later reader can see what was written and need not trust the reading. Where the two
disagree (a file changed by hand) the entry is set aside.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from pratique.problem import quoted
from pratique.quantity import Measure, QuantityError, parse_measure
from pratique.room.brine import read_salinity
from pratique.room.fields import measure
from pratique.room.phrases import read_left
from pratique.room.wrong import Wrong, wrong_quantity

Unit = Literal["mg/L", "pH", "g/kg", "sg", "degC", "L", "%", "mL", "g", "tablet"]

Sort = Literal[
    "copper", "ammonia", "nitrite", "ph", "salinity", "temperature", "oxygen", "alkalinity", "volume", "share", "amount"
]
"""What is measured, or: a volume of water; a volume or a percentage of it; an amount of a product."""


class Written(BaseModel):
    """What the log holds is as strict as it can be: nothing is converted, nothing unknown is let by."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, strict=True, defer_build=True)


class Quantity(Written):
    """`text` as the keeper wrote it, `value` in `unit`; `low` and `high` only where an error was written.

    A specific gravity stays one (unit `sg`); the temperature it was read at stands in `text`.
    """

    text: str = Field(min_length=1, max_length=100)
    value: float
    unit: Unit
    low: float | None = None
    high: float | None = None


def read_quantity(text: str, sort: Sort) -> Quantity:
    """The quantity that `text` says. Raises Wrong with the codes of the room file (U2xx)."""
    value, unit, low, high = _read(" ".join(text.split()), sort)
    shown = " ".join(text.split())
    return Quantity(text=shown, value=value, unit=unit, low=low, high=high)


def agrees(quantity: Quantity, sort: Sort) -> bool:
    """True where the text still reads as the value beside it."""
    try:
        value, unit, low, high = _read(quantity.text, sort)
    except Wrong:
        return False
    found, kept = (value, low, high), (quantity.value, quantity.low, quantity.high)
    return unit == quantity.unit and all(map(_same, found, kept))


def _same(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is other
    return one == other or math.isclose(one, other, rel_tol=1e-9)


_Read = tuple[float, Any, float | None, float | None]


@lru_cache(maxsize=8192)
def _read(text: str, sort: Sort) -> _Read:
    return _READERS[sort](text)


def _of(
    dimension: str, *, least: float | None = None, above: float | None = None, most: float
) -> Callable[[str], _Read]:
    read = measure(dimension, least=least, above=above, most=most)
    return lambda text: _ends(read(text))


def _ends(found: Measure) -> _Read:
    return (found.value, found.unit, None, None) if found.exact else (found.value, found.unit, found.low, found.high)


def _read_oxygen(text: str) -> _Read:
    """mg/L; a percentage of saturation says nothing without temperature, salinity and height."""
    if text.endswith("%") and "±" not in text:
        message = f"{quoted(text)} is a share of saturation, which is another amount of oxygen in every water"
        raise Wrong("U208", message, "switch the meter to `mg/L` and write that, such as `6.6 mg/L`")
    return _read_level(text)


def _read_salinity(text: str) -> _Read:
    found = read_salinity(text)
    return found.value, "sg" if found.is_gravity else "g/kg", None, None


_read_volume = _of("volume", above=0, most=10_000_000)


def _read_share(text: str) -> _Read:
    if not text.endswith("%"):
        return _read_volume(text)
    try:
        found = parse_measure(text, "fraction")
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if not 0 < found.low <= found.high <= 100:
        raise Wrong("U212", f"{quoted(text)} is not a share of the water", "write a share above 0 and up to 100 %")
    return _ends(found)


def _read_amount(text: str) -> _Read:
    found = read_left(text)
    if found.value <= 0:
        raise Wrong("U212", f"{quoted(text)} is zero", "an amount here is above zero; write nothing for nothing")
    if found.value > _MOST_AMOUNT:
        raise Wrong("U212", f"{quoted(text)} is more than any shelf holds", "check the number and its unit")
    return found.value, found.unit, None, None


_MOST_AMOUNT = 1_000_000
"""mL, g or tablets."""

_read_level = _of("level", least=0, most=100_000)
_READERS: dict[str, Callable[[str], _Read]] = {
    **dict.fromkeys(("copper", "ammonia", "nitrite", "alkalinity"), _read_level),
    "oxygen": _read_oxygen,
    "ph": _of("ph", least=4, most=11),
    "temperature": _of("temperature", least=-2, most=45),
    "salinity": _read_salinity,
    "volume": _read_volume,
    "share": _read_share,
    "amount": _read_amount,
}
