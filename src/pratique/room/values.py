"""Knowledge as this room uses it: the keeper's own values and chosen sources put before the shipped ones."""

from __future__ import annotations

from pratique.knowledge import store
from pratique.knowledge.model import Known, Numbers, Pathogen, Sourced, Treatment
from pratique.room.model import OwnValue
from pratique.room.own import read_own_figure
from pratique.room.resolve import Room

OWN = "OWN"
"""The source key of a value the keeper wrote; its `where` is their reason."""


def treatment_for(room: Room, id_: str) -> Treatment:
    """The treatment with the room's own values first. KeyError where there is no such treatment."""
    known = store.treatment(id_)
    numbers = _overridden(room, known)
    return known if numbers is None else known.model_copy(update={"numbers": numbers})


def pathogen_for(room: Room, id_: str) -> Pathogen:
    """The agent with the room's own values first. KeyError where there is no such agent."""
    known = store.pathogen(id_)
    numbers = _overridden(room, known)
    return known if numbers is None else known.model_copy(update={"numbers": numbers})


def _overridden(room: Room, known: Known) -> Numbers | None:
    prefix = known.id + "."
    own = {name[len(prefix) :]: value for name, value in room.overrides.items() if name.startswith(prefix)}
    if not own:
        return None
    return {
        name: _ranked(numbers, own[name]) if name in own else numbers
        for name, numbers in known.numbers.items()
    }


def _ranked(numbers: tuple[Sourced, ...], own: OwnValue) -> tuple[Sourced, ...]:
    if own.use is not None:
        chosen = tuple(number for number in numbers if number.source == own.use)
        return chosen + tuple(number for number in numbers if number.source != own.use)
    assert own.value is not None
    base = numbers[0]
    figure = read_own_figure(own.value, base.unit)
    inside = base.low <= figure.value <= base.high
    low, high = (base.low, base.high) if inside else (figure.low, figure.high)
    mine = Sourced(
        value=figure.value, unit=figure.unit, low=low, high=high, source=OWN, where=own.reason, confidence="K"
    )
    return (mine, *numbers)
