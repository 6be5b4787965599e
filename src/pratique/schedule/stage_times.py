"""The dates of one stage of a batch, whatever its kind, and which treatment it gets. Plan and booking both ask here."""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

from pratique.dosing.ramp import is_guarded, rungs
from pratique.knowledge.model import StagePlan, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Batch
from pratique.schedule.basis import Basis
from pratique.schedule.propose import velvet_signs
from pratique.schedule.suits import nothing_to_hold, wild_value
from pratique.schedule.timeline import Timeline, course_times, hold_times, watch_times
from pratique.schedule.transfers import transfer_spacing, transfer_times

Temperatures = tuple[float | None, ...]


class Asked(NamedTuple):
    """A stage that begins at `start` in tanks of these temperatures (degC); `stays_on`: so is the next."""

    batch: Batch
    stage: StagePlan
    treatment: Treatment
    start: dt.datetime
    temperatures: Temperatures
    stays_on: bool = False


def stage_times(basis: Basis, asked: Asked) -> Timeline | Problem:
    """The dates of the stage, or why it has none."""
    calendar, treatment, start = basis.calendar, asked.treatment, asked.start
    wild = wild_value(basis.room, treatment)
    if wild is not None:
        return wild
    if asked.stage.kind == "transfers":
        spacing = transfer_spacing(treatment, asked.temperatures)
        return spacing if isinstance(spacing, Problem) else transfer_times(calendar, spacing, start)
    if asked.stage.kind == "course":
        return course_times(calendar, treatment, asked.temperatures[0], start)
    if asked.stage.kind == "observation":
        return watch_times(calendar, treatment, start)
    target = treatment.needed("target", asked.temperatures[0])
    climb = rungs(treatment, target.value, guarded=is_guarded(asked.batch.animals))
    if not climb:
        return nothing_to_hold(basis.room, treatment.id)
    return hold_times(
        calendar,
        treatment,
        climb,
        start,
        changes_after=basis.copper_out(treatment)[0] if asked.stays_on else None,
        at_once=bool(velvet_signs(asked.batch)),
        second=basis.room.written.room.clocks.copper_start == "second",
    )


def choose_treatment(basis: Basis, batch: Batch, stage: StagePlan) -> Treatment:
    """The batch's own choice among the alternatives; else the first that can be given with what is at hand."""
    wanted = batch.written.treatment
    known = [basis.treatment(id_) for id_ in ([wanted] if wanted in stage.treatments else stage.treatments)]
    return next((treatment for treatment in known if basis.is_at_hand(treatment)), known[0])


def may_stay(kind: str, stays_on: bool, after: StagePlan) -> bool:
    """Whether `after` may follow in the same water a stage of this kind. No medicine may meet another.

    After a watch anything can follow, after a medicine a watch; after copper only where it is taken out (`stays_on`).
    """
    if kind == "observation":
        return after.kind in ("observation", "hold", "course")
    return after.kind == "observation" and (kind == "course" or stays_on)
