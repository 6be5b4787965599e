"""`pratique plan`: what happens to each arrival, when and where."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import click

from pratique.cli.output import calendar_option, csv_option
from pratique.cli.session import Session, choose, shared_options

if TYPE_CHECKING:
    from pratique.export.calendar import Calendar
    from pratique.export.paper.page import Picture
    from pratique.history.fold import History
    from pratique.room.resolve import Room
    from pratique.schedule.model import BatchPlan, Plan
    from pratique.sheets.plan import News
    from pratique.sheets.rows import Sheet


@click.command("plan")
@click.argument("batch", required=False)
@click.option("--working", is_flag=True, help="Why each date is what it is, who says so, and every clock.")
@click.option(
    "--if", "tried", metavar="ENTRY", help="Try a log entry without writing it, such as 'moved spring tangs ward'."
)
@click.option("--labels", is_flag=True, help="Instead of the plan a card for each tank, to stick on the glass.")
@calendar_option
@csv_option("the tasks")
@shared_options
def command(
    batch: str | None,
    working: bool,
    labels: bool,
    tried: str | None,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """What happens to this arrival (or to all), when and where, and when may it go? The plan follows the log."""
    from pratique.problem import Refusal
    from pratique.schedule.plan import make_plan, present_plan

    session = Session("plan", room_path, at_text, as_json, log_path)
    room = session.need_room("no plan was worked out")
    only = choose(batch, room.batches, "batch", "BATCH") if batch is not None else None
    history = session.history
    whole = only is None and (as_json or session.output.files)  # a record has every batch there ever was
    plan = make_plan(room, history) if whole else present_plan(room, history, keep=only or "")
    plan, news = _tried(session, plan, tried) if tried is not None else (plan, _news(session, plan, history))
    wanted = [p for p in plan.batches if only is None or p.batch.name == only]
    found = [problem for p in wanted for problem in p.problems]
    if only is not None and not wanted[0].stages:
        session.refuse(
            Refusal(problems=tuple(sorted(found, key=lambda problem: not problem.is_error))),
            f"no plan was worked out for {only}",
        )
    session.problems += dict.fromkeys(found)

    from pratique.export.plan_json import plan_json
    from pratique.sheets.labels import labels_sheet
    from pratique.sheets.plan import plan_sheet

    def sheet() -> Sheet:
        if labels:
            return labels_sheet(room, plan, history, session.at)
        seen = history if tried is None else None  # what was only tried is in no picture
        page = plan_sheet(room, plan, session.at, working=working, only=only, news=news, history=seen)
        return _with_chance(session, page, wanted[0]) if working and only is not None else page

    def pictures() -> tuple[Picture, ...]:
        from pratique.export.pictures.courses import plan_pictures

        return () if labels else plan_pictures(plan, history, only)

    session.answer(
        sheet,
        lambda: plan_json(room, plan, only, history=history, changes=news.changes),
        pictures=pictures,
        csv=lambda: _csv(room, plan, history, only),
        calendar=None if tried is not None else partial(_calendar, session, plan, only),
    )


def _csv(room: Room, plan: Plan, history: History, only: str | None) -> str:
    from pratique.export.csv import tasks_csv
    from pratique.export.tasks import plan_tasks

    return tasks_csv(plan_tasks(room, plan, history, only))


def _calendar(session: Session, plan: Plan, only: str | None, earlier: str) -> Calendar:
    from pratique.export.calendar import calendar_of
    from pratique.export.tasks import plan_tasks

    tasks = plan_tasks(session.room, plan, session.history, only)
    return calendar_of(session.room, tasks, at=session.at, earlier=earlier, only=only)


def _with_chance(session: Session, page: Sheet, batch: BatchPlan) -> Sheet:
    """The page with what its dates buy against white spot, where the model reaches this plan."""
    from dataclasses import replace

    from pratique.problem import Problem
    from pratique.risk.answers import for_plan
    from pratique.sheets.risk import plan_chance

    found = for_plan(session.room, session.history, batch) if batch.stages and not batch.over else None
    if found is None or isinstance(found, Problem):
        return page
    return replace(page, parts=(*page.parts, plan_chance(found)))


def _news(session: Session, plan: Plan, history: History) -> News:
    from pratique.schedule.changes import changes_since_yesterday
    from pratique.sheets.plan import News

    return News(changes=changes_since_yesterday(session.room, plan, history))


def _tried(session: Session, plan: Plan, text: str) -> tuple[Plan, News]:
    """The plan as it would be with the entries in `text` written, and what they change."""
    from pratique.checks.entries.day_sheets import DaySheets
    from pratique.checks.entries.moves import with_moves
    from pratique.history.fold import fold
    from pratique.logbook.phrase import parse_entry
    from pratique.logbook.scope import Scope
    from pratique.schedule.changes import changes_between
    from pratique.schedule.plan import make_plan
    from pratique.sheets.plan import News

    room, at = session.room, session.at
    sheets = DaySheets(room, session.log, at)
    scope = Scope(room=room, at=at, written=at, log=session.log, sheet_of=sheets.sheet_of, task_ids=sheets)
    understood = parse_entry([text], scope, file="--if")
    if understood.problems:
        wrong = understood.problems[0]
        raise click.BadParameter(f"{wrong.message}; {wrong.hint}", param_hint="--if")
    entries = with_moves(understood.entries, sheets, scope)
    left_out = room.batches.keys() - {before.batch.name for before in plan.batches}
    after = make_plan(room, fold(room, session.log.plus(entries), at), but=left_out)
    return after, News(changes=changes_between(plan, after), tried=text)
