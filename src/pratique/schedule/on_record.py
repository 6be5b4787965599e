"""What the log knows of a tank, for those who give doses, dips and water: who is in it, what is in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import replace

from pratique.dosing.dose import Answer, Dose
from pratique.dosing.facts import Planned
from pratique.figure import Figure
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.problem import Problem
from pratique.room.resolve import Animal
from pratique.schedule.calendar import shown
from pratique.schedule.day import medicines_in, whereabouts
from pratique.schedule.known_level import KnownLevel, known_level
from pratique.schedule.model import Plan
from pratique.schedule.occupants import animals_in_tanks, animals_in_water, residents_now, with_signs
from pratique.schedule.plan import make_plan, present_plan
from pratique.schedule.reckoned import reckoned_level
from pratique.schedule.recorded import medicines_on_record

LOST_DAYS = 90
"""Days for which a line that cannot be read, or has a name the room file no longer has, may hide a medicine (D)."""


def not_whole(history: History) -> Problem | None:
    """Why the log may hide what is already in a water: lines that cannot be read, names that nobody knows any more."""
    lost = history.lost_since(history.at - dt.timedelta(days=LOST_DAYS))
    if not lost:
        return None
    return Problem(
        code="D445",
        message=f"no dose on a log that is not whole: {lost}",
        note="what was given there counts as nothing here, and a dose could be one too many",
        hint="read the level and say it with `--reading`; or set the log right first",
    )


def _known(history: History) -> History | None:
    return None if history.is_empty else history


def _places(history: History, plan: Plan) -> dict[str, str]:
    """Batch to the tank it is in."""
    return {name: tank for name, (tank, _) in whereabouts(plan, history.at).items()}


def in_water(history: History, tank: str) -> tuple[tuple[Animal, ...], tuple[Planned, ...]]:
    """Who is in the tank's water, by the log and the plan that follows it, and what the plan has dosed into it.

    A medicine that is on record is in the room of `room_as_recorded`, and is not told as planned.
    """
    room, known = history.room, _known(history)
    water = room.tanks[tank].water
    if not room.batches:
        return _seen(history, residents_now(room, known).get(water, ())), ()
    plan = present_plan(room, history)
    recorded = medicines_on_record(room, history, water) if known is not None else ()
    planned = tuple(found for found in medicines_in(room, plan, water, history.at) if found.treatment not in recorded)
    return _seen(history, animals_in_water(room, plan, _places(history, plan), water, known)), planned


def in_tank(history: History, tank: str) -> tuple[Animal, ...]:
    """Who is in this one glass tank: what is fed there does not go through a sump."""
    plan = present_plan(history.room, history)
    return animals_in_tanks(history.room, plan, _places(history, plan), {tank}, _known(history))


def _seen(history: History, animals: Iterable[Animal]) -> tuple[Animal, ...]:
    """The animals with the signs on record, which the interlocks then meet."""
    return with_signs(animals, history, history.at)


def whereabouts_of_batches(
    history: History, whom: str
) -> tuple[Mapping[str, str], Mapping[str, tuple[Animal, ...]]]:
    """Batch to its tank, and to those of its animals that are alive.

    Where `whom` is a batch, others that closed long ago are left out; where it is an animal, it may be of any batch.
    """
    room = history.room
    plan = present_plan(room, history, keep=whom) if whom in room.batches else make_plan(room, history)
    return _places(history, plan), {found.batch.name: _seen(history, found.batch.animals) for found in plan.batches}


def residents_by_record(history: History) -> tuple[Animal, ...]:
    """Everybody who lives here, each in the tank where it is."""
    living = residents_now(history.room, _known(history)).values()
    return _seen(history, (animal for animals in living for animal in animals))


def level_on_record(history: History, tank: str, treatment: Treatment) -> KnownLevel:
    """The last reading of a treatment's level in the water of a tank, if it still holds."""
    return known_level(history, treatment, history.room.tanks[tank].water, history.at)


def reckoned_on_record(history: History, tank: str, treatment: Treatment) -> Figure | None:
    """The level by what was poured in since the last reading that holds, None where nothing was."""
    found = reckoned_level(history, treatment, history.room.tanks[tank].water, history.at)
    return found.level if found is not None else None


def say_level(answer: Answer, known: KnownLevel) -> Answer:
    """The answer, with a word on the reading in the log that it was worked out from, or why it was not."""
    if known.written is None:
        return answer
    last = f"{known.written.text} of {shown(known.written.at)} in the log"
    if known.standing == "known":
        note = f"the level before is the reading {last}; give `--reading` for what is there now"
    else:
        why = "too old to count on" if known.standing == "old" else f"from before {known.what}"
        note = f"the last reading, {last}, is {why}"
    if isinstance(answer, Dose):
        return replace(answer, notes=(note, *answer.notes))
    problems = (replace(problem, note=note) if problem.code == "D463" else problem for problem in answer.problems)
    return replace(answer, problems=tuple(problems))
