"""The one answer to a change of salinity, for `pratique water --to` and `pratique dose TANK hyposalinity`."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.session import Session

if TYPE_CHECKING:
    from pratique.dosing.salinity_plan import SalinityRequest
    from pratique.knowledge.model import Treatment


def answer_course(
    session: Session,
    tank: str,
    treatment: Treatment,
    *,
    reading: str | None,
    target: str | None,
    working: bool,
    because: tuple[str, ...],
    unused: Mapping[str, str | None],
) -> NoReturn:
    """`pratique dose TANK hyposalinity`: down, held for its days, up again. `unused` have no part in that."""
    from pratique.cli.water_values import read_grams, read_salt_level
    from pratique.dosing.salinity_plan import SalinityRequest
    from pratique.logbook.quotes import shell_line
    from pratique.schedule.on_record import in_water
    from pratique.schedule.recorded import room_as_recorded
    from pratique.water.state import Readings, look_at

    for option, text in unused.items():
        if text is not None:
            raise click.UsageError(f"{option} has no part in `{treatment.id}`: its medicine is water")
    room = room_as_recorded(session.room, session.history)
    animals, planned = in_water(session.history, tank)
    goal = read_grams(target, "--target")
    request = SalinityRequest(
        state=look_at(room, tank, Readings(salinity=read_salt_level(reading, "--reading"))),
        treatment=treatment,
        goal=goal if goal is not None else treatment.needed("target").value,
        at=session.at,
        animals=animals,
        planned=planned,
        course=True,
        because=because,
    )
    said = [("--reading", reading), ("--target", target), *(("--because", reason) for reason in because)]
    typed = [word for option, text in said if text is not None for word in (option, text)]
    next_ = shell_line(["pratique", "dose", tank, treatment.id, *typed, "--working"])
    answer_salinity(session, request, title=f"Dose · {tank} · {treatment.title}", next_=next_, working=working)


def answer_salinity(session: Session, request: SalinityRequest, *, title: str, next_: str, working: bool) -> NoReturn:
    from pratique.dosing.salinity import plan_salinity
    from pratique.problem import Refusal

    answer = plan_salinity(request)
    if isinstance(answer, Refusal):
        session.refuse(answer, "no change of salinity was worked out")
    session.problems += [problem for problem in answer.problems if problem not in session.problems]
    session.cautions += answer.cautions
    session.record_overrides(answer.overridden, request.state.tank)

    from pratique.export.water_json import salinity_json
    from pratique.sheets.salinity import salinity_sheet

    session.answer(
        lambda: salinity_sheet(session.room, answer, session.at, title=title, next_=next_, working=working),
        lambda: salinity_json(answer),
    )
