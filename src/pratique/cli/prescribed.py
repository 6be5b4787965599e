"""`pratique dose` of what a veterinarian prescribed: in food or in the water."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.session import Session, choose
from pratique.cli.values import read_level

if TYPE_CHECKING:
    from pratique.cli.dose import Typed
    from pratique.dosing.dose import Request


def answer_prescribed(session: Session, request: Request, typed: Typed) -> NoReturn:
    """The course of the prescription that was named, or of the only one that fits."""
    from pratique.dosing.prescribed.course import BathCourse, FoodCourse, PrescribedRequest
    from pratique.dosing.prescribed.work import work_out_prescribed
    from pratique.problem import Refusal
    from pratique.schedule.on_record import in_tank

    room, name, food, working = request.room, typed.prescription, typed.food, typed.working
    weighed = read_level(food, "mass", "--food")
    if weighed is not None and weighed.low <= 0:
        raise click.BadParameter("write what they eat in a day, such as `2 g`", param_hint="--food")
    answer = work_out_prescribed(
        PrescribedRequest(
            asked=request,
            in_tank=in_tank(session.history, request.tank),
            name=choose(name, room.written.prescriptions, "prescription", "--prescription") if name else None,
            food=weighed,
        )
    )
    if isinstance(answer, Refusal):
        session.refuse(answer, "no dose was worked out")
    session.problems += answer.problems
    session.cautions += answer.cautions
    overridden = answer.dose.overridden if isinstance(answer, BathCourse) else answer.overridden
    session.record_overrides(overridden, request.tank)
    at = session.at
    next_ = typed.again(request.tank, request.treatment.id, prescription=answer.given.name)

    from pratique.export.prescribed import bath_json, food_json
    from pratique.sheets.prescribed import bath_sheet, food_sheet

    if isinstance(answer, BathCourse):
        if food is not None:
            raise click.UsageError("--food has no part in a bath")
        bath: BathCourse = answer
        session.answer(lambda: bath_sheet(room, bath, at, working=working, next_=next_), lambda: bath_json(bath, room))
    _refuse_water(request)
    course: FoodCourse = answer
    session.answer(lambda: food_sheet(room, course, at, working=working, next_=next_), lambda: food_json(course))


def _refuse_water(request: Request) -> None:
    """What is said of the water has no part in food."""
    said = {
        "--reading": request.reading is not None,
        "--change": request.change_share is not None or request.change_litres is not None,
        "--oxygen": request.oxygen is not None,
        "--off": bool(request.off),
        "--stock": request.stock is not None,
    }
    for option, given in said.items():
        if given:
            raise click.UsageError(f"{option} has no part in a medicine that is eaten")
