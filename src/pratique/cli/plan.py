"""`pratique plan`: what happens to each arrival, when and where."""

from __future__ import annotations

import click

from pratique.cli.session import Session, choose, shared_options


@click.command("plan")
@click.argument("batch", required=False)
@click.option("--working", is_flag=True, help="Why each date is what it is, and who says so.")
@shared_options
def command(
    batch: str | None, working: bool, room_path: str | None, log_path: str | None, at_text: str | None, as_json: bool
) -> None:
    """What happens to this arrival (or to all), when and where, and when may it go?"""
    from pratique.problem import Refusal
    from pratique.schedule.plan import make_plan

    session = Session("plan", room_path, at_text, as_json)
    room = session.need_room("no plan was worked out")
    only = choose(batch, room.batches, "batch", "BATCH") if batch is not None else None
    plan = make_plan(room)
    wanted = [p for p in plan.batches if only is None or p.batch.name == only]
    found = [problem for p in wanted for problem in p.problems]
    if only is not None and not wanted[0].is_whole:
        session.refuse(
            Refusal(problems=tuple(sorted(found, key=lambda problem: not problem.is_error))),
            f"no plan was worked out for {only}",
        )
    session.problems += dict.fromkeys(found)

    from pratique.export.json import plan_json
    from pratique.sheets.plan import plan_sheet

    session.answer(
        lambda: plan_sheet(room, plan, session.at, working=working, only=only), lambda: plan_json(room, plan, only)
    )
