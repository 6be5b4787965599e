"""`pratique dose TANK` and `pratique dip … --for GEAR` of what disinfects: bleach, thiosulfate, dry air."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.session import Session, choose
from pratique.cli.values import read_level
from pratique.logbook.quotes import shell_line

if TYPE_CHECKING:
    from pratique.dosing.cleaning.model import CleanRequest
    from pratique.dosing.dip import DipRequest
    from pratique.dosing.dose import Request
    from pratique.knowledge.model import Treatment


def clean_tank(session: Session, request: Request, *, working: bool, unused: Mapping[str, object]) -> NoReturn:
    """A tank, with the whole water it is in."""
    from pratique.dosing.cleaning.model import CleanRequest
    from pratique.water.volume import net_volume

    treatment, water = request.treatment, request.room.water_of(request.tank)
    neutralises = treatment.id == "thiosulfate-neutralising"
    refuse_unused(treatment, unused if neutralises else {**unused, "--reading": request.reading})
    asked = CleanRequest(
        room=request.room,
        what=request.tank,
        treatment=treatment,
        at=request.at,
        water=water,
        litres=net_volume(water) if treatment.active else None,
        animals=request.animals or (),
        product=request.product,
        reading=request.reading,
        because=request.because,
    )
    read = request.reading.text if request.reading is not None else None
    said = {"--product": request.product, "--reading": read}
    _answer(session, asked, ["dose", request.tank, treatment.id], said, working=working)


def clean_gear(
    session: Session,
    request: DipRequest,
    whom: str,
    *,
    reading: str | None,
    working: bool,
    unused: Mapping[str, object],
) -> NoReturn:
    """A gear set, in a vessel of the room."""
    from pratique.dosing.cleaning.model import CleanRequest
    from pratique.dosing.vessel import find_vessel
    from pratique.problem import Problem, Refusal
    from pratique.water.volume import NetVolume

    treatment = request.treatment
    neutralises = treatment.id == "thiosulfate-neutralising"
    refuse_unused(treatment, unused if neutralises else {**unused, "--reading": reading})
    gear = choose(whom, request.room.written.gear, "gear set", "--for")
    vessel = find_vessel(request) if treatment.active else None
    if isinstance(vessel, Problem):
        session.refuse(Refusal(problems=(vessel,)), "nothing was worked out")
    asked = CleanRequest(
        room=request.room,
        what=gear,
        where=vessel.name if vessel is not None else "",
        treatment=treatment,
        at=request.at,
        litres=NetVolume(figure=vessel.water, nominal=(), working=()) if vessel is not None else None,
        product=request.product,
        reading=read_level(reading, "level", "--reading"),
        because=request.because,
    )
    filled = request.volume.text if request.volume is not None else None
    said = {"--product": request.product, "--vessel": request.vessel, "--volume": filled, "--reading": reading}
    _answer(session, asked, ["dip", treatment.id, "--for", gear], said, working=working)


def refuse_unused(treatment: Treatment, unused: Mapping[str, object]) -> None:
    """Options that have no part in a disinfection."""
    for option, given in unused.items():
        if given:
            raise click.UsageError(f"{option} has no part in `{treatment.id}`")


def _answer(
    session: Session, asked: CleanRequest, words: list[str], said: Mapping[str, str | None], *, working: bool
) -> NoReturn:
    """The page, or the refusal; `words` and what was `said` behind them make the command for its working."""
    from pratique.dosing.cleaning.work import work_out_cleaning
    from pratique.problem import Refusal

    answer = work_out_cleaning(asked)
    if isinstance(answer, Refusal):
        session.refuse(answer, "nothing was worked out")
    session.problems += answer.problems
    session.cautions += answer.cautions
    session.record_overrides(answer.overridden, None)

    from pratique.export.cleaning import cleaning_json
    from pratique.sheets.cleaning import cleaning_sheet

    typed = [word for option, text in said.items() if text is not None for word in (option, text)]
    next_ = shell_line(["pratique", *words, *typed, "--working"]) if answer.working else ""
    room, at = asked.room, session.at
    session.answer(
        lambda: cleaning_sheet(room, answer, at, next_=next_, working=working), lambda: cleaning_json(answer)
    )
