"""The vessel of a dip, how far it is filled, and for how many minutes a fish may stay in it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.aim import SLACK
from pratique.dosing.dip import DipRequest
from pratique.figure import Figure, digits
from pratique.knowledge.model import Sourced, Treatment, cite
from pratique.problem import Problem, near_hint, near_names, quoted
from pratique.water.volume import measured_volume

MINUTES = 60.0
"""In an hour, which times are kept in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Vessel:
    """What the fish is dipped in, and the litres it is filled with."""

    name: str
    water: Figure
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """Minutes: the usual time with the shortest and longest in use, and the limit with who says so."""

    usual: Figure
    ceiling: float
    source: Sourced
    limit: Sourced


def find_vessel(request: DipRequest) -> Vessel | Problem:
    """The vessel and how far it is filled (L): `volume`, the named vessel, or the only one of the room file."""
    vessels = request.room.written.vessels
    known = ", ".join(f"`{name}`" for name in vessels)
    if request.vessel is not None and request.vessel not in vessels:
        hint = near_hint(near_names(request.vessel, vessels)) or f"on file: {known or 'none'}"
        return Problem(code="D458", message=f"there is no vessel {quoted(request.vessel)} in the room file", hint=hint)
    name = request.vessel or (next(iter(vessels)) if len(vessels) == 1 else "")
    if request.volume is not None:
        return _filled(request, name)
    if not name:
        message = "there are several vessels, and none was named" if vessels else "no vessel is on file"
        hint = (
            f"name one of {known}, or say `--volume`"
            if vessels
            else "say `--volume 20 L`, or write it under `vessels:`"
        )
        return Problem(code="D458", message=f"{message}, so no amount was worked out", hint=hint)
    return Vessel(name=name, water=measured_volume(vessels[name]), text=vessels[name].text)


def _filled(request: DipRequest, name: str) -> Vessel | Problem:
    volume = request.volume
    assert volume is not None
    if volume.low <= 0:
        return Problem(code="D458", message=f"{quoted(volume.text)} is not a volume to dip in", hint="write litres")
    holds = request.room.written.vessels.get(name)
    if request.vessel is not None and holds is not None and volume.value > holds.high * (1 + SLACK):
        return Problem(
            code="D458",
            message=f"`{name}` holds {digits(holds.value)} L, less than the {digits(volume.value)} L asked for",
            places=(request.room.place(("vessels", name)),),
            hint="take a larger vessel, or fill it less",
        )
    named = name if request.vessel is not None else "the vessel"
    return Vessel(name=named, water=measured_volume(volume), text=volume.text)


def find_times(treatment: Treatment) -> Times:
    """The times of a dip or bath in minutes. Where no limit is on file, the longest time in use is the limit."""
    ranked = treatment.numbers["minutes"]
    limit = treatment.number("minutes_ceiling") or treatment.number("ceiling")
    if limit is None or limit.unit != ranked[0].unit:
        limit = max(ranked, key=lambda number: number.high)
    ceiling = limit.high * MINUTES
    ends = [min(end * MINUTES, ceiling) for number in ranked for end in (number.low, number.high)]
    usual = Figure.around(ranked[0].value * MINUTES, "min", *ends)
    return Times(usual=usual, ceiling=ceiling, source=ranked[0], limit=limit)


def time_problems(request: DipRequest, times: Times) -> Iterator[Problem]:
    minutes = request.minutes
    if minutes is None or 0 < minutes <= times.ceiling * (1 + SLACK):
        return
    limit = times.limit
    what = f"is above the ceiling {times.ceiling:g} min of" if minutes > 0 else "is no time for a"
    yield Problem(
        code="D459",
        message=f"{minutes:g} min {what} `{request.treatment.id}`",
        source=cite(limit),
        hint=f"the usual time is {times.usual.value:g} min, the times in use are "
        f"{times.usual.low:g} to {times.usual.high:g} min",
    )
