"""Net volume: the water that is really there, with its error and the working."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import product

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.quantity import Measure
from pratique.room.model import VolumeSpec
from pratique.room.resolve import Tank, Water
from pratique.room.volume_spec import MEASURES


@dataclass(frozen=True, slots=True, kw_only=True)
class NetVolume:
    """Litres of water; `nominal` names the tanks whose size is only the label's."""

    figure: Figure
    nominal: tuple[str, ...]
    working: tuple[Step, ...]


def net_volume(water: Water) -> NetVolume:
    """The whole water in L: its tanks and its sump, errors added at their worst.

    Dimensions that leave no room for water give a volume of zero or less: the caller refuses it.
    Source: geometry; for figures of sand, rock and errors see the record `volume` (from memory, unverified).
    """
    parts = [(tank.name, *tank_volume(tank)) for tank in water.tanks]
    steps = [step for _, _, working in parts for step in working]
    if water.sump is not None:
        sump = measured_volume(water.sump)
        steps.append(Step(label="sump", expression="as written in the room file", result=f"{digits(sump.value)} L"))
        parts.append(("sump", sump, ()))
    total = parts[0][1]
    for _, figure, _ in parts[1:]:
        total = total.plus(figure)
    if len(parts) > 1:
        names = " + ".join(name for name, _, _ in parts)
        steps.append(Step(label="water in all", expression=names, result=f"{digits(total.value)} L"))
    nominal = tuple(tank.name for tank in water.tanks if tank.written.volume.nominal is not None)
    return NetVolume(figure=total, nominal=nominal, working=tuple(steps))


def tank_volume(tank: Tank) -> tuple[Figure, tuple[Step, ...]]:
    """One tank's net volume in L with its working."""
    spec = tank.written.volume
    if spec.measured is not None:
        figure = measured_volume(spec.measured)
        step = Step(
            label=f"net volume of {tank.name}",
            expression=f"measured, {spec.measured.text}",
            result=f"{digits(figure.value)} L",
        )
        return figure, (step,)
    if spec.nominal is not None:
        return _nominal(tank, spec.nominal)
    return _from_dimensions(tank, spec)


def measured_volume(measure: Measure) -> Figure:
    """A volume filled by measure, in L: with its own error, or else that of the record `volume`."""
    return Figure.of(measure.with_error(_known("measured_error").value / 100))


def _known(name: str) -> Sourced:
    return store.volume_figures().needed(name)


def _nominal(tank: Tank, nominal: Measure) -> tuple[Figure, tuple[Step, ...]]:
    least, most = _known("nominal_low"), _known("nominal_high")
    low = nominal.low * least.value / 100
    high = max(nominal.high * most.value / 100, nominal.high)
    step = Step(
        label=f"net volume of {tank.name}",
        expression=f"nominal, {nominal.text}; the water in it may be as little as {digits(low)} L",
        result=f"{digits(nominal.value)} L",
        source=least.source,
    )
    return Figure(value=nominal.value, unit="L", low=low, high=high), (step,)


def _from_dimensions(tank: Tank, spec: VolumeSpec) -> tuple[Figure, tuple[Step, ...]]:
    """Every corner of the error box is worked out; the ends are the least and the most of them."""
    shape = str(spec.shape)
    names = MEASURES[shape]
    sides = [_side(spec, name) for name in names]
    gross = _gross(shape, tuple(side.value for side in sides))
    corners = [_gross(shape, corner) for corner in product(*((side.low, side.high) for side in sides))]
    shown = " × ".join(f"{digits(side.value)} cm" for side in sides)
    inside = Step(
        label=f"inside of {tank.name} up to the water line",
        expression=f"{shape}: {shown} ({' × '.join(names)})",
        result=f"{digits(gross)} L",
    )
    steps = [inside]
    taken = _displaced(spec, gross / sides[-1].value, steps)
    value = gross - taken.value
    if taken.high > 0:
        step = Step(
            label=f"net volume of {tank.name}",
            expression=f"{digits(gross)} L − {digits(taken.value)} L",
            result=f"{digits(value)} L",
        )
        steps.append(step)
    return Figure.around(value, "L", min(corners) - taken.high, max(corners) - taken.low), tuple(steps)


def _side(spec: VolumeSpec, name: str) -> Figure:
    """One inside measure in cm. Where the glass leaves nothing, nothing is left."""
    measure: Measure = getattr(spec, name)
    error = _known("fill_error" if name == "fill" else "tape_error").value
    low, high = (measure.value - error, measure.value + error) if measure.exact else (measure.low, measure.high)
    walls = 0.0
    if spec.dimensions == "outside" and spec.glass is not None and name != "fill":
        walls = 2 * spec.glass.value
    value, low, high = (max(end - walls, 0.0) for end in (measure.value, low, high))
    return Figure(value=value, unit="cm", low=low, high=high)


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
    if rise <= 0 or chord <= 0:
        return 0.0
    radius = (chord**2 / 4 + rise**2) / (2 * rise)
    return radius**2 * math.acos((radius - rise) / radius) - (radius - rise) * chord / 2


def _displaced(spec: VolumeSpec, area: float, steps: list[Step]) -> Figure:
    """Litres that sand, rock and other things take the place of; `area` is the floor in L per cm of height."""
    taken = Figure.exact(0.0, "L")
    if spec.sand is not None:
        solid = _known("sand_solids")
        bed = Figure.of(spec.sand).times(area, "L")
        part = _product(bed, solid, 0.01)
        taken = taken.plus(part)
        steps.append(_taken("sand", f"{digits(bed.value)} L of bed × {solid.value:g} % solid", part, solid.source))
    if spec.rock is not None:
        per_kg = _known("rock_litres_per_kg")
        mass = Figure.of(spec.rock).times(0.001, "kg")
        part = _product(mass, per_kg, 1.0)
        taken = taken.plus(part)
        steps.append(_taken("rock", f"{digits(mass.value)} kg × {per_kg.value:g} L/kg", part, per_kg.source))
    if spec.displacement is not None:
        part = Figure.of(spec.displacement)
        taken = taken.plus(part)
        steps.append(_taken("other things", spec.displacement.text, part, ""))
    return taken


def _product(figure: Figure, number: Sourced, factor: float) -> Figure:
    return Figure(
        value=figure.value * number.value * factor,
        unit="L",
        low=figure.low * number.low * factor,
        high=figure.high * number.high * factor,
    )


def _taken(what: str, expression: str, part: Figure, source: str) -> Step:
    return Step(label=f"taken by {what}", expression=expression, result=f"{digits(part.value)} L", source=source)
