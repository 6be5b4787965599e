"""How far the level after a dose may lie from what was meant, and what to measure better first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pratique.dosing.dose import Band, Dose
from pratique.dosing.syringes import syringe_error
from pratique.dosing.work import active_in
from pratique.figure import Figure, digits, shown_unit
from pratique.room.resolve import Room, Water

SLACK = 1e-9
"""Share by which rounding may put the end of a range outside a band it stands at."""

WIDE = 0.20
"""Where a treatment has one level and no band: a range wider than this share of it is worth narrowing (D)."""

Source = Literal["volume", "strength", "kit", "syringe"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """One source of error: by how much it alone spreads the level (the treatment's unit), and what helps."""

    what: Source
    width: Figure
    known: str
    advice: str


def share_inside(after: Figure, band: Band) -> float:
    """The share (0 to 1) of the range from `after.low` to `after.high` that lies within the band.

    >>> share_inside(Figure(value=2.25, unit="mg/L", low=1.75, high=2.75), Band(low=2.0, high=2.5, unit="mg/L"))
    0.5
    """
    slack = SLACK * max(band.high, after.high)
    if band.low - slack <= after.low and after.high <= band.high + slack:
        return 1.0
    if after.high <= after.low:
        return 0.0
    covered = min(after.high, band.high) - max(after.low, band.low)
    return min(max(covered / (after.high - after.low), 0.0), 1.0)


def inside(dose: Dose) -> float | None:
    """As `share_inside`, of the level after a dose. None for a treatment of one level, which has no band."""
    return share_inside(dose.after, dose.band) if dose.band.low < dose.band.high else None


def is_too_wide(dose: Dose) -> bool:
    """True where the range after a dose sticks out of its band; without one, where it is wide for the level."""
    share = inside(dose)
    if share is not None:
        return share < 1
    return dose.after.high - dose.after.low > WIDE * dose.target.value


def better_first(dose: Dose, room: Room) -> tuple[Gain, ...]:
    """What spreads the level after a dose, the largest first; each as if all else were exact.

    A source without an error on file is left out: nothing is known of it.
    """
    sums = _Sums.of(dose, room)
    found = [
        Gain(what=what, width=Figure.exact(width, dose.after.unit), known=known, advice=advice)
        for what, width, known, advice in _sources(dose, room, sums)
        if width > SLACK * max(dose.after.high, dose.target.value)
    ]
    return tuple(sorted(found, key=lambda gain: -gain.width.value))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sums:
    """What the level after a dose is made of; amounts in mg or µL of the active."""

    water: float
    before: float
    poured: float
    changed: float
    count: int
    strength: float = 1.0

    @classmethod
    def of(cls, dose: Dose, room: Room) -> _Sums:
        per_unit = active_in(dose, room).per_unit
        change = dose.change
        added = sum(step.add.value for step in dose.steps)
        if change is not None and change.add is not None:
            added += change.add.value
        return cls(
            water=dose.water.value,
            before=dose.before.value,
            poured=added * per_unit,
            changed=change.volume if change is not None else 0.0,
            count=change.count if change is not None else 0,
        )

    def level(self) -> float:
        left = (1 - min(self.changed / self.water, 1.0)) ** self.count
        return self.before * left + self.strength * self.poured / self.water


def _sources(dose: Dose, room: Room, sums: _Sums) -> Iterator[tuple[Source, float, str, str]]:
    strength = active_in(dose, room)
    unit = shown_unit(dose.after.unit)
    water = dose.water
    volume = abs(replace(sums, water=water.low).level() - replace(sums, water=water.high).level())
    known = f"{digits(water.low)} to {digits(water.high)} L"
    yield "volume", volume, known, _volume_advice(room.water_of(dose.tank))
    error = strength.share_error
    weak, strong = (replace(sums, strength=1 + sign * error).level() for sign in (-1, 1))
    advice = "find its data sheet, or read a litre of tank water with a measured amount in it; then mend `error`"
    yield "strength", strong - weak, f"{dose.product} ± {error * 100:.3g} %", advice
    before = dose.before
    reading = replace(sums, before=before.high).level() - replace(sums, before=before.low).level()
    known = f"{digits(before.low)} to {digits(before.high)} {unit} before"
    unread = (before.low, before.high) == (dose.band.low, dose.band.high)
    finer = "read it with a finer kit" if dose.treatment.form else "have it measured more finely"
    finer += ", or three times, and take the middle one"
    yield "kit", reading, known, "read the level first, and give `--reading`" if unread else finer
    under, over = syringe_error(dose, room)
    advice = "take a syringe with finer steps, and the same one each time"
    known = f"{digits(under)} mL too little to {digits(over)} mL too much"
    yield "syringe", (under + over) * strength.per_unit / water.value, known, advice


def _volume_advice(water: Water) -> str:
    specs = [tank.written.volume for tank in water.tanks]
    if any(spec.nominal is not None for spec in specs):
        return "fill it once with a measured jug, or write the inside dimensions and the height of the water"
    if all(spec.measured is not None for spec in specs):
        return "read before and after the next dose: `--added` works the volume out from the rise"
    return "measure the inside to the millimetre, above all the height of the water; or `--added` after a dose"
