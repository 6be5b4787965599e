"""Rooms and states for the tests of a water: a bare tub, changed key by key."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import yaml

from dosing_rooms import keys, make_room
from pratique.figure import Figure
from pratique.quantity import parse_measure
from pratique.room.brine import read_salinity
from pratique.water.ammonia import Conditions, share_figure
from pratique.water.state import Readings, State, look_at

NOBODY: dict[str, Any] = {"animals": None, "shelf": None}
"""The sound room without animals."""

ONE_FISH: dict[str, Any] = {"animals": [{"species": "yellow tang", "size": "10 cm", "tank": "q1"}]}
"""28 g by its build, 14 to 56."""

BIN: dict[str, Any] = {"mixed_water": [{"volume": "30 L", "salinity": "40 g/kg", "made": "2027-03-03"}]}


def state(**changes: Any) -> State:
    """The tub of the sound room with changes: 200 L ± 1 L, 34 g/kg, 25 degC, pH 8.1."""
    return look_at(make_room(**changes), "q1")


def read_now(salinity: str | None = None, temperature: str | None = None, ph: str | None = None) -> Readings:
    return Readings(
        salinity=read_salinity(salinity) if salinity else None,
        temperature=parse_measure(temperature, "temperature") if temperature else None,
        ph=parse_measure(ph, "ph") if ph else None,
    )


def exactly(temperature: float, ph: float, salinity: float) -> Conditions:
    """Conditions without errors: degC, pH, g/kg."""
    return Conditions(
        temperature=Figure.exact(temperature, "degC"),
        ph=Figure.exact(ph, "pH"),
        salinity=Figure.exact(salinity, "g/kg"),
    )


def unionised_share(temperature: float, ph: float, salinity: float) -> float:
    """The part (0 to 1) of total ammonia that is un-ionised in water known without errors."""
    return share_figure(exactly(temperature, ph, salinity)).value / 100


def level(text: str) -> Figure:
    return Figure.of(parse_measure(text, "level"))


def write_room(folder: Path, **changes: Any) -> str:
    """The changed room as a file; its path."""
    path = folder / "fishroom.yaml"
    plain = json.loads(json.dumps(keys(**changes)))  # no aliases, which the reader refuses
    path.write_text(yaml.safe_dump(plain, sort_keys=False, allow_unicode=True), encoding="utf-8")
    return str(path)
