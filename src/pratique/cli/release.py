"""`pratique release`: may it go yet, and on what evidence?"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import click

from pratique.cli.session import Session, choose, shared_options

if TYPE_CHECKING:
    from pratique.checks.release.model import Verdict
    from pratique.export.paper.page import Picture
    from pratique.history.fold import History
    from pratique.schedule.model import BatchPlan


@click.command("release")
@click.argument("batch")
@click.option("--certificate", is_flag=True, help="The record of this quarantine as a page to keep and to sign.")
@shared_options
def command(
    batch: str, certificate: bool, room_path: str | None, log_path: str | None, at_text: str | None, as_json: bool
) -> None:
    """May this batch go into the display: yes, not yet, or no? Each condition stands with its evidence.

    What is not proven stands beside it; the decision is the keeper's.
    """
    session = Session("release", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was judged")
    name = choose(batch, room.batches, "batch", "BATCH")
    verdict, history = _verdict(session, name)

    from pratique.export.release import release_json
    from pratique.sheets.release import certificate_sheet, release_sheet

    page = certificate_sheet if certificate else release_sheet
    def pictures() -> tuple[Picture, ...]:
        from pratique.export.pictures.courses import batch_pictures

        return batch_pictures(verdict.plan, history)

    session.answer(lambda: page(room, verdict), lambda: release_json(verdict), pictures=pictures)


def _verdict(session: Session, name: str) -> tuple[Verdict, History]:
    """As of the moment asked for; of a batch that has gone, as of the moment before it went. With the record then."""
    from pratique.checks.release.judge import judge
    from pratique.history.fold import fold
    from pratique.problem import Refusal

    history = session.history
    plan = _plan(session, history, name)
    if not plan.stages:
        problems = tuple(sorted(plan.problems, key=lambda problem: not problem.is_error))
        session.refuse(Refusal(problems=problems), f"{name} has no plan, so nothing was judged")
    gone = next((task.done_at for task in plan.tasks if task.act == "release" and task.done_at is not None), None)
    if gone is None:
        return judge(session.room, history, plan), history
    before = fold(session.room, session.log, gone - dt.timedelta(seconds=1))
    return judge(session.room, before, _plan(session, before, name), left=plan.over), before


def _plan(session: Session, history: History, name: str) -> BatchPlan:
    from pratique.schedule.plan import present_plan

    plans = present_plan(session.room, history, keep=name).batches
    return next(plan for plan in plans if plan.batch.name == name)
