"""The same room written in another way: other units, other names, another year."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from typing import Any

from pratique.water.salinity import gravity_of

LITRES = {"L": 1.0, "gal_us": 3.785411784, "gal_imp": 4.54609}
"""By definition: the US gallon is 231 cubic inches, the imperial one 4.54609 L."""

_VOLUME = re.compile(r"\b([0-9.]+) L\b")
_DEGREES = re.compile(r"\b([0-9.]+) degC\b")
_SALINITY = re.compile(r"\b([0-9.]+) g/kg\b")
_DATE = re.compile(r"\b20\d\d-\d\d-\d\d")


def everywhere(data: Any, change: Callable[[str], str]) -> Any:
    """The data with `change` applied to each text in it, keys left alone."""
    if isinstance(data, dict):
        return {key: everywhere(value, change) for key, value in data.items()}
    if isinstance(data, list):
        return [everywhere(value, change) for value in data]
    return change(data) if isinstance(data, str) else data


def in_unit(unit: str) -> Callable[[str], str]:
    """Litres written in another unit, to all digits."""
    return lambda text: _VOLUME.sub(lambda found: f"{float(found[1]) / LITRES[unit]!r} {unit}", text)


def in_fahrenheit(text: str) -> str:
    """degC written as degF: 9/5 and 32, by definition."""
    return _DEGREES.sub(lambda found: f"{float(found[1]) * 9 / 5 + 32!r} degF", text)


def in_gravity(text: str) -> str:
    """g/kg written as the specific gravity it has at 25 degC."""
    return _SALINITY.sub(lambda found: f"{gravity_of(float(found[1])):.9f} sg at 25 degC", text)


def shifted(days: int) -> Callable[[str], str]:
    """Every date that many days later."""

    def move(found: re.Match[str]) -> str:
        return (dt.date.fromisoformat(found[0]) + dt.timedelta(days=days)).isoformat()

    return lambda text: _DATE.sub(move, text)


def renamed(data: dict[str, Any], names: dict[str, str]) -> dict[str, Any]:
    """The room with its tanks called otherwise, wherever they are named."""
    tanks = {names.get(name, name): keys for name, keys in data["tanks"].items()}
    animals = [{**animal, "tank": names.get(animal["tank"], animal["tank"])} for animal in data.get("animals", [])]
    return {**data, "tanks": tanks, "animals": animals}
