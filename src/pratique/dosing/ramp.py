"""In which steps a level is raised. A step after the first waits for a reading: never by the calendar alone."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.facts import GUARDED_IN_COPPER
from pratique.knowledge.model import Treatment
from pratique.room.resolve import Animal


@dataclass(frozen=True, slots=True)
class Rung:
    """A level to reach, and the hours after the first addition at which it is due."""

    level: float
    hours: float


def is_guarded(animals: tuple[Animal, ...]) -> bool:
    return any(animal.group.id in GUARDED_IN_COPPER or animal.scaleless for animal in animals)


def rungs(treatment: Treatment, target: float, *, before: float = 0.0, guarded: bool = False) -> tuple[Rung, ...]:
    """The rungs still to climb from `before`. One rung where the treatment has no ramp.

    >>> from pratique.knowledge import store
    >>> [rung.level for rung in rungs(store.treatment("copper-amine"), 0.5)]
    [0.25, 0.5]
    """
    steps = treatment.number("guarded_ramp_steps" if guarded else "ramp_steps")
    interval = treatment.number("guarded_ramp_interval" if guarded else "ramp_interval")
    if steps is None or interval is None:
        levels, hours = [target], 0.0
    else:
        count, hours = int(steps.value), interval.value
        first = None if guarded else treatment.number("first_step")
        if first is not None and first.value < target:
            rest = count - 1
            levels = [first.value + (target - first.value) * k / rest for k in range(rest + 1)]
        else:
            levels = [target * k / count for k in range(1, count + 1)]
    left = [level for level in levels if level > before * (1 + 1e-9)]
    return tuple(Rung(level, index * hours) for index, level in enumerate(left))
