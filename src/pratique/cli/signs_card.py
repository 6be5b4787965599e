"""`pratique signs TANK --card`: the emergency card, worked out as if the fast killer were seen now."""

from __future__ import annotations

from typing import NoReturn

from pratique.cli.session import Session


def show_card(session: Session, tank: str) -> NoReturn:
    """The card of the water of `tank`, for the agent that kills soonest: its first acts cover the others too."""
    from pratique.export.first_json import first_json
    from pratique.response.cover import fastest
    from pratique.response.first import first_response
    from pratique.response.suspicion import Suspicion
    from pratique.sheets.emergency import emergency_sheet

    suspicion = Suspicion(tank=tank, at=session.at, signs=("dust",), cover=(fastest(),), standing=True)
    run_sheet = first_response(session.room, session.history, suspicion)
    session.problems += run_sheet.problems
    session.cautions += run_sheet.cautions
    session.answer(lambda: emergency_sheet(session.room, run_sheet), lambda: first_json(run_sheet))
