"""A sheet with every text made fit for the terminal, before anything is measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from pratique.render.signs import DASH, clean_text, to_ascii
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet, Table

Fix = Callable[[str], str]


def tidy_sheet(sheet: Sheet, *, unicode: bool) -> Sheet:
    """The sheet without control characters, and in ASCII if `unicode` is off."""
    fix: Fix = clean_text if unicode else _clean_ascii
    return replace(
        sheet,
        title=fix(sheet.title),
        parts=tuple(_tidy_part(part, fix) for part in sheet.parts),
        footnotes=tuple(map(fix, sheet.footnotes)),
        next=fix(sheet.next),
    )


def is_empty(cell: Cell) -> bool:
    """Nothing to say. A dash that is an error or a warning is a refused figure, and says so."""
    text = cell.text.strip()
    return not text or (text in (DASH, "-") and cell.meaning in ("", "muted"))


def _clean_ascii(text: str) -> str:
    return to_ascii(clean_text(text))


def _tidy_part(part: Part, fix: Fix) -> Part:
    if isinstance(part, Table):
        return replace(
            part,
            title=fix(part.title),
            columns=tuple(replace(column, head=fix(column.head)) for column in part.columns),
            rows=tuple(_tidy_cells(row, fix) for row in part.rows),
            total=None if part.total is None else _tidy_cells(part.total, fix),
        )
    if isinstance(part, Lines):
        lines = _tidy_cells(part.lines, fix)
        return replace(part, title=fix(part.title), lines=lines, bullet=fix(part.bullet))
    pairs = tuple((fix(label), _tidy_cell(cell, fix)) for label, cell in part.pairs)
    return Facts(title=fix(part.title), pairs=pairs)


def _tidy_cells(cells: tuple[Cell, ...], fix: Fix) -> tuple[Cell, ...]:
    return tuple(_tidy_cell(cell, fix) for cell in cells)


def _tidy_cell(cell: Cell, fix: Fix) -> Cell:
    return replace(cell, text=fix(cell.text))
