"""Net volume: the water that is really there, with its error and the working."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.quantity import Measure
from pratique.room.model import VolumeSpec
from pratique.room.resolve import Tank, Water


@dataclass(frozen=True, slots=True, kw_only=True)
class NetVolume:
    """Litres of water; `nominal` names the tanks whose size is only the label's."""

    figure: Figure
    nominal: tuple[str, ...]
    working: tuple[Step, ...]


def net_volume(water: Water) -> NetVolume:
    """The whole water: its tanks and its sump, errors added at their worst.

    Source: geometry; for figures of sand, rock and errors see the record `volume` (from memory, unverified).
    """
    parts = [(tank.name, *tank_volume(tank)) for tank in water.tanks]
    steps = tuple(step for _, _, working in parts for step in working)
    value, low, high = (sum(getattr(figure, end) for _, figure, _ in parts) for end in ("value", "low", "high"))
    if water.sump is not None:
        sump = _with_error(water.sump, "measured_error")
        value, low, high = value + sump.value, low + sump.low, high + sump.high
        steps += (Step(label="sump", expression="as written in the room file", result=f"{digits(sump.value)} L"),)
    if len(parts) > 1 or water.sump is not None:
        names = " + ".join([name for name, _, _ in parts] + (["sump"] if water.sump else []))
        steps += (Step(label="water in all", expression=names, result=f"{digits(value)} L"),)
    nominal = tuple(tank.name for tank in water.tanks if tank.written.volume.nominal is not None)
    return NetVolume(figure=Figure(value=value, unit="L", low=low, high=high), nominal=nominal, working=steps)


def tank_volume(tank: Tank) -> tuple[Figure, tuple[Step, ...]]:
    """One tank's net volume in L with its working."""
    spec = tank.written.volume
    if spec.measured is not None:
        found = _with_error(spec.measured, "measured_error")
        figure = Figure.of(found)
        return figure, (Step(label=f"net volume of {tank.name}", expression=f"measured, {spec.measured.text}", result=f"{digits(figure.value)} L"),)
    if spec.nominal is not None:
        return _nominal(tank, spec.nominal)
    return _from_dimensions(tank, spec)


def _figures(name: str) -> tuple[float, float, float]:
    number = store.volume_figures().needed(name)
    return number.value, number.low, number.high


def _with_error(measure: Measure, name: str) -> Measure:
    return measure.with_error(_figures(name)[0] / 100)


def _nominal(tank: Tank, nominal: Measure) -> tuple[Figure, tuple[Step, ...]]:
    low = nominal.low * _figures("nominal_low")[0] / 100
    high = nominal.high * _figures("nominal_high")[0] / 100
    figure = Figure(value=nominal.value, unit="L", low=low, high=max(high, nominal.high))
    step = Step(
        label=f"net volume of {tank.name}",
        expression=f"nominal, {nominal.text}; the water in it may be as little as {digits(low)} L",
        result=f"{digits(figure.value)} L",
        source=store.volume_figures().needed("nominal_low").source,
    )
    return figure, (step,)


def _from_dimensions(tank: Tank, spec: VolumeSpec) -> tuple[Figure, tuple[Step, ...]]:
    """Every corner of the error box is worked out; the ends are the least and the most of them."""
    names = {"box": ("length", "width", "fill"), "cylinder": ("diameter", "fill"), "bow front": ("length", "width", "bow", "fill")}[str(spec.shape)]
    sides = [_side(spec, name) for name in names]
    corners = [_gross(str(spec.shape), corner) for corner in product(*((s.low, s.high) for s in sides))]
    gross = _gross(str(spec.shape), tuple(s.value for s in sides))
    shown = " × ".join(f"{digits(side.value)} cm" for side in sides)
    steps = [Step(label=f"inside of {tank.name} up to the water line", expression=f"{spec.shape}: {shown} ({' × '.join(names)})", result=f"{digits(gross)} L")]
    taken = _displaced(spec, gross, sides[-1], steps)
    value, low, high = gross - taken.value, min(corners) - taken.high, max(corners) - taken.low
    if not taken.is_exact or taken.value:
        steps.append(Step(label=f"net volume of {tank.name}", expression=f"{digits(gross)} L − {digits(taken.value)} L", result=f"{digits(value)} L"))
    return Figure(value=value, unit="L", low=low, high=high), tuple(steps)


def _side(spec: VolumeSpec, name: str) -> Figure:
    measure: Measure = getattr(spec, name)
    error = _figures("fill_error" if name == "fill" else "tape_error")[0]
    low, high = (measure.value - error, measure.value + error) if measure.exact else (measure.low, measure.high)
    walls = 0.0
    if spec.dimensions == "outside" and spec.glass is not None and name != "fill":
        walls = 2 * spec.glass.value
    return Figure(value=measure.value - walls, unit="cm", low=max(low - walls, 0.0), high=high - walls)


def _gross(shape: str, sides: tuple[float, ...]) -> float:
    """Litres from centimetres. A bow front is the box plus the segment of a circle in front of it."""
    if shape == "box":
        length, width, fill = sides
        return length * width * fill / 1000
    if shape == "cylinder":
        diameter, fill = sides
        return math.pi * diameter**2 / 4 * fill / 1000
    length, width, bow, fill = sides
    return (length * width + _segment(length, max(bow - width, 0.0))) * fill / 1000


def _segment(chord: float, rise: float) -> float:
    """Area of the circular segment over `chord` with height `rise`, in the square of their unit."""
    if rise <= 0:
        return 0.0
    radius = (chord**2 / 4 + rise**2) / (2 * rise)
    return radius**2 * math.acos((radius - rise) / radius) - (radius - rise) * chord / 2


def _displaced(spec: VolumeSpec, gross: float, fill: Figure, steps: list[Step]) -> Figure:
    value = low = high = 0.0
    if spec.sand is not None:
        share, least, most = _figures("sand_solids")
        depth = spec.sand
        bulk = gross / fill.value
        value += bulk * depth.value * share / 100
        low += bulk * depth.low * least / 100
        high += bulk * depth.high * most / 100
        steps.append(Step(label="taken by sand", expression=f"{digits(bulk * depth.value)} L of bed × {share:g} % solid", result=f"{digits(bulk * depth.value * share / 100)} L", source="MEMORY"))
    if spec.rock is not None:
        per_kg, least, most = _figures("rock_litres_per_kg")
        mass = spec.rock
        value += mass.value / 1000 * per_kg
        low += mass.low / 1000 * least
        high += mass.high / 1000 * most
        steps.append(Step(label="taken by rock", expression=f"{digits(mass.value / 1000)} kg × {per_kg:g} L/kg", result=f"{digits(mass.value / 1000 * per_kg)} L", source="MEMORY"))
    if spec.displacement is not None:
        value, low, high = value + spec.displacement.value, low + spec.displacement.low, high + spec.displacement.high
        steps.append(Step(label="taken by other things", expression=spec.displacement.text, result=f"{digits(spec.displacement.value)} L"))
    return Figure(value=value, unit="L", low=low, high=high)
