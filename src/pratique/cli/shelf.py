"""`pratique shelf`: what is short, stale or missing, for the plan and for an emergency?"""

from __future__ import annotations

import click

from pratique.cli.session import Session, shared_options


@click.command("shelf")
@click.option("--days", type=click.IntRange(1, 3660), default=30, show_default=True, help="Days to list by date.")
@shared_options
def command(
    days: int, room_path: str | None, log_path: str | None, at_text: str | None, as_json: bool
) -> None:
    """What is short, stale or missing, for the plan and for an emergency?

    What the coming tasks take against what the log left in each bottle, when to buy; what a first response would need
    in each water tonight; mixed water, salt, tests, and the emergency kit of this room.
    """
    session = Session("shelf", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was counted")

    from pratique.checks.tonight import lacking_tonight, stale
    from pratique.response.scene import scene_of
    from pratique.response.shelf.look import look_over

    history = session.history
    scene = scene_of(room, history, session.at)
    shelf = look_over(room, history, scene=scene)
    session.problems += [*lacking_tonight(room, shelf.tonight), *stale(shelf, room)]

    from pratique.export.shelf_json import shelf_json
    from pratique.sheets.shelf import shelf_sheet

    session.answer(lambda: shelf_sheet(room, shelf, days), lambda: shelf_json(shelf))
