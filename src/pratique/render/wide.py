"""The wide form of a table: columns side by side, measured before anything is set."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pratique.render.lines import PROSE_LEAST, Line
from pratique.render.measure import least_width, text_width, widest, wrap_text
from pratique.render.tidy import is_empty
from pratique.sheets.rows import Cell, Column, ColumnKind, Table

INDENT = 2
_GAPS = (3, 2)
_PROSE_EASY = 30  # prose this wide still reads well beside numbers; narrower, the stacked form is calmer
TEXT_LEAST = 10  # a name cut into single words, one below the other, is not read as a name
_WHOLE = ("id", "number")
_NUMBER = re.compile(r"\d+(?:[,\u00a0\u202f]\d{3})*")


class Slot(NamedTuple):
    """A cell and the columns of the screen it may fill; a total's label reaches over blank cells after it."""

    cell: Cell
    kind: ColumnKind
    width: int


def wide_table(table: Table, width: int | None, rule: str) -> list[Line] | None:
    """The table's lines, or None where its least width is more than `width`."""
    columns = table.columns
    rows, total = _align_numbers(table)
    natural = [_natural(column, cells) for column, cells in _by_column(columns, rows, total)]
    least = [_least(column, cells) for column, cells in _by_column(columns, rows, None)]
    if total is not None:
        _make_room(columns, total, least)
    natural = [max(pair) for pair in zip(natural, least, strict=True)]
    for gap in _GAPS:
        spare = None if width is None else width - INDENT - gap * (len(columns) - 1)
        if spare is None or sum(least) <= spare:
            widths = natural if spare is None else _fit(columns, natural, least, spare)
            return _set(columns, rows, total, widths, gap, _rule(widths, gap, width, rule))
    return None


def split_number(text: str) -> tuple[str, str]:
    """The two sides of the first number's decimal point, wherever the number begins.

    >>> split_number("≤ 0.20 mg/L"), split_number("2 fish")
    (('≤ 0', '.20 mg/L'), ('2', ' fish'))
    """
    found = _NUMBER.search(text)
    return (text[: found.end()], text[found.end() :]) if found else (text, "")


def _align_numbers(table: Table) -> tuple[list[list[Cell]], list[Cell] | None]:
    """The rows with the cells of each number column padded so that their points lie under one another."""
    grid = [list(row) for row in table.rows]
    if table.total is not None:
        grid.append(list(table.total))
    for at, column in enumerate(table.columns):
        if column.kind != "number":
            continue
        sides = [split_number(row[at].text) for row in grid if _NUMBER.search(row[at].text)]
        left = widest(text_width(before) for before, _ in sides)
        right = widest(text_width(after) for _, after in sides)
        for row in grid:
            row[at] = _pad_number(row[at], left, right)
    return (grid, None) if table.total is None else (grid[:-1], grid[-1])


def _pad_number(cell: Cell, left: int, right: int) -> Cell:
    if not _NUMBER.search(cell.text):
        return cell
    before, after = split_number(cell.text)
    padded = " " * (left - text_width(before)) + before + after + " " * (right - text_width(after))
    return Cell(padded, cell.meaning)


def _by_column(
    columns: Sequence[Column], rows: Sequence[Sequence[Cell]], total: Sequence[Cell] | None
) -> Iterable[tuple[Column, list[Cell]]]:
    """Each column with its cells. A total's cell counts only in number columns: labels reach over blanks."""
    for at, column in enumerate(columns):
        cells = [row[at] for row in rows]
        if total is not None and column.kind == "number":
            cells.append(total[at])
        yield column, cells


def _natural(column: Column, cells: list[Cell]) -> int:
    return widest([text_width(column.head), *(text_width(cell.text) for cell in cells)])


def _least(column: Column, cells: list[Cell]) -> int:
    natural = _natural(column, cells)
    if column.kind in _WHOLE:
        return natural
    floor = max(PROSE_LEAST, min(natural // 3, _PROSE_EASY)) if column.kind == "prose" else TEXT_LEAST
    words = widest(least_width(cell.text) for cell in cells)
    return min(natural, max(floor, text_width(column.head), words))


def _make_room(columns: Sequence[Column], total: Sequence[Cell], least: list[int]) -> None:
    """Widen a column where a total's cell does not fit in it and in the blank ones it reaches over."""
    at = 0
    for slot in _slots(columns, total, least, _GAPS[-1], reach=True):
        need = text_width(slot.cell.text) if slot.kind in _WHOLE else least_width(slot.cell.text)
        least[at] += max(0, need - slot.width)
        at += _reach(columns, total, at)


def _reach(columns: Sequence[Column], row: Sequence[Cell], at: int) -> int:
    """How many columns the cell at `at` may fill."""
    end = at + 1
    if columns[at].kind != "number" and not is_empty(row[at]):
        while end < len(columns) and is_empty(row[end]):
            end += 1
    return end - at


def _slots(
    columns: Sequence[Column], row: Sequence[Cell], widths: Sequence[int], gap: int, *, reach: bool = False
) -> list[Slot]:
    slots: list[Slot] = []
    at = 0
    while at < len(columns):
        many = _reach(columns, row, at) if reach else 1
        cell = Cell("") if reach and is_empty(row[at]) else row[at]
        width = sum(widths[at : at + many]) + gap * (many - 1)
        slots.append(Slot(cell=cell, kind=columns[at].kind, width=width))
        at += many
    return slots


def _fit(columns: Sequence[Column], natural: list[int], least: list[int], room: int) -> list[int]:
    """Widths that add up to `room` at most: prose gives way first, then text, always the widest column."""
    widths = list(natural)
    for kind in ("prose", "text"):
        while sum(widths) > room:
            able = [at for at, column in enumerate(columns) if column.kind == kind and widths[at] > least[at]]
            if not able:
                break
            widths[max(able, key=widths.__getitem__)] -= 1
    return widths


def _rule(widths: Sequence[int], gap: int, width: int | None, rule: str) -> Line:
    size = sum(widths) + gap * (len(widths) - 1) + 2
    if width is not None:
        size = min(size, width - INDENT + 1)
    return [(" " * (INDENT - 1), ""), (rule * size, "muted")]


def _set(
    columns: Sequence[Column],
    rows: Sequence[Sequence[Cell]],
    total: Sequence[Cell] | None,
    widths: Sequence[int],
    gap: int,
    rule: Line,
) -> list[Line]:
    heads = [Cell(column.head, "") for column in columns]
    lines = [*_set_row(_slots(columns, heads, widths, gap), gap), rule]
    for row in rows:
        lines += _set_row(_slots(columns, row, widths, gap), gap)
    if total is not None:
        lines += [rule, *_set_row(_slots(columns, total, widths, gap, reach=True), gap)]
    return lines


def _set_row(slots: Sequence[Slot], gap: int) -> list[Line]:
    """One record: as many lines as its longest wrapped cell takes."""
    stacks = [_stack(slot) for slot in slots]
    lines: list[Line] = []
    for at in range(widest(map(len, stacks))):
        line: Line = [(" " * INDENT, "")]
        for slot, stack in zip(slots, stacks, strict=True):
            text = stack[at] if at < len(stack) else ""
            space = " " * (slot.width - text_width(text))
            if slot.kind == "number":
                line += [(space, ""), (text, slot.cell.meaning), (" " * gap, "")]
            else:
                line += [(text, slot.cell.meaning), (space + " " * gap, "")]
        lines.append(line)
    return lines


def _stack(slot: Slot) -> list[str]:
    return [slot.cell.text] if slot.kind in _WHOLE else wrap_text(slot.cell.text, slot.width)
