"""The stacked form of a table, for a screen narrower than its columns: one record under another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from pratique.render.lines import Line, Span, flow, hang, indented
from pratique.render.measure import text_width, widest, wrap_words
from pratique.render.tidy import is_empty
from pratique.sheets.rows import Cell, Column, Table

_INDENT = 2
_GAP = 3
_BELOW = 4
_CHECKBOXES = ("☐", "☑", "☒", "[ ]", "[x]")


def stacked_table(table: Table, width: int | None, *, rule: str, dot: str) -> list[Line]:
    """Lead columns on the head line of each record, then a line for each of its other cells."""
    heads = _head_columns(table.columns)
    records = [*table.rows] if table.total is None else [*table.rows, table.total]
    labels = [_as_label(column.head) for column in table.columns]
    label_width = label_column((labels[at] for at in range(len(labels)) if at not in heads), width)
    lines: list[Line] = []
    for number, row in enumerate(records):
        if number == len(table.rows):
            lines.append([(rule * min(width or 40, 40), "muted")])
        lines += _head_line(table.columns, row, heads, width, dot)
        for at, cell in enumerate(row):
            if at not in heads and not is_empty(cell):
                whole = table.columns[at].kind in ("id", "number")
                lines += label_line(labels[at], cell, label_width, width, whole=whole)
    return lines


def label_column(labels: Iterable[str], width: int | None) -> int:
    """The width that lets values begin under one another; a label too long for that does not count."""
    sizes = map(text_width, labels)
    return widest(size for size in sizes if width is None or size <= width // 3)


def label_line(
    label: str, cell: Cell, label_width: int, width: int | None, *, whole: bool = False
) -> list[Line]:
    """`  label   value`, the value's further lines under its first; a long label has a line of its own."""
    space = " " * (label_width - text_width(label) + _GAP)
    lead: Line = [(" " * _INDENT, ""), (label, ""), (space, "")]
    lines: list[Line] = []
    if width is not None and text_width(label) > label_width:
        lines.append(indented(label, "", _INDENT, width))
        lead = [(" " * (_INDENT + label_width + _GAP), "")]
    return lines + hang(lead, cell.text, cell.meaning, width, whole=whole, below=_BELOW)


def _head_columns(columns: Sequence[Column]) -> list[int]:
    leads = [at for at, column in enumerate(columns) if column.lead]
    return leads or [at for at, column in enumerate(columns) if column.kind == "id"] or [0]


def _head_line(
    columns: Sequence[Column], row: Sequence[Cell], heads: Sequence[int], width: int | None, dot: str
) -> list[Line]:
    words: list[Span] = []
    for at in heads:
        cell = row[at]
        if is_empty(cell):
            continue
        if words and words[-1][0] not in _CHECKBOXES:
            words.append((dot, "muted"))
        whole = columns[at].kind in ("id", "number")
        pieces = [cell.text] if whole or width is None else wrap_words(cell.text, width)
        words += [(piece, cell.meaning or "title") for piece in pieces]
    return flow(words or [(row[heads[0]].text, "muted")], width)


def _as_label(head: str) -> str:
    """A head such as `Add` in lower case; `pH` and `NH3` stay as they are.

    >>> _as_label("Add"), _as_label("NH3"), _as_label("Cu, mg/L")
    ('add', 'NH3', 'cu, mg/L')
    """
    first = head.split(" ")[0]
    return head[:1].lower() + head[1:] if len(first) > 1 and first[1:].islower() else head
