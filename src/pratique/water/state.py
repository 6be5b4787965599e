"""What a water is like now: what the room file says of it, or a reading just taken in its place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pratique.figure import Figure
from pratique.problem import Problem
from pratique.quantity import Measure
from pratique.room.brine import Salinity
from pratique.room.model import MixedWater
from pratique.room.resolve import Room, Water
from pratique.water import ammonia, mixing, oxygen
from pratique.water.salinity import grams_per_kg
from pratique.water.volume import NetVolume, net_volume

MATCHES = 1.0
"""g/kg by which mixed water may differ and still serve for a change; no instrument here tells less (treatments 11)."""

DENSITY_AT = 25.0
"""degC at which litres are weighed where the temperature is not known: 5 degC more or less is 0.15 %."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """What was just measured; each stands before the room file's word."""

    salinity: Salinity | None = None
    temperature: Measure | None = None
    ph: Measure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """One water: L, g/kg, degC, pH with their errors. None where neither file nor reading says it."""

    room: Room
    tank: str
    water: Water
    volume: NetVolume
    salinity: float | None
    temperature: Figure | None
    ph: Figure | None

    @property
    def litres(self) -> Figure:
        return self.volume.figure

    @property
    def warmth(self) -> float:
        """degC to weigh a litre at."""
        return self.temperature.value if self.temperature is not None else DENSITY_AT

    @property
    def conditions(self) -> ammonia.Conditions | None:
        """What the harmful part of ammonia hangs on; a pH that is not known counts as high."""
        if self.salinity is None or self.temperature is None:
            return None
        return ammonia.Conditions(
            temperature=self.temperature,
            ph=self.ph or Figure.exact(ammonia.assumed_ph(), "pH"),
            salinity=Figure.exact(self.salinity, "g/kg"),
        )

    @property
    def oxygen(self) -> float | None:
        """mg/L of oxygen at saturation, at the sea; None where it cannot be known."""
        if self.salinity is None or self.temperature is None:
            return None
        try:
            return oxygen.saturation(self.temperature.value, self.salinity)
        except ValueError:
            return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A container of mixed water, the part of the tank (0 to 1) it can replace, and the tank's g/kg after that."""

    written: MixedWater
    salinity: float | None
    share: float
    after: float | None

    @property
    def litres(self) -> float:
        return self.written.volume.value

    def matches(self, salinity: float) -> bool:
        """True where a change with it leaves the salinity as it is."""
        return self.salinity is not None and abs(self.salinity - salinity) <= MATCHES


def look_at(room: Room, tank: str, readings: Readings | None = None) -> State:
    """The state of the water that `tank` is in. KeyError for an unknown tank."""
    water, now = room.water_of(tank), readings or Readings()
    said = water.conditions
    salinity, temperature, ph = now.salinity or said.salinity, now.temperature or said.temperature, now.ph or said.ph
    return State(
        room=room,
        tank=tank,
        water=water,
        volume=net_volume(water),
        salinity=grams_per_kg(salinity) if salinity is not None else None,
        temperature=Figure.of(temperature) if temperature is not None else None,
        ph=Figure.of(ph) if ph is not None else None,
    )


def missing(state: State, *, temperature: bool = True) -> Iterator[Problem]:
    """Salinity, and temperature where it is asked for, that nobody gave."""
    place = (state.room.place(state.water.path, key=True),)
    if state.salinity is None:
        yield Problem(
            code="W801",
            message=f"the salinity of `{state.water.name}` is not known",
            places=place,
            hint="measure it and write such as `salinity: 35 g/kg`, or give `--salinity`",
        )
    if temperature and state.temperature is None:
        yield Problem(
            code="W802",
            message=f"the temperature of `{state.water.name}` is not known",
            places=place,
            hint="measure it and write such as `temperature: 25 degC`, or give `--temperature`",
        )


def stock_of(state: State) -> tuple[Stock, ...]:
    """What the mixed water on file can do in this water, in the order of the file."""
    return tuple(_stock(state, entry) for entry in state.room.written.mixed_water)


def _stock(state: State, entry: MixedWater) -> Stock:
    share = min(entry.volume.value / state.litres.value, 1.0)
    salinity = grams_per_kg(entry.salinity) if entry.salinity is not None else None
    after = None
    if salinity is not None and state.salinity is not None:
        out = share * state.litres.value
        after = mixing.after_swap(state.litres.value, state.salinity, out, salinity, state.warmth)
    return Stock(written=entry, salinity=salinity, share=share, after=after)


def matching_litres(state: State) -> float:
    """L of mixed water on file whose salinity is that of the tank."""
    if state.salinity is None:
        return 0.0
    return sum(stock.litres for stock in stock_of(state) if stock.matches(state.salinity))
