"""`pratique check`: is the file sound, and is the room safe?"""

from __future__ import annotations

import click

from pratique.cli.session import Session, shared_options


@click.command("check")
@shared_options
def command(room_path: str | None, log_path: str | None, at_text: str | None, as_json: bool) -> None:
    """Is my file sound, and is the room safe?"""
    from pratique.checks.rules import check_room
    from pratique.checks.tonight import not_tonight
    from pratique.response.scene import scene_of

    session = Session("check", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was worked out")
    history = session.history
    scene = scene_of(room, history, session.at)
    found = [*session.problems, *check_room(room, session.at), *scene.plan.problems, *not_tonight(scene)]
    session.problems = list(dict.fromkeys(found))
    errors = sum(problem.is_error for problem in session.problems)
    warnings = len(session.problems) - errors

    from pratique.sheets.check import check_sheet

    session.answer(
        lambda: check_sheet(room, history, errors, warnings),
        lambda: {"errors": errors, "warnings": warnings},
    )
