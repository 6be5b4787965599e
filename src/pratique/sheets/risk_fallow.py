"""How likely it is that something in a water without fish can still infect: a page, and a part of another."""

from __future__ import annotations

from pratique.knowledge import store
from pratique.logbook.quotes import shell_word
from pratique.risk.chances import Chance
from pratique.risk.fallow import FallowRisk
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.risk_parts import (
    NEVER,
    by_strain,
    curve_table,
    limit_lines,
    span,
    strain_cells,
    strain_columns,
    strain_of,
    strain_table,
    unknown,
    weight_table,
)
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table


def fallow_risk_sheet(room: Room, risk: FallowRisk) -> Sheet:
    """The page about a water without fish."""
    notes = Footnotes()
    name = store.pathogen(risk.agent).short
    parts: tuple[Part, ...] = (
        _head(room, risk, name),
        limit_lines(risk.limits, risk.notes, notes),
        strain_table(risk.agent, risk.chance, notes),
        curve_table("Days without fish", "Days", risk.curve, places=0),
        _enough(risk),
        weight_table(risk.weights),
        _changes(risk),
    )
    return Sheet(
        title=f"Risk · {room.name} · {risk.tank} without fish · {name}",
        parts=parts,
        footnotes=notes.lines(),
        next=f"pratique fallow {shell_word(risk.tank)}",
    )


def _head(room: Room, risk: FallowRisk, name: str) -> Facts:
    last = risk.warmth[-1]
    warm = words.temperature(last.low, room)
    if last.high != last.low:
        warm += f" to {words.temperature(last.high, room)}"
    began = f"if the last fish left {words.moment(risk.since)}" if risk.still else words.moment(risk.since)
    still = (("still in it", Cell(", ".join(risk.still), "warning")),) if risk.still else ()
    return Facts(
        title=f"{risk.tank}: {risk.days:g} days",
        pairs=(
            ("the question", Cell(f"if {name} was in it, can anything of it still infect a fish?")),
            ("chance", Cell(by_strain(risk.chance), "due")),
            ("what it is", Cell(NEVER, "warning")),
            ("day one", Cell(began)),
            *still,
            ("as warm as", Cell(warm)),
        ),
    )


def _enough(risk: FallowRisk) -> Lines:
    lines = tuple(
        Cell(f"{title}: not within a year" if day is None else f"{title}: day {day:.0f}") for title, day in risk.enough
    )
    return Lines(title="From when even the high end is below 5 %, by strain", lines=lines, bullet="·")


def _changes(risk: FallowRisk) -> Table:
    columns = (Column("What", "prose", lead=True), *strain_columns(risk.chance))
    points = [point for point in (risk.longer, risk.warmer) if point is not None]
    rows = [(Cell("as it is"), *strain_cells(risk.chance))]
    rows += [(Cell(point.what), *strain_cells(point.chance)) for point in points]
    title = f"What would lower it, from the chance after {risk.days:g} days"
    return Table(title=title, columns=columns, rows=tuple(rows))


def fallow_curve(risk: FallowRisk) -> tuple[Part, ...]:
    """The curve for the page of a water without fish: what a day more buys, and in the same breath what it is not."""
    name = store.pathogen(risk.agent).short
    worst = risk.chance.worst
    seen = strain_of(risk.agent, worst.strain).seen
    slowest = f"the {worst.title} strain is the one that lasts longest: {seen.text} ({words.citation(seen)})"
    more = f"more, strain by strain: `pratique risk --fallow {shell_word(risk.tank)}`"
    return (
        _two_columns(f"What a day more buys: the chance that {name} in it can still infect a fish", risk),
        Lines(
            title="What this curve does not know",
            lines=(*unknown(risk.limits, risk.notes, 2), Cell(slowest), Cell(more)),
            bullet="·",
        ),
    )


def _two_columns(title: str, risk: FallowRisk) -> Table:
    """By the strain that lasts longest, and the ends of all others."""
    worst = risk.chance.worst

    def cells(chance: Chance) -> tuple[Cell, ...]:
        slow = next(strain for strain in chance.strains if strain.strain == worst.strain)
        others = chance.without(worst.strain)
        rest = (Cell(span(others.low, others.high)),) if others is not None else ()
        return (*rest, Cell(span(slow.low, slow.high)))

    heads = [f"If the {worst.title} strain"]
    if risk.chance.without(worst.strain) is not None:
        heads.insert(0, "If another")
    columns = (Column("Days", "number", lead=True), *(Column(head, "number") for head in heads))
    rows = tuple((Cell(f"{point.at:.0f}"), *cells(point.chance)) for point in risk.curve)
    return Table(title=title, columns=columns, rows=rows)
