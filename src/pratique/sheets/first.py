"""The run sheet on a page: three steps on top, then what is missing, who goes where, the acts by the clock."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.dosing.dip import Dip
from pratique.dosing.dose import Dose
from pratique.knowledge import store
from pratique.response.model import Act, Gap, Option, Phase, RunSheet, Way
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.cautions import SHOWN
from pratique.sheets.rows import EMPTY, Cell, Column, Lines, Part, Table

TITLES: dict[Phase, str] = {
    "now": "Now, in the first 15 minutes",
    "hours": "Then, in the first hours",
    "tonight": "Tonight",
    "tomorrow": "Tomorrow",
    "later": "After that",
}


THEN = Cell("then", "muted")


def first_parts(run_sheet: RunSheet, room: Room) -> tuple[Part, ...]:
    """The parts in the order they are needed; the first holds the three steps alone, for the top of any page."""
    parts: list[Part] = [_now(run_sheet)]
    parts += _missing(run_sheet)
    parts += _who(run_sheet)
    for phase in ("hours", "tonight", "tomorrow", "later"):
        parts += _acts(run_sheet, phase)
    parts += _ways(run_sheet, room)
    parts += _looked_at(run_sheet, room)
    parts += _lists(run_sheet)
    return tuple(parts)


def _now(sheet: RunSheet) -> Lines:
    lines = tuple(Cell(act.text, "due") for act in sheet.now)
    return Lines(title=TITLES["now"], lines=lines, bullet="1.")


def _missing(sheet: RunSheet) -> Iterator[Part]:
    if not sheet.gaps:
        return
    great = [gap for gap in sheet.gaps if gap.kind not in SMALL]
    small = [gap for gap in sheet.gaps if gap.kind in SMALL]
    rows = [(Cell(gap.what, "warning"), Cell(gap.instead), Cell(gap.lacks)) for gap in great]
    if len(small) > 1:
        rows.append((Cell(", ".join(gap.what for gap in small), "warning"), *_of_small(small)))
    else:
        rows += [(Cell(gap.what, "warning"), Cell(gap.instead), Cell(gap.lacks)) for gap in small]
    columns = (
        Column("Missing", "prose", lead=True),
        Column("Next best", "prose"),
        Column("What that does not do", "prose"),
    )
    yield Table(title="What is missing, or not on file", columns=columns, rows=tuple(rows))


SMALL = ("test", "gear", "syringe")
"""What can be borrowed: on the page these share a row."""


def _of_small(small: list[Gap]) -> tuple[Cell, Cell]:
    instead = dict.fromkeys(gap.instead for gap in small)
    lacks = dict.fromkeys(gap.lacks.removeprefix("without it: ") for gap in small)
    return Cell("; ".join(instead)), Cell("; ".join(lacks))


def _who(sheet: RunSheet) -> Iterator[Part]:
    if not sheet.goings:
        return
    rows = tuple(
        (Cell(g.animal), Cell(str(g.count)), Cell(g.to, "" if g.to == "stays" else "due"), Cell(g.why))
        for g in sheet.goings
    )
    columns = (
        Column("Who", "text", lead=True),
        Column("How many", "number"),
        Column("Where to", "text"),
        Column("Why", "prose"),
    )
    shared = f", with {', '.join(sheet.tanks)} on one water" if len(sheet.tanks) > 1 else ""
    yield Table(title=f"Who comes out of {sheet.water}{shared}", columns=columns, rows=rows)


def _acts(sheet: RunSheet, phase: Phase) -> Iterator[Part]:
    found = sheet.of(phase)
    if not found:
        return
    shown: dt.datetime | None = None
    rows = []
    for act in found:
        when = THEN if act.at is None or act.at == shown else Cell(_clock(act.at, sheet.suspicion.at))
        shown = act.at or shown
        rows.append((Cell("☐"), when, Cell(_text(act))))
    columns = (Column("", "id", lead=True), Column("From", "id", lead=True), Column("What", "prose"))
    yield Table(title=TITLES[phase], columns=columns, rows=tuple(rows))


def _clock(when: dt.datetime, at: dt.datetime) -> str:
    return f"{when:%H:%M}" if when.date() == at.date() else words.moment(when, at=at)


def _text(act: Act) -> str:
    return act.text + (f" · `{act.command}`" if act.command else "")


def _ways(sheet: RunSheet, room: Room) -> Iterator[Part]:
    if not sheet.ways:
        return
    said = store.response().said("straight")[0]
    rows = tuple(_way(way, room, sheet) for way in sheet.ways)
    columns = (
        Column("Way", "prose", lead=True),
        Column("Now", "number"),
        Column("Level", "number"),
        Column("Later", "prose"),
        Column("For it", "prose"),
        Column("Against it", "prose"),
    )
    title = f"Two ways up, side by side: {said.text}" if len(sheet.ways) == 2 else f"Ways up: {said.text}"
    yield Table(title=title, columns=columns, rows=rows)


def _way(way: Way, room: Room, sheet: RunSheet) -> tuple[Cell, ...]:
    first, *rest = way.dose.steps
    later = "; ".join(f"{words.moment(step.at, at=sheet.suspicion.at)} {words.amount(step.add, room)}" for step in rest)
    if rest:
        later += "; each only after a reading"
    return (
        Cell(way.title + (", as `dose` says" if way.chosen else ""), "due" if way.chosen else ""),
        Cell(words.amount(first.add, room)),
        Cell(words.value(first.after.value, first.after.unit)),
        Cell(later) if later else EMPTY,
        Cell(way.speaks_for),
        Cell(way.against),
    )


def _looked_at(sheet: RunSheet, room: Room) -> Iterator[Part]:
    """Everything that was looked at; what was refused, with its reason."""
    if not sheet.options:
        return
    rows = tuple(
        (Cell(option.title), Cell(_agents(option)), _verdict(option, room), _effect(option)) for option in sheet.options
    )
    columns = (
        Column("Treatment", "text", lead=True),
        Column("Against", "text"),
        Column("Here", "prose"),
        Column("What it does, what it leaves", "prose"),
    )
    yield Table(title="What was looked at", columns=columns, rows=rows)


def _effect(option: Option) -> Cell:
    """Of what was refused the reason is enough."""
    return EMPTY if option.refused is not None else Cell(f"{option.does}; it leaves {option.leaves}")


def _agents(option: Option) -> str:
    return ", ".join(store.pathogen(agent).short for agent in option.covers)


def _verdict(option: Option, room: Room) -> Cell:
    if option.refused is not None:
        return Cell(f"refused, {option.refused.code}: {option.refused.message}", "error")
    if option.answer is None:
        return Cell(option.note)
    amount = _first_amount(option.answer, room)
    if not option.chosen:
        return Cell(f"held back ({amount}): {option.note}")
    warned = "".join(f"; {problem.code}: {problem.message}" for problem in option.answer.problems)
    return Cell(f"taken: {amount}{warned}", "warning" if warned else "done")


def _first_amount(answer: Dose | Dip, room: Room) -> str:
    if isinstance(answer, Dip):
        minutes = f"{words.plain(answer.minutes.value)} min"
        return f"{words.amount(answer.dose.add, room)}, {minutes}" if answer.dose is not None else minutes
    return words.amount(answer.steps[0].add, room) if answer.steps else "nothing to add now"


def _lists(sheet: RunSheet) -> Iterator[Part]:
    if sheet.shopping:
        yield Lines(title="To buy in the morning", lines=tuple(Cell(line) for line in sheet.shopping), bullet="·")
    if sheet.log_lines:
        lines = tuple(Cell(f"`{line}`") for line in sheet.log_lines)
        yield Lines(title="Write down, once it is done", lines=lines, bullet="·")
    cells = [Cell(statement.text) for statement in sheet.cautions[:SHOWN]]
    ids = [option.treatment for option in sheet.options if option.chosen]
    if len(sheet.cautions) > SHOWN and ids:
        left = len(sheet.cautions) - SHOWN
        where = ", ".join(f"`pratique why {id_}`" for id_ in ids)
        cells.append(Cell(f"{left} more, and the facts behind them: {where}", "muted"))
    yield Lines(title="Cautions", lines=tuple(cells), bullet="·")

