"""The figures of a treatment or an agent as a table: each value, where it holds, and who says so."""

from __future__ import annotations

from pratique.figure import shown_unit
from pratique.knowledge.model import Known, Sourced
from pratique.sheets import words
from pratique.sheets.rows import Cell, Column, Table


def numbers_table(known: Known, names: tuple[str, ...]) -> Table:
    rows = []
    for name in names:
        for rank, number in enumerate(known.numbers[name]):
            rows.append(
                (
                    Cell(plain_name(name)),
                    Cell(
                        "default" if rank == 0 or number.from_ is not None else "also in print",
                        "" if rank == 0 else "muted",
                    ),
                    Cell(shown_number(number)),
                    Cell(_holds(number)),
                    Cell(
                        "; ".join(
                            part
                            for part in (words.source_line(number.source, number.where, number.confidence), number.note)
                            if part
                        )
                    ),
                )
            )
    columns = (
        Column("Figure", "id", lead=True),
        Column("Rank", "id", lead=True),
        Column("Value", "id"),
        Column("At", "id"),
        Column("Who says so", "prose"),
    )
    return Table(title="Figures", columns=columns, rows=tuple(rows))


def plain_name(name: str) -> str:
    return name.replace("_", " ")


def shown_number(number: Sourced) -> str:
    unit, factor = number.unit, 1.0
    if unit == "h" and number.value >= 72:
        unit, factor = "d", 1 / 24
    elif unit == "h" and number.value < 1:
        unit, factor = "min", 60.0
    text = words.plain(number.value * factor)
    if number.low != number.high:
        text = f"{words.plain(number.low * factor)}–{words.plain(number.high * factor)}"
        if not number.low < number.high or number.value not in (
            number.low,
            number.high,
            (number.low + number.high) / 2,
        ):
            text = f"{words.plain(number.value * factor)} ({text})"
    return f"{text} {shown_unit(unit)}".rstrip()


def _holds(number: Sourced) -> str:
    if number.from_ is None and number.below is None:
        return "—"
    if number.from_ is None:
        return f"below {number.below:g} °C"
    return f"from {number.from_:g} °C" if number.below is None else f"{number.from_:g} to <{number.below:g} °C"
