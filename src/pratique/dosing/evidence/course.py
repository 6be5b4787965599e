"""The level now and its loss in this water, from readings; the published figure only where they are too few."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pratique.dosing.aim import Aim, find_aim, no_aim, wrong_unit
from pratique.dosing.asking import not_dosed, warm_end
from pratique.dosing.before import held_before, kit_for
from pratique.dosing.dose import Answer, Request
from pratique.dosing.evidence.curves import Curves, Leaving, draw_curves
from pratique.dosing.evidence.doubts import (
    contradiction,
    misfit_problems,
    no_error,
    rise_problems,
    still_to_come,
    too_few,
)
from pratique.dosing.evidence.lasting import Lasting, lasting_of, level_by_figure
from pratique.dosing.evidence.typed import TypedReading
from pratique.dosing.kits import read_with
from pratique.dosing.trusted import kit_problems
from pratique.dosing.work import work_out
from pratique.elapsed import hours_between
from pratique.figure import Figure, digits, shown_unit
from pratique.knowledge.model import Sourced
from pratique.problem import Problem, Refusal, quoted
from pratique.quantity import Measure
from pratique.room.model import Kit
from pratique.water.fit import Reading

MOST_MISFIT = 2.0
"""Errors by which a curve may pass from a reading. A kit may be out twice as far as it says; more is no scatter (D)."""

Basis = Literal["readings", "published", "one reading"]

LINEAR_TOO = ("formalin-bath",)
"""Treatments whose loss is tried as linear too; of the others only the share of what is left is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Read:
    """A reading with the ends of its error, in the treatment's unit."""

    at: dt.datetime
    level: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What is left at `at`, how it falls, and the next dose from it.

    `floor` is the level under which it no longer works, `leaves` when it falls through that; both None where no
    floor is on file. `figure` is the published time that stands in for readings.
    """

    request: Request
    aim: Aim | None
    readings: tuple[Read, ...]
    basis: Basis
    now: Figure
    curves: Curves | None
    floor: float | None
    leaves: Leaving | None
    figure: Sourced | None
    lasting: Lasting
    next_dose: Answer
    problems: tuple[Problem, ...]

    @property
    def unit(self) -> str:
        return shown_unit(self.now.unit)


def work_out_course(request: Request, typed: Sequence[TypedReading]) -> Course | Refusal:
    """The course of a level by readings of one stretch, in which nothing was added and no water was changed."""
    aim = aim_of(request)
    stopped = course_problems(request, aim, typed)
    if stopped:
        return Refusal(problems=tuple(stopped))
    reads = read_all(request, aim, typed)
    if isinstance(reads, Problem):
        return Refusal(problems=(reads,))
    if len({read.at.astimezone(dt.UTC) for read in reads}) > 1:
        return _by_readings(request, aim, reads)
    return _by_one_reading(request, aim, reads)


def aim_of(request: Request) -> Aim | None:
    """The aim in the request's water, None where no level is on file for it (or the drug is not ours to dose)."""
    temperature = warm_end(request.room.water_of(request.tank).conditions.temperature)
    return find_aim(request.treatment, request.target, temperature)


def course_problems(request: Request, aim: Aim | None, typed: Sequence[TypedReading]) -> list[Problem]:
    """What speaks against taking the readings at all: no dose of this kind, another unit, a time to come."""
    treatment = request.treatment
    stopped = not_dosed(treatment)
    if stopped is not None and (not treatment.decided_by or not treatment.unit):
        return [stopped]
    if aim is None and not treatment.decided_by:
        water = request.room.water_of(request.tank)
        place = (request.room.place(water.path, key=True),)
        return [no_aim(treatment, warm_end(water.conditions.temperature), f"`{water.name}`", place)]
    wrong = [r for r in typed if r.level.unit != treatment.unit]
    if wrong and aim is not None:
        return [wrong_unit("reading", wrong[0].level, aim)]
    if unsure := list(kit_problems(request)):
        return unsure
    to_come = [reading for reading in typed if hours_between(request.at, reading.at) > 0]
    return [still_to_come(f"the reading {quoted(r.level.text)}", r.at, request, r.place) for r in to_come]


def read_all(request: Request, aim: Aim | None, typed: Sequence[TypedReading]) -> tuple[Read, ...] | Problem:
    """The readings with their errors: the one that was typed, else the kit's; a Problem where there is neither."""
    kit = kit_for(request, aim) if aim is not None else None
    reads = tuple(Read(at=reading.at, level=_with_error(reading.level, kit)) for reading in typed)
    for reading, read in zip(typed, reads, strict=True):
        if read.level.is_exact:
            return no_error(request, reading)
    return reads


def _with_error(level: Measure, kit: Kit | None) -> Figure:
    if not level.exact:
        return Figure(value=level.value, unit=level.unit, low=max(level.low, 0.0), high=level.high)
    return read_with(kit, level.value, level.unit)


def _by_readings(request: Request, aim: Aim | None, reads: tuple[Read, ...]) -> Course | Refusal:
    start, lasting = reads[0].at, lasting_of(request.treatment)
    points = [Reading(hours=hours_between(start, read.at), level=read.level) for read in reads]
    floor = floor_of(aim)
    try:
        curves = draw_curves(points, linear_too=request.treatment.id in LINEAR_TOO)
    except ValueError:
        why = "fewer than two readings differ from nothing by more than their error"
        return Refusal(problems=(too_few(request, why),))
    if curves.misfit > MOST_MISFIT:
        return Refusal(problems=(contradiction(request, curves, start),))
    hours = hours_between(start, request.at)
    now = _held_down(curves.at(hours), curves, points[-1], hours, lasting)
    return Course(
        request=request,
        aim=aim,
        readings=reads,
        basis="readings",
        now=now,
        curves=curves,
        floor=floor,
        leaves=curves.leaves(floor, points[-1].hours) if floor is not None else None,
        figure=None,
        lasting=lasting,
        next_dose=_next_dose(request, now),
        problems=(*misfit_problems(request, curves, start), *rise_problems(curves)),
    )


def _held_down(now: Figure, curves: Curves, last: Reading, hours: float, lasting: Lasting) -> Figure:
    """After the last reading nothing rises by itself: what looks like a rise is carried on as a level.

    A medicine that goes by itself keeps no more than was last read; where no loss can be told yet, it may be gone.
    """
    if hours <= last.hours:
        return now
    then = curves.at(last.hours)
    value = min(now.value, then.value)
    if not lasting.fades:
        return Figure.around(value, now.unit, min(now.low, then.low), now.high)
    high = min(now.high, last.level.high)
    low = min(now.low, high) if curves.shows_a_loss else 0.0
    return Figure(value=min(max(value, low), high), unit=now.unit, low=low, high=high)


def _by_one_reading(request: Request, aim: Aim | None, reads: tuple[Read, ...]) -> Course | Refusal:
    """One moment tells no rate: the level is known at that moment only, or within the published time."""
    lasting, last = lasting_of(request.treatment), reads[-1]
    level = _together(reads)
    if level is None:
        return Refusal(problems=(too_few(request, "readings of one moment do not agree within their errors"),))
    hours = hours_between(last.at, request.at)
    figure = lasting.gone_after(dosed_before=held_before(request) is not None)
    if hours > 0 and figure is None:
        return Refusal(problems=(too_few(request, "one reading tells no rate, and no published figure stands in"),))
    now = level_by_figure(level, hours, figure) if figure is not None else level
    return Course(
        request=request,
        aim=aim,
        readings=reads,
        basis="published" if hours > 0 else "one reading",
        now=now,
        curves=None,
        floor=floor_of(aim),
        leaves=None,
        figure=figure,
        lasting=lasting,
        next_dose=_next_dose(request, now),
        problems=(),
    )


def _together(reads: Sequence[Read]) -> Figure | None:
    """What readings of one moment agree on."""
    low, high = max(read.level.low for read in reads), min(read.level.high for read in reads)
    mean = sum(read.level.value for read in reads) / len(reads)
    if low > high:
        return None
    return Figure(value=min(max(mean, low), high), unit=reads[0].level.unit, low=low, high=high)


def floor_of(aim: Aim | None) -> float | None:
    """The level under which it no longer works; None where neither a floor nor a band is on file."""
    if aim is None:
        return None
    if aim.floor is not None:
        return aim.floor.value
    return aim.band.low if aim.band.low < aim.band.high else None


def _next_dose(request: Request, now: Figure) -> Answer:
    """The dose from what is left, by the same way as from a reading: every interlock and cap holds."""
    text = f"{digits(now.value)} {now.unit}"
    reading = Measure(now.value, now.unit, max(now.low, 0.0), now.high, text)
    return work_out(replace(request, reading=reading))
