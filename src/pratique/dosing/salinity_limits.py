"""What stands against a change of salinity: who lives there, where it leads, and the water it is done with."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.dosing.asking import nominal_problems, volume_problems
from pratique.dosing.facts import Planned, Setting, interlocks_met
from pratique.dosing.overrides import Overridden, set_aside
from pratique.dosing.salinity_plan import SalinityRequest
from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Treatment, cite
from pratique.problem import Problem
from pratique.room.resolve import Animal
from pratique.water.state import State

STRONGER = 5.0
"""g/kg over the goal of the water to mix for the way up where none on file is salty enough (D): with it the last
step of 2 g/kg changes under a third of the tank, and water of the goal itself would never arrive."""

NEAR = 1e-6
"""g/kg below which two salinities are one."""


def salinity_problems(request: SalinityRequest) -> tuple[tuple[Problem, ...], tuple[Overridden, ...]]:
    """Everything against the request, blocks and warnings, in no order; and the interlocks set aside for a reason."""
    state = request.state
    met: list[Problem] = []
    if request.is_low:
        met = low_water_problems(state, request.treatment, request.animals, request.at, request.planned)
    kept, overridden = set_aside(met, request.treatment, request.because)
    problems = (
        *volume_problems(state.volume, state.water.name),
        *nominal_problems(state.room, state.volume),
        *kept,
        *(_outside_band(request) if request.course else _outside_life(request)),
        *_leads_astray(request),
    )
    return problems, overridden


def low_water_problems(
    state: State,
    treatment: Treatment,
    animals: tuple[Animal, ...],
    at: dt.datetime,
    planned: tuple[Planned, ...] = (),
) -> list[Problem]:
    """What may not meet low salinity, in this water."""
    setting = Setting(
        room=state.room,
        treatment=treatment,
        water=state.water,
        animals=animals,
        at=at,
        temperature=state.temperature.high if state.temperature is not None else None,
        planned=planned,
    )
    return interlocks_met(setting)


def _outside_band(request: SalinityRequest) -> Iterator[Problem]:
    """A treatment that is too weak a threat to the parasite or too low for fish; or a tank that is lower already."""
    treatment = request.treatment
    least, most = treatment.needed("lowest_salinity"), treatment.needed("ceiling")
    if request.goal > most.value + NEAR:
        yield _band(request, most, f"is above {most.value:g} g/kg, the most that still counts as `{treatment.id}`")
    elif request.goal < least.value - NEAR:
        yield _band(request, least, f"is below {least.value:g} g/kg, the lowest in use for weeks")
    elif request.start < least.value - NEAR:
        now = f"the water is at {digits(request.start)} g/kg, below {least.value:g} g/kg already"
        yield _band(request, least, f"is not reached by going down: {now}")


def _band(request: SalinityRequest, by: Sourced, what: str) -> Problem:
    target = request.treatment.needed("target")
    return Problem(
        code="W812",
        message=f"the target {digits(request.goal)} g/kg {what}",
        source=cite(by),
        hint=f"the level in use is {target.value:g} g/kg; `pratique water TANK --to` moves a water for another reason",
    )


def _outside_life(request: SalinityRequest) -> Iterator[Problem]:
    """A goal that no marine fish is kept at. Where no animals are on file anything goes."""
    least, most = request.treatment.needed("lowest_salinity"), store.water_figures().needed("most_salinity")
    if not request.animals or least.value - NEAR <= request.goal <= most.value + NEAR:
        return
    by = least if request.goal < least.value else most
    yield Problem(
        code="W804",
        message=f"{digits(request.goal)} g/kg is outside {least.value:g} to {most.value:g} g/kg, "
        f"and animals live in `{request.state.water.name}`",
        places=(request.state.room.place(request.state.water.path, key=True),),
        source=cite(by),
        hint="check the number; a dip in weaker water is `pratique dip`, in a vessel of its own",
    )


def _leads_astray(request: SalinityRequest) -> Iterator[Problem]:
    """Water that was named and is not beyond the goal. Of a treatment it is the water for the way up."""
    put_in = request.put_in
    goal = request.start if request.course else request.goal
    if put_in is None or (abs(goal - request.start) <= NEAR and not request.course):
        return
    up = request.course or goal > request.start
    if put_in.salinity > goal if up else put_in.salinity < goal:
        return
    mend = f"mix it saltier, such as `--with '{goal + STRONGER:g} g/kg'`" if up else "use fresher water"
    yield Problem(
        code="W805",
        message=f"water at {digits(put_in.salinity)} g/kg does not take a tank to {digits(goal)} g/kg",
        note="water of the salinity wanted only comes near it, unless the whole tank is replaced",
        hint=mend,
    )
