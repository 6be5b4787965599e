"""How wide each column of a table stands on paper, so that its rows take the fewest lines.

A browser left to itself gives room to columns that never wrap, and sets sentences one word to a line.
"""

from __future__ import annotations

from collections.abc import Sequence

from pratique.sheets.bound import bound_words
from pratique.sheets.rows import Table

LETTERS = 104
"""Letters of the page's size that a line of A4 or Letter holds, about."""
PADDING = 2
BLANK = 9
"""Letters that a column to write in takes."""
STEP = 2
WORD_MOST = 20
"""A longer word may be broken by the browser where there is no room."""


def shares(table: Table, columns: Sequence[int]) -> list[int]:
    """Of the columns with these numbers the share of the page in percent; empty where the browser needs no help.

    >>> from pratique.sheets.rows import Cell, Column
    >>> words = Column("Why", "prose"), Column("What", "prose")
    >>> shares(Table(columns=words, rows=((Cell("a"), Cell("a long sentence " * 9)),)), [0, 1])
    [5, 95]
    """
    texts = [[table.columns[at].head, *(row[at].text for row in table.rows)] for at in columns]
    kinds = [table.columns[at].kind for at in columns]
    wraps = [number for number, kind in enumerate(kinds) if kind in ("prose", "text")]
    if not any(kind == "prose" for kind in kinds):
        return []
    room = LETTERS - BLANK * len(table.blanks) - PADDING * len(columns)
    most = [max(1, *map(len, column)) for column in texts]
    widths = [_least(column) if number in wraps else most[number] for number, column in enumerate(texts)]
    while sum(widths) < room:
        able = [number for number in wraps if widths[number] < most[number]]
        if not able:
            break
        widths[max(able, key=lambda number: _gain(texts, widths, number))] += STEP
    widths[max(n for n, kind in enumerate(kinds) if kind == "prose")] += max(room - sum(widths), 0)
    whole = sum(widths) + PADDING * len(columns) + BLANK * len(table.blanks)
    return [round(100 * (width + PADDING) / whole) for width in widths]


def _least(texts: Sequence[str]) -> int:
    return min(max((len(word) for text in texts for word in bound_words(text)), default=0) or 1, WORD_MOST)


def _gain(texts: Sequence[Sequence[str]], widths: Sequence[int], number: int) -> tuple[float, float]:
    """How many lines of the table a wider column saves, letter for letter; then how full the column is."""
    lines = [_lines(cells, widths) for cells in zip(*texts, strict=True)]
    wider = [width + (STEP if at == number else 0) for at, width in enumerate(widths)]
    saved = sum(lines) - sum(_lines(cells, wider) for cells in zip(*texts, strict=True))
    return saved, max(len(text) for text in texts[number]) / widths[number]


def _lines(cells: Sequence[str], widths: Sequence[int]) -> float:
    """About how many lines a row takes; the fraction counts, so that every step is seen."""
    return max(max(len(cell) / width, 1.0) for cell, width in zip(cells, widths, strict=True))
