"""What the pages about a water share: figures with their ends, a salinity in both ways, the cautions at the foot."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import Statement
from pratique.logbook.quotes import shell_line
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.dose import working_table
from pratique.sheets.rows import Cell, Footnotes, Lines, Part, Sheet
from pratique.water.salinity import gravity_of

_HOURS_IN_TWO_DAYS = 48


def figure(found: Figure, room: Room, called: str = "") -> str:
    """`75.2 L net, 73.6–76.9 L at the worst`; `called` stands behind the value."""
    return words.amount(found, room) + (f" {called}" if called else "") + ends(found)


def ends(found: Figure) -> str:
    """`, 73.6–76.9 L at the worst`; empty where the ends are one. Litres keep their unit beside gallons."""
    if digits(found.low) == digits(found.high):
        return ""
    return f", {words.band(found.low, found.high, 'L' if found.unit == 'L' else '').rstrip()} at the worst"


def salinity(grams: float) -> str:
    """`35.0 g/kg, specific gravity 1.0264 at 25/25 °C`."""
    return f"{grams:.1f} g/kg, specific gravity {gravity(grams)} at 25/25 °C"


def gravity(grams: float) -> str:
    return f"{gravity_of(grams):.4f}"


def acidity(ph: float) -> str:
    """A pH: `8.0`, `8.15`."""
    text = f"{ph:.2f}"
    return text.removesuffix("0")


def share(part: float) -> str:
    """A part of the water from 0 to 1."""
    return f"{digits(100 * part)} %"


def duration(hours: Figure) -> str:
    """`14 h, 6–40 h at the worst`; in days from two on."""
    days = hours.value >= _HOURS_IN_TWO_DAYS
    shown = hours.times(1 / 24, "d") if days else hours
    low, high = _hours(shown.low), _hours(shown.high)
    spread = f", {low}–{high} {shown.unit} at the worst" if low != high else ""
    return f"{_hours(shown.value)} {shown.unit}{spread}"


def _hours(value: float) -> str:
    return f"{value:.1f}" if value < 10 else f"{value:.0f}"


def command(tank: str, *words_: str) -> str:
    """The command that asks `pratique water` of `tank`, ready to be typed."""
    return shell_line(["pratique", "water", tank, *words_])


def care(question: str) -> tuple[Statement, ...]:
    return store.water_care()[question].says


def water_page(
    title: str,
    at: dt.datetime,
    parts: list[Part],
    notes: Footnotes,
    *,
    to_know: Iterable[str],
    cautions: Iterable[Statement],
    working: Iterable[Step] | None,
    next_: str = "",
) -> Sheet:
    """The parts, what to know, the working where it is asked for (None: not), the cautions."""
    known = tuple(Cell(text) for text in to_know)
    if known:
        parts.append(Lines(title="To know", lines=known, bullet="·"))
    if working is not None:
        parts.append(working_table(tuple(working)))
    said = tuple(Cell(statement.text + _mark(statement, notes, working is not None)) for statement in cautions)
    if said:
        parts.append(Lines(title="Cautions", lines=said, bullet="·"))
    return Sheet(
        title=f"{title} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next=next_ if working is None else "",
    )


def _mark(statement: Statement, notes: Footnotes, wanted: bool) -> str:
    if not wanted:
        return ""
    return notes.mark(words.source_line(statement.source, statement.where, statement.confidence))
