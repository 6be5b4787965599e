"""Everything that is looked at before a number is worked out; every reason against it is found at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from pratique.dosing.aim import Aim, aim_problems, find_aim, no_aim
from pratique.dosing.before import reading_problems
from pratique.dosing.dose import Request
from pratique.dosing.facts import Setting, interlocks_met
from pratique.dosing.overrides import Overridden, set_aside
from pratique.dosing.product import Active, active_of, choose_product, claim_problems, strength_problems
from pratique.dosing.stock import MadeStock, make_stock
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.room.resolve import Animal, Room, Water
from pratique.water.volume import NetVolume, net_volume

_SWITCHES = {"D411", "D412", "D413", "D414"}
"""Blocks that a switch undoes (`facts.EQUIPMENT`)."""

_LEVELS = {"D440", "D441", "D442", "D444", "D446", "D460", "D461", "D463", "D465"}
"""Blocks by a level or a strength: a number that would be wrong."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a sum needs. `aim` and `strength` are missing only where a problem says why."""

    aim: Aim | None
    strength: Active | None
    volume: NetVolume
    problems: tuple[Problem, ...]
    overridden: tuple[Overridden, ...] = ()
    stock: MadeStock | None = None


def ask(request: Request) -> Asked:
    """Looks at tank, animals, product, level, reading and change; raises nothing for what a keeper can mend."""
    room, treatment = request.room, request.treatment
    water = room.water_of(request.tank)
    temperature = warm_end(water.conditions.temperature)
    strength, problems = find_bottle(room, treatment, request.product, request.at)
    stock = _stock(request, strength)
    if isinstance(stock, Problem):
        problems.append(stock)
    setting = Setting(
        room=room,
        treatment=treatment,
        water=water,
        animals=animals_of(request, water),
        at=request.at,
        product=(strength.name, strength.product) if strength is not None else None,
        off=request.off,
        oxygen=request.oxygen if request.oxygen is not None else _value(water.conditions.oxygen),
        temperature=temperature,
        planned=request.planned,
    )
    met, overridden = set_aside(interlocks_met(setting), treatment, request.because)
    problems += met
    aim = find_aim(treatment, request.target, temperature)
    if aim is None:
        problems.append(no_aim(treatment, temperature, f"`{water.name}`", (room.place(water.path, key=True),)))
    else:
        problems += [*aim_problems(aim, request.target), *reading_problems(request, aim)]
    volume = net_volume(water)
    problems += [*volume_problems(volume, water.name), *_change_problems(request, volume)]
    problems += nominal_problems(room, volume)
    made = stock if isinstance(stock, MadeStock) else None
    return Asked(
        aim=aim,
        strength=made.active if made is not None else strength,
        volume=volume,
        problems=tuple(problems),
        overridden=overridden,
        stock=made,
    )


def _stock(request: Request, bottle: Active | None) -> MadeStock | Problem | None:
    """The stock that was asked for, where there is a bottle to make it of."""
    if request.stock is None or bottle is None:
        return None
    return make_stock(request.treatment, bottle, request.stock)


def warm_end(temperature: Measure | None) -> float | None:
    """degC at the warm end of its error: limits fall as water warms."""
    return temperature.high if temperature is not None else None


def _value(measure: Measure | None) -> float | None:
    return measure.value if measure is not None else None


def animals_of(request: Request, water: Water) -> tuple[Animal, ...]:
    """Those named in the request; else the residents of the water."""
    if request.animals is not None:
        return request.animals
    return request.room.residents_by_water.get(water.name, ())


def find_bottle(
    room: Room, treatment: Treatment, wanted: str | None, at: dt.datetime
) -> tuple[Active | None, list[Problem]]:
    """The bottle (the one `wanted`, or the first that will do) and what is wrong with it or its label."""
    name, problems = choose_product(room, treatment, wanted, at)
    if name is None:
        return None, problems
    strength = active_of(room, name)
    return strength, [*problems, *strength_problems(room, strength), *claim_problems(room, strength)]


def volume_problems(volume: NetVolume, where: str) -> Iterator[Problem]:
    """Dimensions that leave no water."""
    if volume.figure.low <= 0:
        yield Problem(
            code="D466",
            message=f"by its measures there may be no water in `{where}`: {digits(volume.figure.low)} L at the least",
            hint="measure again; check the units, and what sand, rock and glass take away",
        )


def nominal_problems(room: Room, volume: NetVolume) -> Iterator[Problem]:
    """A volume that is only the name of the tank."""
    if volume.nominal:
        yield nominal_problem(room, volume.nominal)


def nominal_problem(room: Room, tanks: Sequence[str]) -> Problem:
    """That the volume of `tanks` is only nominal: one problem for all of them."""
    names = ", ".join(f"`{name}`" for name in tanks[:5]) + (f" and {len(tanks) - 5} more" if len(tanks) > 5 else "")
    return Problem(
        code="D447",
        severity="warning",
        message=f"the volume of {names} is only nominal: the water may be a quarter less",
        places=tuple(room.place(("tanks", name, "volume", "nominal"), key=True) for name in tanks[:5]),
        note="a label's size counts the glass, the sand and the air above the water",
        hint="pour the water in with a measured jug once, or give the inside dimensions and the height of the water",
    )


def _change_problems(request: Request, volume: NetVolume) -> Iterator[Problem]:
    share = change_share(request, volume.figure)
    if share is not None and request.treatment.kind == "bath" and "minutes" in request.treatment.numbers:
        yield Problem(
            code="D469",
            message=f"`{request.treatment.id}` is a bath of minutes, and is not kept up through water changes",
            hint="after the minutes the fish go into clean water; leave `--change` out",
        )
        return
    if share is None or 0 < share <= 1:
        return
    yield Problem(
        code="D456",
        message=f"a change of {share * 100:.0f} % is not a part of {digits(volume.figure.value)} L",
        hint="write litres up to the net volume, or a share such as `25 %`",
    )


def change_share(request: Request, water: Figure) -> float | None:
    """The part of the water (0 to 1) that `--change` names, or None."""
    if request.change_share is not None:
        return request.change_share
    if request.change_litres is None or water.value <= 0:
        return None
    return request.change_litres.value / water.value


def not_dosed(treatment: Treatment) -> Problem | None:
    """Why a treatment has no dose into a tank at all."""
    if treatment.decided_by:
        return not_ours(treatment)
    if treatment.kind in ("immersion", "bath"):
        return None
    return Problem(code="D455", message=f"`{treatment.id}` is not a dose into a tank", hint=where_found(treatment))


def where_found(treatment: Treatment) -> str:
    """Which command answers for a treatment, as a hint."""
    if treatment.kind in ("dip", "bath"):
        return f"`pratique dip {treatment.id} --for …` gives the sheet"
    if treatment.kind == "immersion":
        return f"`pratique dose … {treatment.id}` gives the dose"
    if treatment.kind in ("transfers", "watching", "salinity"):
        return "`pratique plan` gives its dates"
    if treatment.kind == "disinfection":
        return f"`pratique dose TANK {treatment.id}`, or of gear `pratique dip {treatment.id} --for …`"
    return f"`pratique why {treatment.id}` says how it is done"


def not_ours(treatment: Treatment) -> Problem:
    """A treatment whose dose somebody else decides."""
    return Problem(
        code="D454",
        message=f"`{treatment.id}` has no dose here: {treatment.decided_by} decides",
        hint="write what they prescribe under `prescriptions:` in the room file, then ask again; "
        "`pratique why D454` shows how",
    )


def refuse(problems: Iterable[Problem]) -> Refusal | None:
    """Every reason against an answer, worst first: what would kill, a wrong number, what is missing, a switch.

    That a reason sets none of it aside is said before all.
    """
    blocks = sorted((problem for problem in problems if problem.is_error), key=_rank)
    return Refusal(problems=tuple(blocks)) if blocks else None


def _rank(problem: Problem) -> int:
    if problem.code == "D520":
        return -1
    if problem.code in _SWITCHES:
        return 3
    if problem.code in _LEVELS:
        return 1
    return 0 if any(rule.code == problem.code for rule in store.interlocks()) else 2
