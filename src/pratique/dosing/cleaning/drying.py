"""Drying: of gear and of tanks, alone or after bleach. The hours count from when no drop is left."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.dosing.asking import refuse
from pratique.dosing.cleaning.asking import ask_cleaning
from pratique.dosing.cleaning.model import CleanAnswer, Cleaning, CleanRequest, CleanStep
from pratique.elapsed import plus_hours
from pratique.knowledge import store
from pratique.knowledge.model import Treatment


def work_out_drying(request: CleanRequest) -> CleanAnswer:
    """The dates of drying, or a Refusal. Source: COMMON (visibly dry first), HIR03 (24 hours)."""
    asked = ask_cleaning(request)
    refusal = refuse(asked.problems)
    if refusal is not None:
        return refusal
    treatment = request.treatment
    before = (as_step(treatment, "clean first"), as_step(treatment, "take gear apart"))
    return Cleaning(
        what=request.what,
        where=request.where,
        treatment=treatment,
        at=request.at,
        ready=ready_after(request.at, treatment),
        steps=(*before, *dry_steps(request.at, treatment)),
        sources=(treatment.needed("drying_margin"), treatment.needed("dry")),
        cautions=(*treatment.people, *treatment.cautions),
        problems=asked.problems,
        notes=tuple(damp_notes(request)),
        overridden=asked.overridden,
    )


def dry_steps(at: dt.datetime, treatment: Treatment) -> Iterator[CleanStep]:
    """Visibly dry, and the hours that count after it. `treatment` is the record `drying`."""
    margin, dry = treatment.needed("drying_margin"), treatment.needed("dry")
    text = f"look: no drop left, in hoses, seams and sponges; planned {margin.value:g} h after hanging it up"
    yield CleanStep(text=text, by=margin, at=plus_hours(at, margin.value))
    text = f"{dry.value:g} h dry from that look on: fit for use, if it was dry then; else the hours begin again"
    yield CleanStep(text=text, by=dry, at=ready_after(at, treatment))


def ready_after(at: dt.datetime, treatment: Treatment) -> dt.datetime:
    """The earliest use of what begins to dry at `at`."""
    return plus_hours(at, treatment.needed("drying_margin").value + treatment.needed("dry").value)


def damp_notes(request: CleanRequest) -> Iterator[str]:
    """What does not dry with the glass, when the hours begin again, and the set to use meanwhile."""
    water = request.water
    for tank in water.tanks if water is not None else ():
        if tank.written.substrate != "bare" or tank.written.rock != "none":
            yield f"sand and rock of {tank.name} stay damp and do not count as dry: take them out, or leave them wet"
    others = [name for name in request.room.written.gear if name != request.what]
    if request.what in request.room.written.gear and others:
        yield f"until then use {' or '.join(others)}"
    yield drying().stop[0].text


def as_step(treatment: Treatment, beginning: str) -> CleanStep:
    """The step of a treatment that begins so. StopIteration where there is none: a hole in the knowledge files."""
    said = next(step for step in treatment.steps if step.text.startswith(beginning))
    return CleanStep(text=said.text, by=said)


def drying() -> Treatment:
    return store.treatment("drying")
