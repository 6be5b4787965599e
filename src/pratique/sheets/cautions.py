"""The cautions of a dose or dip: on the page for wet hands the most needed ones, all of them on request."""

from __future__ import annotations

from pratique.knowledge.model import Statement
from pratique.sheets import words
from pratique.sheets.rows import Cell, Footnotes

SHOWN = 9
"""On the page; `--working` and `pratique why` have them all. The files put the most needed first."""


def caution_cells(cautions: tuple[Statement, ...], treatment: str, notes: Footnotes | None) -> tuple[Cell, ...]:
    """The first of the cautions; all of them, with their sources, where `notes` are kept."""
    if notes is not None:
        return tuple(Cell(statement.text + notes.mark(words.citation(statement))) for statement in cautions)
    shown = [Cell(statement.text) for statement in cautions[:SHOWN]]
    if len(cautions) > SHOWN:
        left = len(cautions) - SHOWN
        shown.append(Cell(f"{left} more, and the facts behind them: `pratique why {treatment}`", "muted"))
    return tuple(shown)
