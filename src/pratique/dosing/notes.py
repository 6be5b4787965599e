"""What a person has to know to measure and pour an amount that is right on paper."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.aim import Aim, is_long_bath
from pratique.dosing.formalin import oxygen_taken
from pratique.dosing.mix import Mix
from pratique.dosing.vessel import Times, find_times
from pratique.figure import Figure, digits
from pratique.room.resolve import Water

LEAST = {"mL": 0.1, "g": 0.05}
"""The least that a small syringe or a kitchen scale of 0.01 g still measures to a tenth or so (D)."""

STOCK = 100.0
"""mL made up from 1 mL or 1 g where the amount itself is too small to measure."""

SATURATION = 8.0
"""mg/L of oxygen that aerated water holds at most in a warm tank, the top of `oxygen_keep` (treatments 5)."""


def bath_times(aim: Aim) -> Times | None:
    """How long a strong bath lasts (minutes); None for the long low one, and for what is held for days."""
    return None if aim.treatment.kind != "bath" or is_long_bath(aim) else find_times(aim.treatment)


def _bath_notes(aim: Aim) -> Iterator[str]:
    times = bath_times(aim)
    if times is None:
        return
    yield (
        f"a bath of {times.usual.value:.0f} min, never over {times.ceiling:.0f} min, then out of it at once: have "
        "clean water of the same temperature and salinity ready before you pour, stay beside it, and never leave "
        "fish in this water"
    )
    yield f"better in a vessel of its own: `pratique dip {aim.treatment.id} --for …` has the sheet and the stop signs"


def handling_notes(mix: Mix, add: Figure, level: float, water: Water | None) -> Iterator[str]:
    """Notes on an amount of product (`add`) that brings a water to `level` (the treatment's unit)."""
    if water is not None:
        yield from _bath_notes(mix.aim)
    if water is not None and (len(water.tanks) > 1 or water.sump is not None):
        names = ", ".join(tank.name for tank in water.tanks) + (" and the sump" if water.sump is not None else "")
        yield f"this is for the whole water, {names}: once, not for each tank"
    if add.value > 0:
        yield from _measuring_notes(add)
    if mix.aim.treatment.id == "formalin-bath":
        yield from _formalin_notes(mix, add, level)


def _measuring_notes(add: Figure) -> Iterator[str]:
    least = LEAST.get(add.unit)
    if least is not None and add.value < least:
        shaken = "" if add.unit == "mL" else ", shaken"
        yield (
            f"too little to measure: mix 1 {add.unit} with clean water to {STOCK:g} mL, "
            f"and take {digits(add.value * STOCK)} mL of that at once{shaken}"
        )


def _formalin_notes(mix: Mix, add: Figure, level: float) -> Iterator[str]:
    treatment = mix.aim.treatment
    taken = oxygen_taken(level, treatment)
    hours = treatment.needed("oxygen_hours")
    debt = f"this level takes {digits(taken)} mg/L of oxygen over {hours.low:g} to {hours.high:g} h"
    more = ", more than the water holds" if taken > SATURATION else ""
    yield f"{debt}{more}: strong air from before the fish goes in until the water is gone"
    if add.value > 0 and add.unit != "tablet":
        parts = treatment.needed("predilute").value
        litres = add.value * parts / 1000
        yield f"stir it into {digits(litres)} L of the water first (1 in {parts:g}), then pour it in away from any fish"
    if is_long_bath(mix.aim):
        time = treatment.needed("prolonged_practice_time")
        yield f"this is the long low bath: {time.low:g} to {time.high:g} h in practice, then change the water"
