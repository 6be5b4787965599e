"""The place and the treatments that were settled on for a case."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.dose import Dose
from pratique.knowledge import store
from pratique.response.medicine import choose, is_missing, options_in, uncovered
from pratique.response.model import Option, Role
from pratique.response.places import Destination, destinations
from pratique.response.scene import Case


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """Where to, every treatment looked at (those taken are marked), and the agents that none of them reaches.

    `passed_over` are the better places in which no held treatment could be given, with the reason's code.
    """

    place: Destination
    options: tuple[Option, ...]
    uncovered: tuple[str, ...]
    passed_over: tuple[tuple[str, str], ...] = ()

    def taken(self, role: Role) -> Option | None:
        """The treatment taken for a role."""
        return next((option for option in self.options if option.chosen and option.role == role), None)


def choose_place(case: Case) -> Chosen:
    """The first place in which a held treatment can be given; where there is none, the first clean one.

    After a bath alone the fish do not go back into the water they were in, as long as there is another.
    """
    if not comes_out(case.cover):
        here = Destination(kind="here", tank=case.suspicion.tank, room=case.room, fill=None)
        return _settled(case, here, options_in(case, here), [])
    fallback: tuple[Destination, tuple[Option, ...]] | None = None
    passed: list[tuple[str, str]] = []
    for place in destinations(case):
        if place.kind == "tub" and fallback is not None and _lacks_a_bottle(fallback[1]):
            break
        options = options_in(case, place)
        if any(option.role == "held" and isinstance(option.answer, Dose) for option in options):
            return _settled(case, place, options, passed)
        better = fallback is None or (fallback[0].kind == "here" and place.kind == "tank")
        if better and (place.kind != "here" or "display" not in case.uses):
            fallback = place, options
        if fallback is not None and fallback[0].kind == "tank" and not _another_may_do(options):
            break
        held = next((option for option in options if option.role == "held" and option.refused is not None), None)
        if held is not None and held.refused is not None:
            passed.append((place.tank, held.refused.code))
    assert fallback is not None  # the tub is always there
    return _settled(case, *fallback, passed)


def _another_may_do(options: tuple[Option, ...]) -> bool:
    """True where a held treatment was refused for what this tank is; one that is nowhere is refused in every tank."""
    held = [option.refused for option in options if option.role == "held"]
    return any(refused is None or refused.code not in NOWHERE for refused in held)


NOWHERE = {"D449", "D433", "D409", "D454"}
"""No bottle, one past its date, no kit that reads the form, no dose without a veterinarian: so in every tank."""


def _lacks_a_bottle(options: tuple[Option, ...]) -> bool:
    """True where it is the shelf, not the tank, that stands in the way of a held treatment."""
    return any(option.role == "held" and is_missing(option.refused) for option in options)


def comes_out(cover: tuple[str, ...]) -> bool:
    """False where nothing is given to the fish but what a veterinarian decides, so that nobody is caught for it."""
    treatments = (store.treatment(a.treatment) for agent in cover for a in store.response().answers_to(agent))
    return any(not treatment.decided_by and treatment.kind != "watching" for treatment in treatments)


def _settled(
    case: Case, place: Destination, options: tuple[Option, ...], passed: list[tuple[str, str]]
) -> Chosen:
    taken = choose(options, case.cover) if case.movers else options
    return Chosen(
        place=place,
        options=taken,
        uncovered=uncovered(taken, case.cover) if case.movers or case.rays else (),
        passed_over=tuple((tank, code) for tank, code in passed if tank != place.tank),
    )
