"""A dose that was given against an interlock is kept, since it happened, and the interlock is said."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pratique.dosing.facts import EQUIPMENT, Setting, interlocks_met
from pratique.history.fold import History
from pratique.logbook.entry import Common, Dose
from pratique.problem import Problem
from pratique.room.values import treatment_for
from pratique.schedule.on_record import in_water
from pratique.schedule.recorded import room_as_recorded


def interlocks_of(history: History, entries: Sequence[Common]) -> list[Problem]:
    """What each new dose met in its water, as warnings: the same matrix that `dose` refuses by."""
    found = [problem for entry in entries if isinstance(entry, Dose) for problem in _met(history, entry)]
    return list(dict.fromkeys(found))


def _met(history: History, entry: Dose) -> Iterator[Problem]:
    if entry.treatment is None:
        return
    room = room_as_recorded(history.room, history)
    water = room.water_of(entry.tank)
    animals, planned = in_water(history, entry.tank)
    setting = Setting(
        room=room,
        treatment=treatment_for(room, entry.treatment),
        water=water,
        animals=animals,
        at=entry.at.astimezone(room.zone),
        product=(entry.product, room.written.shelf[entry.product]) if entry.product in room.written.shelf else None,
        temperature=water.conditions.temperature.high if water.conditions.temperature else None,
        oxygen=water.conditions.oxygen.value if water.conditions.oxygen else None,
        off=frozenset(EQUIPMENT),  # what was running then is not on file
        planned=planned,
    )
    for problem in interlocks_met(setting):
        if problem.is_error:
            yield replace(problem, severity="warning")
