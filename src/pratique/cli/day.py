"""`pratique day`: the sheet for the wall."""

from __future__ import annotations

import datetime as dt

import click

from pratique.cli.session import Session, shared_options


@click.command("day")
@click.argument("date", required=False)
@click.option("--days", type=click.IntRange(1, 60), default=1, show_default=True, help="How many days, from DATE on.")
@shared_options
def command(
    date: str | None, days: int, room_path: str | None, log_path: str | None, at_text: str | None, as_json: bool
) -> None:
    """What do I do in the room today (or on DATE, such as 2027-03-05)?"""
    from pratique.schedule.day import tasks_on
    from pratique.schedule.plan import make_plan

    session = Session("day", room_path, at_text, as_json)
    room = session.need_room("no sheet was made")
    first = _date(date, session.at)
    plan = make_plan(room)
    session.problems += dict.fromkeys(problem for problem in plan.problems if problem.is_error)
    dates = [first + dt.timedelta(days=offset) for offset in range(days)]
    found = tuple((each, tasks_on(room, plan, each)) for each in dates)

    from pratique.export.json import day_json
    from pratique.sheets.day import day_sheet

    session.answer(lambda: day_sheet(room, plan, found, session.at), lambda: day_json(found))


def _date(text: str | None, at: dt.datetime) -> dt.date:
    from pratique.room.times import read_when
    from pratique.room.wrong import Wrong

    if text is None or text == "today":
        return at.date()
    if text == "tomorrow":
        return at.date() + dt.timedelta(days=1)
    try:
        return read_when(text).date
    except Wrong as error:
        raise click.BadParameter(f"{error.message}; {error.hint}", param_hint="DATE") from None
