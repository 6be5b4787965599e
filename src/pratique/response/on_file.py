"""A prescription of the room file that is for the fish of this water: said as such, and never given by the sheet."""

from __future__ import annotations

from pratique.dosing.dose import Request
from pratique.dosing.prescribed.choose import prescriptions_for
from pratique.dosing.prescribed.course import Given, PrescribedRequest
from pratique.knowledge.model import Treatment
from pratique.logbook.quotes import shell_word
from pratique.response.scene import Case


def on_file(case: Case, treatment: Treatment) -> tuple[Given, ...]:
    """The prescriptions that `pratique dose` would work this treatment out by, for somebody in the water."""
    if not treatment.decided_by:
        return ()
    tank, there = case.suspicion.tank, (*case.fish, *case.dying, *case.rays)
    asked = Request(room=case.room, tank=tank, treatment=treatment, at=case.at, animals=there)
    here = tuple(animal for animal in there if animal.tank in ("", None, tank))
    return prescriptions_for(PrescribedRequest(asked=asked, in_tank=here))


def said_of(case: Case, given: Given, treatment: Treatment) -> str:
    """Whose it is and for whom, who decides whether it is for this, and what works it out."""
    return (
        f"the prescription `{given.name}` of {given.written.by} for {given.names} is on file; {treatment.decided_by} "
        f"decides whether it is for this: `{command_of(case, given, treatment)}`"
    )


def command_of(case: Case, given: Given, treatment: Treatment) -> str:
    """The command that works it out."""
    tank, name = shell_word(case.suspicion.tank), shell_word(given.name)
    return f"pratique dose {tank} {treatment.id} --prescription {name}"
