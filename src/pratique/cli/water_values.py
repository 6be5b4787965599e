"""Waters typed on the command line: a salinity, a reading, `20 L at 30 g/kg`; read as strictly as the room file."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

import click

from pratique.dosing.salinity_plan import PutIn
from pratique.quantity import Measure
from pratique.room.brine import Salinity, read_salinity
from pratique.room.fields import measure
from pratique.room.wrong import Wrong
from pratique.water.pouring import Pour
from pratique.water.salinity import grams_per_kg

T = TypeVar("T")

_TEMPERATURE = measure("temperature", least=-2, most=45)
_VOLUME = measure("volume", above=0, most=10_000_000)
_READERS: dict[str, Callable[[Any], Measure]] = {
    "--temperature": _TEMPERATURE,
    "--ph": measure("ph", least=4, most=11),
    "--ammonia": measure("level", least=0, most=100_000),
    "--nitrite": measure("level", least=0, most=100_000),
    "--food": measure("mass", least=0, most=100_000),
}

_PARTS = re.compile(r"(?P<litres>(?:(?!sg).)+?) at (?P<salinity>.+?)(?:, ?(?P<warm>[0-9.+-]+ ?deg[CF]))?")


def read_as(reader: Callable[[Any], T], text: str, option: str) -> T:
    """What `reader` makes of `text`; where it cannot, the end of the program with its words."""
    try:
        return reader(text)
    except Wrong as error:
        raise click.BadParameter(f"{error.message}; {error.hint}", param_hint=option) from None


def read_reading(text: str | None, option: str) -> Measure | None:
    """A reading of the kind that `option` takes."""
    return None if text is None else read_as(_READERS[option], text, option)


def read_salt_level(text: str | None, option: str) -> Salinity | None:
    """g/kg, or a specific gravity with its temperature."""
    return None if text is None else read_as(read_salinity, text, option)


def read_grams(text: str | None, option: str) -> float | None:
    """As `read_salt_level`, in g/kg."""
    found = read_salt_level(text, option)
    return None if found is None else grams_per_kg(found)


def read_pour(text: str, option: str) -> Pour:
    """`20 L at 30 g/kg`, `20 L at 1.022 sg at 24 degC`, and with `, 22 degC` behind it the water's own warmth."""
    found = _PARTS.fullmatch(" ".join(text.split()))
    if found is None:
        example = "write such as `20 L at 30 g/kg`"
        raise click.BadParameter(f"`{text[:60]}` is not so much water of a salinity; {example}", param_hint=option)
    litres = read_as(_VOLUME, found["litres"], option)
    salinity = read_as(read_salinity, found["salinity"], option)
    warm = read_as(_TEMPERATURE, found["warm"], option).value if found["warm"] else None
    return Pour(litres=litres, salinity=grams_per_kg(salinity), temperature=warm)


def read_put_in(text: str, option: str) -> PutIn:
    """The water to change with: `40 g/kg`, or `30 L at 40 g/kg` where there is so much of it for each day."""
    if _PARTS.fullmatch(" ".join(text.split())):
        pour = read_pour(text, option)
        return PutIn(salinity=pour.salinity, per_day=pour.litres.value)
    salinity = read_grams(text, option)
    assert salinity is not None
    return PutIn(salinity=salinity)
