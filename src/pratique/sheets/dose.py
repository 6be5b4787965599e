"""The dose on a page: the amount first, then the steps, then what to know, then the working."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.dose import Addition, Dose
from pratique.figure import Step
from pratique.knowledge.model import Statement
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table


def dose_sheet(room: Room, dose: Dose, at: dt.datetime, *, working: bool = False) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = [_head(room, dose, notes)]
    if dose.steps or dose.change is not None:
        parts.append(_steps(room, dose, at))
    said = [Cell(text) for text in dose.notes]
    if said:
        parts.append(Lines(title="To know", lines=tuple(said), bullet="·"))
    if working:
        parts.append(working_table(dose.working))
    parts.append(
        Lines(
            title="Cautions",
            lines=tuple(
                Cell(statement.text + (notes.mark(_of(statement)) if working else "")) for statement in dose.cautions
            ),
            bullet="·",
        )
    )
    return Sheet(
        title=f"Dose · {dose.tank} · {dose.treatment.title} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next="" if working else f"pratique dose {_quoted(dose.tank)} {dose.treatment.id} --working",
    )


def _of(statement: Statement) -> str:
    return words.source_line(statement.source, statement.where, statement.confidence)


def _quoted(name: str) -> str:
    return f"'{name}'" if " " in name else name


def _head(room: Room, dose: Dose, notes: Footnotes) -> Facts:
    first = dose.steps[0].add if dose.steps else dose.change.add if dose.change else None
    pairs: list[tuple[str, Cell]] = []
    if first is not None:
        pairs.append(("add now", Cell(_add(room, dose, first.value), "due")))
    if len(dose.steps) > 1 or not first:
        pairs.append(("add in all", Cell(words.amount(dose.add, room))))
    pairs += [
        ("product", Cell(f"{dose.product}, {room.written.shelf[dose.product].strength.text}")),
        ("water", Cell(f"{words.volume(dose.water.value, room)} net{_range(dose.water.low, dose.water.high, 'L')}")),
        (
            "before",
            Cell(words.value(dose.before.value, dose.before.unit) + _range(dose.before.low, dose.before.high, "")),
        ),
        (
            "target",
            Cell(
                words.value(dose.target.value, dose.target.unit)
                + f", band {words.band(dose.band.low, dose.band.high, dose.band.unit)}"
                + _target_mark(dose, notes)
            ),
        ),
        ("after", Cell(words.value(dose.after.value, dose.after.unit) + _range(dose.after.low, dose.after.high, ""))),
    ]
    return Facts(pairs=tuple(pairs))


def _range(low: float, high: float, unit: str) -> str:
    text = words.band(low, high, unit).rstrip()
    return "" if low == high else f", {text} at the worst"


def _target_mark(dose: Dose, notes: Footnotes) -> str:
    return notes.mark(words.citation(dose.sources[0])) if dose.sources else ""


def _add(room: Room, dose: Dose, amount: float) -> str:
    text = words.value(amount, dose.add.unit)
    product = room.written.shelf[dose.product]
    if product.dropper is not None and dose.add.unit == "mL":
        text += f" = {amount * product.dropper:.0f} drops of this bottle's dropper"
    if dose.add.unit == "tablet":
        whole = int(amount) + (amount % 1 > 1e-9)
        text = f"{amount:.2f} tablets: crush {whole}, weigh the powder, use {amount / whole * 100:.1f} % of it"
    return text


def _steps(room: Room, dose: Dose, at: dt.datetime) -> Table:
    rows = []
    if dose.change is not None:
        change = dose.change
        count = f"{change.count} changes of " if change.count > 1 else "change "
        add = words.amount(change.add, room) if change.add else "none"
        into = "the amount goes into the new water" if change.add else "no medicine into the new water; read after each"
        rows.append(
            (
                Cell("change"),
                Cell(words.moment(at, at=at)),
                Cell(add),
                Cell(words.value(change.after, dose.target.unit)),
                Cell(f"{count}{words.volume(change.volume, room)}; {into}"),
            )
        )
    for number, step in enumerate(dose.steps, 1):
        rows.append(
            (
                Cell(f"step {number}"),
                Cell(words.moment(step.at, at=at)),
                Cell(words.amount(step.add, room)),
                Cell(words.value(step.after.value, step.after.unit)),
                Cell(_condition(step)),
            )
        )
    columns = (
        Column("", "id", lead=True),
        Column("From", "id", lead=True),
        Column("Add", "number"),
        Column("Level after", "number"),
        Column("", "prose"),
    )
    return Table(title="In these steps", columns=columns, rows=tuple(rows))


def _condition(step: Addition) -> str:
    ends = words.spread(step.after)
    text = f"{ends} at the worst" if ends else ""
    return "; ".join(part for part in (step.waits_for, text) if part) or "—"


def working_table(working: tuple[Step, ...]) -> Table:
    rows = tuple(
        (Cell(step.label), Cell(step.expression), Cell(step.result), Cell(step.source or "—", "muted"))
        for step in working
    )
    columns = (
        Column("What", "text", lead=True),
        Column("Sum", "prose"),
        Column("Result", "id"),
        Column("Source", "id"),
    )
    return Table(title="Working", columns=columns, rows=rows)
