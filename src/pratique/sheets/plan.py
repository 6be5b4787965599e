"""The plan on a page: for each batch its regimen and why, its stages, the dated acts, and the release."""

from __future__ import annotations

import datetime as dt

from pratique.knowledge import store
from pratique.room.resolve import Room
from pratique.schedule.model import BatchPlan, Plan, Task
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Meaning, Part, Sheet, Table


def plan_sheet(room: Room, plan: Plan, at: dt.datetime, *, working: bool = False, only: str | None = None) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = []
    for batch in plan.batches:
        if only is None or batch.batch.name == only:
            parts += _batch_parts(room, batch, at, notes, working)
    if not parts:
        parts = [Lines(lines=(Cell("no batch is in the room file, so there is nothing to plan"),))]
    return Sheet(
        title=f"Plan · {room.name} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next=f"pratique day {_first_day(plan, at)}".rstrip(),
    )


def _first_day(plan: Plan, at: dt.datetime) -> str:
    coming = sorted(task.at for batch in plan.batches for task in batch.tasks if task.until >= at)
    return "" if not coming or coming[0].date() <= at.date() else coming[0].date().isoformat()


def _batch_parts(room: Room, plan: BatchPlan, at: dt.datetime, notes: Footnotes, working: bool) -> list[Part]:
    parts: list[Part] = [_head(room, plan, at)]
    if not plan.is_whole:
        codes = ", ".join(dict.fromkeys(problem.code for problem in plan.problems if problem.is_error))
        parts.append(Lines(lines=(Cell(f"not planned: see {codes}", "error"),)))
        return parts
    parts.append(_stages(plan, at, notes))
    parts.append(_acts(room, plan, at, notes))
    if working:
        parts.append(_reasons(plan, at))
    assert plan.release is not None
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


def _head(room: Room, plan: BatchPlan, at: dt.datetime) -> Facts:
    batch = plan.batch
    animals = ", ".join(f"{animal.count} {animal.label}" for animal in batch.animals)
    chosen = "chosen by the keeper" if plan.chosen_by == "keeper" else "proposed"
    signs = [("signs", Cell(words.sign_names(batch.signs), "warning"))] if batch.signs else []
    return Facts(
        title=batch.name,
        pairs=(
            ("animals", Cell(animals)),
            ("from", Cell(f"{batch.written.source}, {batch.written.trust}")),
            *signs,
            ("arrives", Cell(words.moment(batch.arrives, at=at))),
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
    return Table(title=f"{plan.batch.name} · which tank, from when to when", columns=columns, rows=tuple(rows))


def words_of(source: str) -> str:
    """A task's citation `KEY, where (C)` in the words of a footnote."""
    key, _, rest = source.partition(", ")
    where, _, confidence = rest.rpartition(" (")
    return words.source_line(key, where, confidence.rstrip(")"))


def _acts(room: Room, plan: BatchPlan, at: dt.datetime, notes: Footnotes) -> Table:
    rows = tuple(_row(room, task, at, notes) for task in plan.tasks)
    columns = (
        Column("When", "id", lead=True),
        Column("Tank", "id", lead=True),
        Column("Amount", "number"),
        Column("What", "prose"),
    )
    return Table(
        title=f"{plan.batch.name} · what, when (daily looks, tests and changes stand on the day sheet)",
        columns=columns,
        rows=rows,
    )


def act_text(task: Task, notes: Footnotes) -> str:
    """The act and what it is, its limit or window before it, its stand-in and its source after it."""
    act = task.act.replace("-", " ")
    text = task.text if task.text.startswith(act) else f"{act}: {task.text}"
    if task.deadline:
        limit = words.moment(task.until)
        text = f"BY {limit} · {text.replace(f' by {limit}', '', 1)}"
    elif task.act == "redose" and task.until.date() > task.at.date():
        text = f"window to {words.moment(task.until)} · {text}"
    if task.who:
        text += f" (stand-in: {task.who})"
    return text + "".join(notes.mark(words_of(source)) for source in task.sources[:1])


def figure_cell(room: Room, task: Task) -> Cell:
    if task.refused:
        return words.refused(task.refused)
    return Cell(words.amount(task.amount, room)) if task.amount else EMPTY


def _row(room: Room, task: Task, at: dt.datetime, notes: Footnotes) -> tuple[Cell, ...]:
    meaning: Meaning = "muted" if task.until < at else "due" if task.deadline else ""
    when = Cell(words.moment(task.at, at=at), meaning)
    return (when, Cell(task.tank), figure_cell(room, task), Cell(act_text(task, notes)))


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
