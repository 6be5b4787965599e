"""A prescribed dose beside what is in print of the same drug: not to judge it, but to catch a slip of the pen."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.prescribed.course import Given
from pratique.dosing.slips import named_slip
from pratique.figure import digits
from pratique.knowledge.model import Sourced, Treatment, cite
from pratique.problem import Problem
from pratique.room.resolve import Room

FAR = 2.0
"""Times the most in print: a prescription further off may be meant, and is asked about once more (D)."""

_NAMES = {"food": "used_per_body", "bath": "used_level"}


def unusual_problems(room: Room, treatment: Treatment, given: Given) -> Iterator[Problem]:
    """A warning where the dose lies far above everything on file; nothing where nothing is on file of this drug."""
    ranked = list(_in_print(treatment, given))
    if not ranked:
        return
    most = max(ranked, key=lambda number: number.high)
    if given.dose <= most.high * FAR:
        return
    unit = given.written.dose.unit
    slip = next((said for number in ranked if (said := named_slip(given.dose, number.value, ""))), "")
    yield Problem(
        code="D536",
        severity="warning",
        message=f"the prescribed {digits(given.dose)} {unit} is {given.dose / most.high:.2g} × the most in print, "
        f"{digits(most.high)} {unit}",
        places=(room.place(("prescriptions", given.name, "dose")),),
        note=f"what may have happened: {slip}" if slip else "",
        source=cite(most),
        hint="ask the veterinarian once more before giving it; it was worked out as it stands",
    )


def _in_print(treatment: Treatment, given: Given) -> Iterator[Sourced]:
    """Of the treatment's own drug; of a treatment for many, those that are named like the drug prescribed."""
    name = _NAMES[given.written.way]
    yield from treatment.numbers.get(name, ())
    for key, ranked in treatment.numbers.items():
        drug = key.removesuffix(f"_{name}")
        if drug != key and drug in given.written.drug.lower():
            yield from ranked
