"""Everything that speaks against a disinfection: who is in the water, what it holds, the bottle, the volume."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pratique.dosing.asking import find_bottle, nominal_problems, volume_problems
from pratique.dosing.cleaning.model import CleanRequest
from pratique.dosing.facts import Setting, interlocks_met
from pratique.dosing.overrides import Overridden, set_aside
from pratique.dosing.product import Active
from pratique.problem import Problem

_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class CleanAsked:
    """`strength` is missing where nothing is poured, or where a problem says why."""

    strength: Active | None
    problems: tuple[Problem, ...]
    overridden: tuple[Overridden, ...]


def ask_cleaning(request: CleanRequest) -> CleanAsked:
    """Every reason at once."""
    room, treatment = request.room, request.treatment
    strength, problems = None, list[Problem]()
    if treatment.active:
        strength, problems = find_bottle(room, treatment, request.product, request.at)
    setting = Setting(
        room=room,
        treatment=treatment,
        water=request.water,
        animals=request.animals,
        at=request.at,
        product=(strength.name, strength.product) if strength is not None else None,
    )
    met, overridden = set_aside(interlocks_met(setting), treatment, request.because)
    problems += met
    if request.litres is not None:
        problems += [*volume_problems(request.litres, request.what), *nominal_problems(room, request.litres)]
    return CleanAsked(strength=strength, problems=tuple(problems), overridden=overridden)


def enough_of(wanted: float, strength: Active) -> float:
    """The product (mL, g or tablets) that holds `wanted` (mg of its active) even if it is as weak as its error allows.

    Disinfecting is the other way round from dosing: too little is the danger, and nothing alive is in the water. So
    the amount is rounded up, to the three figures that are shown.
    """
    exact = wanted / strength.per_unit / (1 - strength.share_error)
    if exact <= 0:
        return 0.0
    step = 10.0 ** (math.floor(math.log10(exact)) - 2)
    return round(math.ceil(exact / step - _NEAR) * step, 9)
