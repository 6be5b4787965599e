"""The plan on a page: for each batch its regimen and why, its stages, the dated acts, and the release."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.history.fold import History
from pratique.knowledge import store
from pratique.problem import plural
from pratique.room.resolve import Room
from pratique.schedule.changes import Change
from pratique.schedule.model import OVER, BatchPlan, Plan
from pratique.sheets import words
from pratique.sheets.acts import act_text, task_table, words_of
from pratique.sheets.away import away_parts
from pratique.sheets.clocks import clock_parts
from pratique.sheets.glance import glance_parts
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class News:
    """What changed, to be said at the head of the page; `tried`: by entries that were not written."""

    changes: tuple[Change, ...] = ()
    tried: str = ""


def plan_sheet(
    room: Room,
    plan: Plan,
    at: dt.datetime,
    *,
    working: bool = False,
    only: str | None = None,
    news: News | None = None,
    history: History | None = None,
) -> Sheet:
    """The plan of every batch in quarantine or to come, or of the one named `only`; what changed stands at its head.

    Of batches that left quarantine a line each says how it ended, and what is left to do after them; of those that are
    not in the plan, since they left long ago, how many they are. With a `history` each batch that has come has its
    clocks and levels as pictures too.
    """
    notes = Footnotes()
    parts: list[Part] = _news(news or News(), only)
    parts += _urgent(room, plan, notes, only)
    for batch in plan.batches:
        if not batch.over if only is None else batch.batch.name == only:
            parts += _batch_parts(room, batch, at, notes, working, history)
    if only is None:
        parts += _left_quarantine(room, plan, at, notes)
    if not room.batches:
        parts = [Lines(lines=(Cell("no batch is in the room file, so there is nothing to plan"),))]
    return Sheet(
        title=f"Plan · {room.name} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next=f"pratique day {_first_day(plan, at)}".rstrip(),
    )


def _news(news: News, only: str | None) -> list[Part]:
    """What changed, and why: a sentence for each batch."""
    changes = [change for change in news.changes if only is None or change.batch == only]
    lines = tuple(Cell(f"{change.batch}: {change.text}", "warning") for change in changes)
    if news.tried:
        return [
            Lines(
                title=f"If this were written: {news.tried} (nothing was written)",
                lines=lines or (Cell("nothing would change in the plan"),),
                bullet="·",
            )
        ]
    return [Lines(title="What changed since the day began, and why", lines=lines, bullet="·")] if lines else []


def _urgent(room: Room, plan: Plan, notes: Footnotes, only: str | None) -> list[Part]:
    """What the log asks for before anything else."""
    own = (task for batch in plan.batches for task in batch.tasks if task.urgent)
    found = [task for task in (*plan.urgent, *own) if task.state not in OVER and only in (None, task.batch)]
    lines = []
    for task in found:
        amount = f"{words.amount(task.amount, room)} · " if task.amount is not None else ""
        lines.append(Cell(f"{task.tank} · {amount}{act_text(task, notes)}", "error"))
    return [Lines(title="Before anything else", lines=tuple(lines), bullet="☐")] if lines else []


def _first_day(plan: Plan, at: dt.datetime) -> str:
    coming = sorted(task.at for batch in plan.batches for task in batch.tasks if task.until >= at)
    return "" if not coming or coming[0].date() <= at.date() else coming[0].date().isoformat()


def _batch_parts(
    room: Room, plan: BatchPlan, at: dt.datetime, notes: Footnotes, working: bool, history: History | None
) -> list[Part]:
    parts: list[Part] = [_head(plan, at)]
    if not plan.is_whole:
        codes = ", ".join(dict.fromkeys(problem.code for problem in plan.problems if problem.is_error))
        how_far = "not planned to its end" if plan.stages else "not planned"
        parts.append(Lines(lines=(Cell(f"{how_far}: see {codes}", "error"),)))
        if not plan.stages:
            return parts
    parts.append(_stages(plan, at, notes))
    parts += glance_parts(plan, history) if history is not None else ()
    parts.append(_acts(room, plan, at, notes))
    parts += away_parts(room, plan, at)
    if working:
        parts += clock_parts(plan, at)
        parts.append(_reasons(plan, at))
    if plan.release is None or plan.over:
        return parts
    into = f" into {plan.release.into}" if plan.release.into else ""
    conditions = tuple(Cell(text) for text in plan.release.conditions)
    parts.append(
        Lines(
            title=f"{plan.batch.name} · earliest release{into}: {words.moment(plan.release.earliest, at=at)}, if",
            lines=conditions,
            bullet="☐",
        )
    )
    return parts


def _left_quarantine(room: Room, plan: Plan, at: dt.datetime, notes: Footnotes) -> list[Part]:
    """How each ended, what is still to do after it, and how many left long ago."""
    left = [batch for batch in plan.batches if batch.over]
    parts: list[Part] = []
    if left:
        rows = tuple(
            (
                Cell(batch.batch.name),
                Cell(words.moment(batch.batch.arrives, at=at)),
                Cell(batch.regimen.id),
                Cell(batch.over),
            )
            for batch in left
        )
        columns = (
            Column("Batch", "id", lead=True),
            Column("Arrived", "id"),
            Column("Regimen", "id"),
            Column("How it ended", "prose"),
        )
        parts.append(Table(title="Left quarantine", columns=columns, rows=rows))
        undone = [task for batch in left for task in batch.tasks if task.state not in OVER]
        if undone:
            title = "Still to do after those that left"
            parts.append(task_table(room, title, sorted(undone, key=lambda task: task.at), at, notes))
    gone = len(room.batches) - len(plan.batches)
    if left or gone:
        many = plural(gone, "batch that left long ago is", "batches that left long ago are")
        said = f"{many} not shown; " if gone else ""
        parts.append(Lines(lines=(Cell(f"{said}`pratique plan NAME` shows the whole of any batch", "muted"),)))
    return parts


def _head(plan: BatchPlan, at: dt.datetime) -> Facts:
    batch = plan.batch
    animals = ", ".join(f"{animal.count} {animal.label}" for animal in batch.animals)
    chosen = "chosen by the keeper" if plan.chosen_by == "keeper" else "proposed"
    signs = [("signs", Cell(words.sign_names(batch.signs), "warning"))] if batch.signs else []
    if plan.seen:
        last = plan.seen[-1]
        names = words.sign_names(tuple(dict.fromkeys(sign for entry in plan.seen for sign in entry.signs)))
        signs.append(("seen since", Cell(f"{names}, the last on {words.moment(last.at, at=at)}", "warning")))
    return Facts(
        title=batch.name,
        pairs=(
            ("animals", Cell(animals or "none alive")),
            ("from", Cell(f"{batch.written.source}, {batch.written.trust}")),
            *signs,
            ("arrived" if plan.begun else "arrives", Cell(words.moment(batch.arrives, at=at))),
            *([("now", Cell(plan.over, "done"))] if plan.over else []),
            ("regimen", Cell(f"{plan.regimen.title} ({plan.regimen.id}), {chosen}")),
            ("because", Cell("; ".join(plan.why))),
            ("misses", Cell("; ".join(plan.misses), "muted")),
        ),
    )


def _stages(plan: BatchPlan, at: dt.datetime, notes: Footnotes) -> Table:
    rows = []
    for stage in plan.stages:
        tanks = (
            " → ".join(stage.tanks)
            if len(set(stage.tanks)) == 1 or stage.kind != "transfers"
            else " ⇄ ".join(dict.fromkeys(stage.tanks))
        )
        mark = "".join(notes.mark(words_of(source)) for source in stage.sources[:2])
        rows.append(
            (
                Cell(stage.name),
                Cell(tanks),
                Cell(words.moment(stage.start, at=at)),
                Cell(words.moment(stage.end, at=at)),
                Cell(stage.clock + mark),
            )
        )
    columns = (
        Column("Stage", "id", lead=True),
        Column("Tank", "id", lead=True),
        Column("From", "id"),
        Column("Until", "id"),
        Column("What is counted", "prose"),
    )
    title = f"{plan.batch.name} · which tank, from when to when"
    return Table(title=title, columns=columns, rows=tuple(rows), pictured=plan.batch.name)


def _acts(room: Room, plan: BatchPlan, at: dt.datetime, notes: Footnotes) -> Table:
    title = f"{plan.batch.name} · what, when (daily looks, tests and changes stand on the day sheet)"
    return task_table(room, title, plan.tasks, at, notes)


def _reasons(plan: BatchPlan, at: dt.datetime) -> Table:
    """`--working`: why each date is what it is, and who says so."""
    rows = []
    known = store.sources()
    for task in plan.tasks:
        who = []
        for source in task.sources:
            key = source.split(",", 1)[0]
            who.append(f"{source}: {known[key].citation}" if key in known else source)
        rows.append(
            (
                Cell(words.moment(task.at, at=at)),
                Cell(task.act),
                Cell(task.reason or "—"),
                Cell("; ".join(who) or "—", "muted"),
            )
        )
    columns = (
        Column("When", "id", lead=True),
        Column("Act", "id", lead=True),
        Column("Why then", "prose"),
        Column("Who says so", "prose"),
    )
    return Table(title=f"{plan.batch.name} · working", columns=columns, rows=tuple(rows))
