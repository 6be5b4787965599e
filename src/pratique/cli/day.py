"""`pratique day`: the sheet for the wall, and the one for somebody who stands in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.output import csv_option
from pratique.cli.session import Session, shared_options
from pratique.cli.typed import WholeRange

if TYPE_CHECKING:
    from pratique.room.resolve import AwayDays
    from pratique.schedule.model import Task
    from pratique.sheets.rows import Sheet


@click.command("day")
@click.argument("date", required=False)
@click.option("--days", type=WholeRange(1, 60), help="How many days, from DATE on; else one.")
@click.option("--deputy", is_flag=True, help="A page for a stand-in; without DATE, for the next days away.")
@csv_option("the tasks")
@shared_options
def command(
    date: str | None,
    days: int | None,
    deputy: bool,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """What do I do in the room today (or on DATE, such as 2027-03-05)? What the log shows as done is marked."""
    from pratique.schedule.day_lines import lines_of_day
    from pratique.schedule.plan import make_plan, present_plan
    from pratique.schedule.unplanned import must_wait, said_elsewhere

    session = Session("day", room_path, at_text, as_json, log_path)
    room = session.need_room("no sheet was made")
    if deputy:
        _deputy(session, date, days)
    first = _date(date, session.at)
    history = session.history
    plan = (present_plan if first >= session.at.date() else make_plan)(room, history)
    dates = [first + dt.timedelta(days=offset) for offset in range(days or 1)]
    later = said_elsewhere(plan, must_wait(plan, dates[-1])[1])
    session.problems += dict.fromkeys(
        problem
        for problem in plan.problems
        if problem not in later and (problem.is_error or problem.code in _SAID_DAILY)
    )
    found = tuple((each, lines_of_day(room, plan, history, each)) for each in dates)

    from pratique.export.plan_json import day_json
    from pratique.sheets.day import day_sheet
    from pratique.sheets.week import with_glance

    def sheet() -> Sheet:
        return day_sheet(room, plan, found, session.at, is_logged=not history.is_empty, bottles=history.bottles)

    session.answer(
        sheet, lambda: day_json(found), paper=lambda: with_glance(sheet(), room, found), csv=lambda: _csv(found)
    )


def _csv(found: Sequence[tuple[dt.date, Sequence[Task]]]) -> str:
    from pratique.export.csv import day_csv

    return day_csv(found)


_SAID_DAILY = ("S521", "S522", "S526", "S527", "S530", "S532", "S538", "S545")
"""What the log shows that is to be acted on today."""


def _deputy(session: Session, date: str | None, days: int | None) -> NoReturn:
    """The page for a stand-in: the days that were named, else the next days away, else today."""
    from pratique.history.fold import fold
    from pratique.schedule.day import tasks_on
    from pratique.schedule.plan import present_plan
    from pratique.schedule.slip import STAND_IN, next_away, with_stand_in
    from pratique.schedule.unplanned import said_elsewhere

    room = with_stand_in(session.room)
    dates, note = _days_of(date, days, next_away(room, session.at), session.at)
    first = dates[0]
    history = fold(room, session.log, session.at)
    plan = present_plan(room, history)
    others = [batch for batch in plan.batches if not batch.is_whole and batch.batch.arrives.date() not in dates]
    not_for_them = said_elsewhere(plan, others)
    session.problems += dict.fromkeys(p for p in plan.problems if p.is_error and p not in not_for_them)
    found = tuple((each, tasks_on(room, plan, each, history)) for each in dates)
    named = next((a.stand_in for a in room.away if a.start.date() <= first <= a.end.date()), STAND_IN)

    from pratique.export.plan_json import day_json
    from pratique.sheets.deputy import deputy_sheet

    session.answer(
        lambda: deputy_sheet(
            room,
            plan,
            found,
            session.at,
            who=named,
            note=note,
            is_logged=not history.is_empty,
            bottles=history.bottles,
        ),
        lambda: day_json(found),
        csv=lambda: _csv(found),
    )


def _days_of(date: str | None, days: int | None, away: AwayDays | None, at: dt.datetime) -> tuple[list[dt.date], str]:
    """The days of the page; and what to say where nobody said how many they are, so that it is for one alone."""
    first, note = _date(date, at), ""
    if date is None and away is not None:
        first = max(away.start.date(), at.date())
        last = (away.end - dt.timedelta(seconds=1)).date()
        days = days or min((last - first).days + 1, 60)
    elif days is None:
        coming = "the room file has no days away to come" if away is None else "a date was given and no number of days"
        note = f"for this one day alone: {coming}. `--days 4` makes four; `away:` under `room:` names days away"
    return [first + dt.timedelta(days=offset) for offset in range(days or 1)], note


def _date(text: str | None, at: dt.datetime) -> dt.date:
    from pratique.room.times import read_when
    from pratique.room.wrong import Wrong

    if text is None or text == "today":
        return at.date()
    if text in ("tomorrow", "yesterday"):
        return at.date() + dt.timedelta(days=1 if text == "tomorrow" else -1)
    try:
        return read_when(text).date
    except Wrong as error:
        raise click.BadParameter(f"{error.message}; {error.hint}", param_hint="DATE") from None
