"""Which treatments are looked at, worked out by the dosing engine, and which of them are taken, in which order."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace

from pratique.dosing.bath import work_out_dip
from pratique.dosing.dip import Dip, DipRequest
from pratique.dosing.dose import Dose, Request
from pratique.dosing.draws import shown_mL
from pratique.dosing.facts import EQUIPMENT
from pratique.dosing.work import work_out
from pratique.figure import Figure, digits, shown_unit
from pratique.knowledge import store
from pratique.knowledge.model import Treatment, cite
from pratique.knowledge.responding import FirstAnswer
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure, parse_measure
from pratique.response.model import Option, Role
from pratique.response.on_file import command_of, on_file, said_of
from pratique.response.places import Destination, running_in
from pratique.response.scene import Case
from pratique.room.resolve import Animal
from pratique.room.values import treatment_for
from pratique.schedule.calendar import plus_hours

BUCKET = "10 L"
"""How far a bucket is filled for a dip where no vessel is on file (D): any measured volume will do."""

ROLES: dict[str, Role] = {"dip": "dip", "bath": "bath", "immersion": "held"}


def role_of(treatment: Treatment) -> Role:
    """Minutes in a vessel, days in a tank, or a course of another kind."""
    if treatment.kind == "bath" and "minutes" not in treatment.numbers:
        return "held"
    return ROLES.get(treatment.kind, "course")


def answers_for(cover: Iterable[str]) -> dict[str, list[FirstAnswer]]:
    """Treatment to what it does against each of the suspected agents, the best first.

    One against the fastest killer comes before all others, then one that covers more of them.
    """
    agents = tuple(dict.fromkeys(cover))
    found: dict[str, list[FirstAnswer]] = {}
    ranks: dict[str, tuple[int, int]] = {}
    for number, agent in enumerate(agents):
        for rank, answer in enumerate(store.response().answers_to(agent)):
            found.setdefault(answer.treatment, []).append(answer)
            ranks.setdefault(answer.treatment, (number, rank))
    return dict(sorted(found.items(), key=lambda item: (ranks[item[0]][0], -len(item[1]), ranks[item[0]][1])))


def presses(case: Case) -> bool:
    """True where one of the suspected agents leaves no day of rest before a drug."""
    return any(store.response().presses(agent) is not None for agent in case.cover)


def begins_at(case: Case) -> dt.datetime:
    """When the held treatment begins: at once where an agent presses, else after the day of rest (practice A13)."""
    return case.at if presses(case) else plus_hours(case.at, store.routine().needed("rest").value)


def dose_for(case: Case, place: Destination, treatment: Treatment, **more: object) -> Dose | Refusal:
    """The dose for the fish in the place they go to, equipment off, as `pratique dose` works it out."""
    return work_out(request_for(case, place, treatment, **more))


def request_for(case: Case, place: Destination, treatment: Treatment, **more: object) -> Request:
    """What is asked of the dosing engine: everybody who will then be in that water."""
    water = place.water
    room = place.room if place.kind == "tub" else case.room
    there: tuple[Animal, ...] = () if place.kind == "tub" else case.scene.animals_in(water.name)
    animals = (*case.movers, *case.rays, *case.stays) if place.kind == "here" else (*there, *case.movers)
    request = Request(
        room=room,
        tank=place.tank,
        treatment=treatment,
        at=begins_at(case),
        animals=animals,
        off=frozenset(EQUIPMENT),
        reading=None if place.kind == "tub" else _level_before(case, water.name, treatment),
        planned=() if place.kind == "tub" else case.scene.planned_in(water.name),
    )
    return replace(request, **more)  # type: ignore[arg-type]


def _level_before(case: Case, water: str, treatment: Treatment) -> Measure | None:
    """The level on record; on a card that hangs for weeks none, so that the amount is the whole one."""
    if case.suspicion.standing:
        return Measure(0.0, treatment.unit, 0.0, 0.0, f"0 {treatment.unit}")
    return case.scene.level_in(water, treatment)


def dip_for(case: Case, treatment: Treatment) -> Dip | Refusal:
    """The sheet of a dip or bath for the fish that can stand one, in the largest vessel, as `pratique dip` does it."""
    name, volume = dip_vessel(case)
    return work_out_dip(
        DipRequest(
            room=case.room,
            treatment=treatment,
            animals=case.fish,
            label=", ".join(dict.fromkeys(animal.label for animal in case.fish)) or "the fish",
            at=case.at,
            vessel=name or None,
            volume=volume,
            source_water=case.water,
        )
    )


def dip_vessel(case: Case) -> tuple[str, Measure | None]:
    """The smallest vessel on file, since the largest may be wanted as a tub; else a bucket of a measured volume."""
    vessels = case.room.written.vessels
    if not vessels:
        return "", parse_measure(BUCKET, "volume")
    return min(vessels, key=lambda vessel: (vessels[vessel].value, vessel)), None


def options_in(case: Case, place: Destination) -> tuple[Option, ...]:
    """Every treatment against what is suspected, looked at and worked out or refused, in order of rank."""
    return tuple(
        _option(case, place, treatment_for(case.room, id_), answers) for id_, answers in answers_for(case.cover).items()
    )


def _option(case: Case, place: Destination, treatment: Treatment, answers: list[FirstAnswer]) -> Option:
    role, first = role_of(treatment), answers[0]
    option = Option(
        treatment=treatment.id,
        title=treatment.title,
        role=role,
        covers=tuple(answer.agent for answer in answers),
        does=first.does,
        leaves=first.leaves,
        source=cite(first),
    )
    if role == "course" and not treatment.decided_by:
        suits = set(case.cover) <= set(option.covers)
        return replace(option, note=_course_note(case, place, treatment, option.covers), suits=suits)
    if role in ("dip", "bath") and not case.fish:
        return replace(option, note="no fish here can be dipped")
    answer = dip_for(case, treatment) if role in ("dip", "bath") else dose_for(case, place, treatment)
    command = dip_command(case, treatment) if role in ("dip", "bath") else dose_command(place, treatment)
    if isinstance(answer, Refusal) and treatment.decided_by:
        return _left_to_another(case, treatment, replace(option, refused=answer.first))
    if isinstance(answer, Refusal):
        return replace(option, refused=answer.first, command=command)
    if (empty := _runs_out(case, answer)) is not None:
        return replace(option, refused=empty, command=command)
    return replace(option, answer=answer, command=command)


def _left_to_another(case: Case, treatment: Treatment, option: Option) -> Option:
    """What a veterinarian decides stays refused here; where one has prescribed it, that is said."""
    found = on_file(case, treatment)
    if not found or option.refused is None:
        return option
    refused = replace(option.refused, message=said_of(case, found[0], treatment))
    return replace(option, refused=refused, command=command_of(case, found[0], treatment))


def _runs_out(case: Case, answer: Dose | Dip) -> Problem | None:
    """That the bottle does not last for the first addition; one that does is begun with."""
    if isinstance(answer, Dip):
        first, product = (answer.dose.add, answer.dose.product) if answer.dose is not None else (None, "")
    else:
        first, product = (answer.steps[0].add if answer.steps else None), answer.product
    left = case.room.written.shelf[product].left if product else None
    if first is None or left is None or left.value >= first.value:
        return None
    return next((problem for problem in answer.problems if problem.code == "D457"), None)


def _course_note(case: Case, place: Destination, treatment: Treatment, covers: tuple[str, ...]) -> str:
    left = [store.pathogen(agent).short for agent in case.cover if agent not in covers]
    if left:
        return f"not while it may be {' or '.join(left)}: it does nothing to that"
    if treatment.kind == "salinity" and place.kind in ("tank", "here"):
        return f"`pratique dose {shell_word(place.tank)} {treatment.id}` has its days"
    if treatment.kind == "transfers":
        return "its dates: name the regimen in a batch, then `pratique plan`"
    return "watch, and write down what changes"


def dose_command(place: Destination, treatment: Treatment) -> str:
    """The command that gives the same dose; empty for a tub, which is not in the room file."""
    if place.kind == "tub":
        return ""
    off = ",".join(running_in(place.water))
    return f"pratique dose {shell_word(place.tank)} {treatment.id}" + (f" --off {off}" if off else "")


def dip_command(case: Case, treatment: Treatment) -> str:
    """The command of the dip for the first fish; the others by their own names."""
    name, _ = dip_vessel(case)
    vessel = f" --vessel {shell_word(name)}" if name else f" --volume '{BUCKET}'"
    return f"pratique dip {treatment.id} --for {shell_word(case.fish[0].label)}{vessel}"


def shown(case: Case, figure: Figure) -> str:
    """An amount as the pages show it: mL go down to a mark of the room's syringes."""
    if figure.unit == "mL":
        return shown_mL(case.room, figure.value)
    return f"{digits(figure.value)} {shown_unit(figure.unit)}"


def choose(options: tuple[Option, ...], cover: tuple[str, ...]) -> tuple[Option, ...]:
    """The same options with those taken marked: one dip, one held treatment, and a bath where these leave a gap.

    The held treatment is the first that works; a dip helps at once; a bath is taken for what the held one leaves, and
    stands for the dip where it covers what the dip does: one hard thing a day.
    """
    taken: set[str] = set()
    covered: set[str] = set()
    worked = [option for option in options if option.answer is not None]
    for role in ("held", "dip"):
        first = next((option for option in worked if option.role == role), None)
        if first is not None:
            taken.add(first.treatment)
            covered |= set(first.covers) if role == "held" else set()
    gap = set(cover) - covered
    bath = next((option for option in worked if option.role == "bath" and set(option.covers) & gap), None)
    if bath is not None:
        taken.add(bath.treatment)
        taken -= {o.treatment for o in worked if o.role == "dip" and set(o.covers) <= set(bath.covers)}
    return tuple(_settled(option, options, taken) for option in options)


def _settled(option: Option, options: tuple[Option, ...], taken: set[str]) -> Option:
    """The option marked as taken, or with the reason why it is held back."""
    if option.treatment in taken:
        return replace(option, chosen=True)
    if option.answer is None:
        return option
    others = [o for o in options if o.treatment in taken]
    before = next((o.title for o in others if set(option.covers) & set(o.covers)), "")
    if option.role == "held":
        held = next(o.title for o in others if o.role == "held")
        why = f"{held} is taken, and two held medicines are not combined"
    elif before:
        why = f"{before} reaches the same; one hard thing a day"
    else:
        why = "one hard thing a day"
    return replace(option, note=why)


def uncovered(options: tuple[Option, ...], cover: tuple[str, ...]) -> tuple[str, ...]:
    """The suspected agents that nothing taken is used against, in the order of the suspicion.

    A dip alone covers none: what it leaves comes back.
    """
    reached = {agent for option in options if option.chosen and option.role != "dip" for agent in option.covers}
    return tuple(agent for agent in dict.fromkeys(cover) if agent not in reached and needs_answer(agent))


def needs_answer(agent: str) -> bool:
    """False for an agent that only is watched."""
    answers = store.response().answers_to(agent)
    return any(answer.treatment != "observation" for answer in answers)


def is_missing(problem: Problem | None) -> bool:
    """True where a refusal says that nothing on the shelf will do."""
    return problem is not None and problem.code in MISSING


MISSING = {"D449", "D433", "D409", "D457"}
"""No bottle, one past its date, no kit that reads the form, too little in the bottle."""
