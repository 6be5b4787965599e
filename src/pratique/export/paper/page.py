"""A sheet as one HTML page that prints in black and white on A4 and Letter: no script, nothing from outside.

Every text is escaped by the template; only the pictures, which our own code draws and escapes, go in as they are.
"""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import cache
from typing import Any

from pratique import VERSION
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet, Table

GENERATOR = "pratique"
"""What the page says made it: a page without it is never overwritten."""

TO_WRITE_ON = re.compile(r"_{3,}")
"""A line of the screen to write on; on paper the space itself is left."""

_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ufffe\uffff]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """An SVG drawing and the sentence that says what it shows."""

    svg: str
    caption: str


def paper_page(sheet: Sheet, *, made: dt.datetime, pictures: tuple[Picture, ...] = ()) -> str:
    """The whole page as text; `made` is the moment the sheet answers for."""
    page: str = (
        _environment()
        .get_template("page.html.j2")
        .render(
            sheet=sheet,
            title=printable(sheet.title),
            parts=[_part(part) for part in sheet.parts],
            notes=[printable(note) for note in sheet.footnotes],
            pictures=pictures,
            made=f"{made:%a} {made.day} {made:%b %Y %H:%M}",
            version=VERSION,
            generator=GENERATOR,
        )
    )
    return page


def is_ours(text: str) -> bool:
    """True for a page that this module made."""
    return f'<meta name="generator" content="{GENERATOR} ' in text[:600]


def printable(text: str) -> str:
    """The text without characters that steer a screen or turn the reading direction."""
    return _UNPRINTABLE.sub("�", text)


@cache
def _environment() -> Any:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("pratique.export.paper"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _part(part: Part) -> dict[str, Any]:
    match part:
        case Table():
            return _table(part)
        case Lines():
            lines = [_cell(cell) for cell in part.lines]
            return {"sort": "lines", "title": printable(part.title), "lines": lines, "bullet": part.bullet}
        case Facts():
            pairs = [(printable(label), _cell(cell)) for label, cell in part.pairs]
            return {"sort": "facts", "title": printable(part.title), "pairs": pairs}


def _table(table: Table) -> dict[str, Any]:
    rows = [[_cell(cell) for cell in row] for row in table.rows]
    total = None if table.total is None else [_cell(cell) for cell in table.total]
    columns = [(printable(column.head), column.kind) for column in table.columns]
    if table.blanks:
        empty = [index for index in range(len(columns)) if rows and all(row[index]["blank"] for row in rows)]
        columns = [column for index, column in enumerate(columns) if index not in empty]
        rows = [[cell for index, cell in enumerate(row) if index not in empty] for row in rows]
    return {
        "sort": "table",
        "title": printable(table.title),
        "columns": columns,
        "rows": rows,
        "total": total,
        "prose": sum(kind == "prose" for _, kind in columns),
        "blanks": [printable(head) for head in table.blanks],
    }


def _cell(cell: Cell) -> dict[str, Any]:
    text = printable(cell.text)
    blank = TO_WRITE_ON.fullmatch(text) is not None
    return {"text": "" if blank else text, "meaning": cell.meaning, "blank": blank}
