"""`pratique dose` with `--readings`, `--added` or `--claim`: what is really in the water, the glass and the bottle."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.session import Session

if TYPE_CHECKING:
    from pratique.dosing.dose import Answer, Request
    from pratique.dosing.evidence.typed import TypedReading


def answer_evidence(
    session: Session, request: Request, *, readings: str | None, added: str | None, claim: str | None, working: bool
) -> NoReturn:
    """The one question that was asked; the other ways of giving a level are refused beside it."""
    if claim is not None and (readings is not None or added is not None):
        raise click.UsageError("--claim is a question of its own: leave --readings and --added out")
    if request.reading is not None and claim is None:
        raise click.UsageError("--reading is one level read now: give it as the last of --readings, with its time")
    if claim is not None:
        _claim(session, request, claim, working=working)
    elif added is not None:
        _volume(session, request, added, readings)
    else:
        _level(session, request, readings or "", working=working)


def _level(session: Session, request: Request, readings: str, *, working: bool) -> NoReturn:
    from pratique.dosing.evidence.course import work_out_course
    from pratique.problem import Refusal

    what = "no level was worked out"
    typed = _typed(session, request, readings, what)
    course = work_out_course(request, typed)
    if isinstance(course, Refusal):
        session.refuse(course, what)
    session.problems += course.problems
    _take_dose(session, course.next_dose)

    from pratique.export.evidence import level_json
    from pratique.sheets.level import level_sheet

    room, at = request.room, session.at
    session.answer(lambda: level_sheet(room, course, at, working=working), lambda: level_json(course, room))


def _volume(session: Session, request: Request, added: str, readings: str | None) -> NoReturn:
    from pratique.dosing.evidence.addition import read_addition
    from pratique.dosing.evidence.volume import work_out_rise
    from pratique.problem import Problem, Refusal

    what = "no volume was worked out"
    addition = read_addition(added, request.room)
    if isinstance(addition, Problem):
        session.refuse(Refusal(problems=(addition,)), what)
    typed = _typed(session, request, readings, what) if readings is not None else ()
    rise = work_out_rise(request, addition, typed)
    if isinstance(rise, Refusal):
        session.refuse(rise, what)
    session.problems += rise.problems

    from pratique.export.evidence import volume_json
    from pratique.sheets.volume import volume_sheet

    session.answer(lambda: volume_sheet(request.room, rise, session.at), lambda: volume_json(rise))


def _claim(session: Session, request: Request, claim: str, *, working: bool) -> NoReturn:
    from pratique.dosing.evidence.claim import judge_claim
    from pratique.problem import Refusal

    verdict = judge_claim(request, claim)
    if isinstance(verdict, Refusal):
        session.refuse(verdict, "the claim was not judged")
    session.problems += verdict.problems
    _take_dose(session, verdict.right_dose)

    from pratique.export.evidence import claim_json
    from pratique.sheets.claim import claim_sheet

    room, at = request.room, session.at
    session.answer(lambda: claim_sheet(room, verdict, at, working=working), lambda: claim_json(verdict, room))


def _typed(session: Session, request: Request, readings: str, what: str) -> tuple[TypedReading, ...]:
    from pratique.dosing.evidence.typed import read_readings
    from pratique.problem import Refusal

    dimension = "parts" if request.treatment.unit == "uL/L" else "level"
    typed, problems = read_readings(readings, dimension=dimension, zone=request.room.zone)
    if problems:
        session.refuse(Refusal(problems=problems), what)
    return typed


def _take_dose(session: Session, answer: Answer) -> None:
    """The dose beside the answer brings its own warnings and cautions, or its reasons against it."""
    from pratique.dosing.dose import Dose

    seen = set(session.problems)
    session.problems += [problem for problem in answer.problems if problem not in seen]
    if isinstance(answer, Dose):
        session.cautions += answer.cautions
