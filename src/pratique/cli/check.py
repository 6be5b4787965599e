"""`pratique check`: is the file sound, and is the room safe?"""

from __future__ import annotations

import click

from pratique.cli.session import Session, shared_options


@click.command("check")
@shared_options
def command(room_path: str | None, log_path: str | None, at_text: str | None, as_json: bool) -> None:
    """Is my file sound, and is the room safe?"""
    from pratique.checks.rules import check_room
    from pratique.checks.tonight import not_tonight, scene_with
    from pratique.schedule.plan import present_plan

    session = Session("check", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was worked out")
    history = session.history
    plan = present_plan(room, history)
    scene = scene_with(room, history, session.at, plan)
    found = [*session.problems, *check_room(room, session.at), *plan.problems, *not_tonight(scene)]
    session.problems = list(dict.fromkeys(found))
    errors = sum(problem.is_error for problem in session.problems)
    warnings = len(session.problems) - errors

    from pratique.sheets.check import check_sheet

    session.answer(
        lambda: check_sheet(room, history, session.at, errors, warnings),
        lambda: {"errors": errors, "warnings": warnings},
    )
