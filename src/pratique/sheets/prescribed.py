"""A prescribed course on a page: what to mix or pour, who prescribed it, the days, what to know, the cautions."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from pratique.dosing.dose import Addition
from pratique.dosing.prescribed.course import BathCourse, FoodCourse, Given, Redose
from pratique.dosing.prescribed.said import prescribed_number
from pratique.figure import Figure
from pratique.knowledge.model import Statement
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.dose import STEPS, dose_parts, overridden_part, working_table
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table


def food_sheet(room: Room, course: FoodCourse, at: dt.datetime, *, next_: str, working: bool = False) -> Sheet:
    notes = Footnotes()
    head = Facts(pairs=(*_mixture(room, course, notes), *_prescription(course.given, notes)))
    parts: list[Part] = [head, *overridden_part(course.overridden), _days(course, at)]
    parts.append(Lines(title="To know", lines=tuple(Cell(note) for note in course.notes), bullet="·"))
    if working:
        parts.append(working_table(course.working))
    parts.append(_cautions(course.cautions, notes, working))
    return Sheet(
        title=f"Dose · {course.tank} · {course.treatment.title} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next="" if working else next_,
    )


def bath_sheet(room: Room, course: BathCourse, at: dt.datetime, *, next_: str, working: bool = False) -> Sheet:
    notes = Footnotes()
    overridden = overridden_part(course.dose.overridden)
    dose = replace(course.dose, notes=(*course.notes, *course.dose.notes), overridden=())
    head, *rest, _ = dose_parts(room, dose, at, notes, working=working)
    prescribed = Facts(title="As prescribed", pairs=tuple(_prescription(course.given, notes)))
    parts: list[Part] = [head, *overridden, prescribed]
    if course.redoses:
        parts.append(_doses(room, course, at))
        rest = [part for part in rest if part.title != STEPS]
    return Sheet(
        title=f"Dose · {dose.tank} · {dose.treatment.title} · {words.moment(at, at=at)}",
        parts=(*parts, *rest, _cautions(course.cautions, notes, working)),
        footnotes=notes.lines(),
        next="" if working else next_,
    )


def _prescription(given: Given, notes: Footnotes) -> list[tuple[str, Cell]]:
    written = given.written
    counted = "a day, in food" if written.way == "food" else "in the water"
    mark = notes.mark(words.citation(prescribed_number(given)))
    pairs = [
        ("prescribed", Cell(f"{written.drug}, {written.dose.text} {counted}{mark}")),
        ("by", Cell(written.by)),
        ("for", Cell(given.names)),
        ("course", Cell(f"every {written.every.text} for {written.days.text}{_change_text(given)}")),
    ]
    if written.note is not None:
        pairs.append(("note", Cell(written.note)))
    return pairs


def _change_text(given: Given) -> str:
    change = given.written.change
    return f", {words.plain(change.value)} % changed before each later dose" if change is not None else ""


def _mixture(room: Room, course: FoodCourse, notes: Footnotes) -> list[tuple[str, Cell]]:
    batch, ration = course.batch, [number for number in course.sources if number.unit == "%"]
    mark = notes.mark(words.citation(ration[0])) if ration else ""
    days = words.plural(len(course.days), "day")
    strength = room.written.shelf[course.product].strength.text
    drug = course.given.written.drug
    in_all = f"of which {words.value(course.food_in_all.value, 'g')} for" if batch.is_more else "for"
    into = f"{words.value(batch.food, 'g')} of food, {in_all} the course"
    return [
        ("mix", Cell(f"{_measured(course, room)} into {into}", "due")),
        ("feed", Cell(f"{words.value(course.food.value, 'g')} of it a day, on {days}{mark}", "due")),
        ("in each g", Cell(f"{words.value(course.per_food.value / 1000, 'mg')} {drug}{_worst(course.per_food, 1000)}")),
        ("drug a day", Cell(f"{words.value(course.active.value, 'mg')}{_worst(course.active)}")),
        ("fish", Cell(f"{words.value(course.mass.value, 'g')}{_worst(course.mass)}")),
        ("product", Cell(f"{course.product}, {strength}")),
    ]


def _measured(course: FoodCourse, room: Room) -> str:
    product = course.batch.product
    if product.unit != "tablet":
        return f"{words.amount(product, room)} of {course.product}"
    return f"{words.plural(round(product.value), 'tablet')} ({course.product}), crushed fine,"


def _worst(figure: Figure, part: float = 1.0) -> str:
    ends = words.spread(figure.times(1 / part))
    return f", {ends} at the worst" if ends else ""


def _days(course: FoodCourse, at: dt.datetime) -> Table:
    rows = tuple(
        (
            Cell("☐"),
            Cell(f"{number} of {len(course.days)}"),
            Cell(words.moment(day, at=at)),
            Cell(words.value(course.food.value, "g")),
            Cell("eaten by all? ______"),
        )
        for number, day in enumerate(course.days, 1)
    )
    columns = (
        Column("", "id", lead=True),
        Column("Day", "id", lead=True),
        Column("From", "id"),
        Column("Mixture", "number"),
        Column("Seen", "text"),
    )
    return Table(title="On these days", columns=columns, rows=rows)


def _doses(room: Room, course: BathCourse, at: dt.datetime) -> Table:
    first = course.dose.steps[0] if course.dose.steps else None
    rows = [] if first is None else [_dose_row(room, 1, first, 0.0, at)]
    rows += [_dose_row(room, number, redose, redose.change, at) for number, redose in enumerate(course.redoses, 2)]
    columns = (
        Column("", "id", lead=True),
        Column("Dose", "id", lead=True),
        Column("At", "id"),
        Column("Change first", "number"),
        Column("Add", "number"),
        Column("Level after", "text"),
    )
    add = words.amount(course.add_in_all, room)
    total = (Cell(""), Cell("in all"), Cell(f"ends {words.moment(course.end, at=at)}"), Cell(""), Cell(add), Cell(""))
    return Table(title="Every dose of the course", columns=columns, rows=tuple(rows), total=total)


def _dose_row(room: Room, number: int, dose: Addition | Redose, change: float, at: dt.datetime) -> tuple[Cell, ...]:
    after = dose.after
    level = words.band(after.low, after.high, after.unit)
    return (
        Cell("☐"),
        Cell(str(number)),
        Cell(words.moment(dose.at, at=at)),
        Cell(words.volume(change, room) if change else "—"),
        Cell(words.amount(dose.add, room)),
        Cell(level),
    )


def _cautions(cautions: tuple[Statement, ...], notes: Footnotes, working: bool) -> Lines:
    lines = (Cell(said.text + (notes.mark(words.citation(said)) if working else "")) for said in cautions)
    return Lines(title="Cautions", lines=tuple(lines), bullet="·")
