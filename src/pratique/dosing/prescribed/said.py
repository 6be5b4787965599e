"""What both ways of giving a prescribed drug share: its number, its count of doses, what is always said."""

from __future__ import annotations

import math

from pratique.dosing.prescribed.course import PRESCRIBED, Given
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Statement, Treatment

_NEAR = 1e-9


def prescribed_number(given: Given) -> Sourced:
    """The prescribed dose as a number with its source: who prescribed it."""
    dose, unit = given.dose, given.written.dose.unit
    return Sourced(value=dose, unit=unit, low=dose, high=dose, source=PRESCRIBED, where=given.whose, confidence="K")


def doses_in(hours: float, every: float) -> int:
    """How many doses fall into a course: the first at its start, none at its end.

    >>> doses_in(120, 24), doses_in(120, 48), doses_in(24, 48)
    (5, 3, 1)
    """
    return max(math.ceil(hours / every - _NEAR), 1)


def cautions_of(treatment: Treatment, given: Given) -> tuple[Statement, ...]:
    """Of every prescription, of the way it is given, of people and of the drug: each sentence once."""
    care = store.prescribed_care()
    said = (*care["always"].says, *care[given.written.way].says, *treatment.people, *treatment.cautions)
    return tuple({statement.text: statement for statement in said}.values())
