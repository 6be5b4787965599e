"""The dose on a page: the amount first, then the steps, then what to know, then the working."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.dose import Addition, Dose
from pratique.dosing.syringes import Draw, find_draw, shown_total
from pratique.figure import Figure, Step
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table
from pratique.sheets.spread import after_range, lasting_line, spread_parts


def dose_sheet(room: Room, dose: Dose, at: dt.datetime, *, working: bool = False) -> Sheet:
    notes = Footnotes()
    return Sheet(
        title=f"Dose · {dose.tank} · {dose.treatment.title} · {words.moment(at, at=at)}",
        parts=tuple(dose_parts(room, dose, at, notes, working=working)),
        footnotes=notes.lines(),
        next="" if working else f"pratique dose {words.quoted(dose.tank)} {dose.treatment.id} --working",
    )


def dose_parts(
    room: Room, dose: Dose, at: dt.datetime, notes: Footnotes, *, working: bool = False, title: str = ""
) -> list[Part]:
    """The dose on a page of its own, or under `title` on another."""
    parts: list[Part] = [_head(room, dose, notes, title)]
    if dose.steps or dose.change is not None:
        parts.append(_steps(room, dose, at))
    parts += spread_parts(room, dose, notes)
    said = [Cell(text) for text in dose.notes]
    if said:
        parts.append(Lines(title="To know", lines=tuple(said), bullet="·"))
    if working:
        parts.append(working_table(dose.working))
    cautions = (
        Cell(statement.text + (notes.mark(words.stated(statement)) if working else "")) for statement in dose.cautions
    )
    parts.append(Lines(title="Cautions", lines=tuple(cautions), bullet="·"))
    return parts


def _head(room: Room, dose: Dose, notes: Footnotes, title: str) -> Facts:
    first = dose.steps[0].add if dose.steps else dose.change.add if dose.change else None
    low, high = dose.band.low, dose.band.high
    pairs: list[tuple[str, Cell]] = []
    if first is not None:
        pairs.append(("add now", Cell(_add(room, dose, first), "due")))
    if first is not None and first.unit == "mL" and (draw := find_draw(room, first.value)) is not None:
        pairs.append(("measured", Cell(_draw(draw))))
    if len(dose.steps) > 1 or not first:
        pairs.append(("add in all", Cell(shown_total(dose, room))))
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
                + (f", band {words.band(low, high, dose.band.unit)}" if low < high else ", one level and no band")
                + _target_mark(dose, notes)
            ),
        ),
        ("after", Cell(words.value(dose.after.value, dose.after.unit) + after_range(dose))),
    ]
    lasts = lasting_line(dose.treatment, notes)
    if lasts:
        pairs.append(("lasts", Cell(lasts)))
    return Facts(title=title, pairs=tuple(pairs))


def _draw(draw: Draw) -> str:
    times = f" in {draw.count} draws" if draw.count > 1 else ""
    return f"{draw.name}{times}, rounded down to its steps of {words.plain(draw.step)} mL"


def _range(low: float, high: float, unit: str) -> str:
    text = words.band(low, high, unit).rstrip()
    return "" if low == high else f", {text} at the worst"


def _target_mark(dose: Dose, notes: Footnotes) -> str:
    return notes.mark(words.citation(dose.sources[0])) if dose.sources else ""


def _add(room: Room, dose: Dose, figure: Figure) -> str:
    amount, text = figure.value, words.amount(figure, room)
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
