"""The dose on a page: the amount first, then the steps, then what to know, then the working."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from pratique.dosing.dose import Addition, Dose
from pratique.dosing.draws import Draw, find_draw
from pratique.dosing.overrides import Overridden
from pratique.dosing.stock import making_lines
from pratique.dosing.syringes import shown_total
from pratique.figure import Figure, Step
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.cautions import caution_cells
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table
from pratique.sheets.spread import after_range, floor_line, lasting_line, spread_parts

STEPS = "In these steps"
"""The title of the table of additions."""


def dose_sheet(room: Room, dose: Dose, at: dt.datetime, *, next_: str, working: bool = False) -> Sheet:
    """`next_` is the command that shows the working of this very dose."""
    notes = Footnotes()
    return Sheet(
        title=f"Dose · {dose.tank} · {dose.treatment.title} · {words.moment(at, at=at)}",
        parts=tuple(dose_parts(room, dose, at, notes, working=working)),
        footnotes=notes.lines(),
        next="" if working else next_,
    )


def dose_parts(
    room: Room, dose: Dose, at: dt.datetime, notes: Footnotes, *, working: bool = False, title: str = ""
) -> list[Part]:
    """The dose on a page of its own, or under `title` on another."""
    lasts = "" if title else lasting_line(dose.treatment, notes)
    head = Facts(title=title, pairs=(*_amounts(room, dose), *_levels(room, dose, notes)))
    if lasts:
        head = replace(head, pairs=(*head.pairs, ("lasts", Cell(lasts))))
    parts: list[Part] = [head, *overridden_part(dose.overridden)]
    parts += _stock_part(dose, notes)
    if dose.steps or dose.change is not None:
        parts.append(_steps(room, dose, at))
    parts += spread_parts(room, dose, notes)
    said = [*map(Cell, floor_line(dose)), *map(Cell, dose.notes)]
    if said:
        parts.append(Lines(title="To know", lines=tuple(said), bullet="·"))
    if working:
        parts.append(working_table(dose.working))
    cautions = caution_cells(dose.cautions, dose.treatment.id, notes if working else None)
    parts.append(Lines(title="Cautions", lines=cautions, bullet="·"))
    return parts


def overridden_part(overridden: tuple[Overridden, ...]) -> list[Part]:
    """The interlocks a keeper set aside, each with the reason."""
    if not overridden:
        return []
    lines = tuple(Cell(f"{entry.code}: {entry.message}; because: {entry.because}", "warning") for entry in overridden)
    return [Lines(title="Overridden by the keeper", lines=lines, bullet="!")]


def _amounts(room: Room, dose: Dose) -> list[tuple[str, Cell]]:
    """What to pour now, how it is measured, and how much it is in all: first into new water, then into the tank."""
    into_new = dose.change.add if dose.change is not None else None
    step = dose.steps[0].add if dose.steps else None
    pairs: list[tuple[str, Cell]] = []
    for label, figure in (("into new water", into_new), ("add now" if into_new is None else "then add", step)):
        if figure is None:
            continue
        pairs.append((label, Cell(_add(room, dose, figure), "due")))
        if figure.unit == "mL" and (draw := find_draw(room, figure.value)) is not None:
            pairs.append(("measured", Cell(_draw(draw))))
    if len(dose.steps) + (into_new is not None) != 1:
        pairs.append(("add in all", Cell(shown_total(dose, room))))
    return pairs


def _levels(room: Room, dose: Dose, notes: Footnotes) -> list[tuple[str, Cell]]:
    """Bottle and water, and the level before, meant and after."""
    before, band = dose.before, dose.band
    kept = words.band(band.low, band.high, band.unit)
    target = words.value(dose.target.value, dose.target.unit)
    target += f", band {kept}" if band.low < band.high else ", one level and no band"
    time = dose.minutes
    return [
        *([("time", Cell(_time(time), "due"))] if time is not None else []),
        ("product", Cell(f"{dose.product}, {room.written.shelf[dose.product].strength.text}{_in_stock(dose)}")),
        ("water", Cell(f"{words.volume(dose.water.value, room)} net{_range(dose.water.low, dose.water.high, 'L')}")),
        ("before", Cell(words.value(before.value, before.unit) + _range(before.low, before.high, ""))),
        ("target", Cell(target + _target_mark(dose, notes))),
        ("after", Cell(words.value(dose.after.value, dose.after.unit) + after_range(dose))),
    ]


def _time(minutes: Figure) -> str:
    ends = "" if minutes.is_exact else f" ({words.plain(minutes.low)}–{words.plain(minutes.high)} in use)"
    return f"{words.plain(minutes.value)} min{ends}, then out of it at once"


def _in_stock(dose: Dose) -> str:
    if dose.stock is None:
        return ""
    return f"; the stock holds {words.value(dose.stock.active.per_unit, 'mg')} {dose.treatment.active} in each mL"


def _stock_part(dose: Dose, notes: Footnotes) -> list[Part]:
    """How the stock is made, where one is dosed from."""
    if dose.stock is None:
        return []
    lines = tuple(
        Cell(text + (notes.mark(words.citation(said)) if said is not None else ""))
        for text, said in making_lines(dose.stock, dose.add)
    )
    return [Lines(title=f"Make the stock first, {dose.stock.recipe.text}", lines=lines, bullet="·")]


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
    if dose.stock is not None:
        return f"{text} of the stock"
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
    return Table(title=STEPS, columns=columns, rows=tuple(rows))


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
