"""A sheet as one HTML page that prints in black and white on A4 and Letter: no script, nothing from outside.

Every text is escaped by the template; only the pictures, which our own code draws and escapes, go in as they are.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from pratique import VERSION
from pratique.dates import full_moment
from pratique.export.paper.widths import shares
from pratique.letters import HIDDEN
from pratique.sheets.bound import bound_words
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet, Table

GENERATOR = "pratique"
"""What the page says made it: a page without it is never overwritten."""

TO_WRITE_ON = re.compile(r"_{3,}")
"""A line of the screen to write on; on paper the space itself is left."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """An SVG drawing and the sentence that says what it shows; `of` is what it belongs to, such as a batch."""

    svg: str
    caption: str
    of: str = ""


def paper_page(sheet: Sheet, *, made: dt.datetime, pictures: tuple[Picture, ...] = ()) -> str:
    """The whole page as text; `made` is the moment the sheet answers for."""
    page: str = (
        _environment()
        .get_template("page.html.j2")
        .render(
            sheet=sheet,
            title=printable(sheet.title),
            parts=list(_parts(sheet, pictures)),
            notes=[printable(note) for note in sheet.footnotes],
            made=full_moment(made),
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
    return HIDDEN.sub("�", text)


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


def _parts(sheet: Sheet, pictures: tuple[Picture, ...]) -> Iterator[dict[str, Any]]:
    """The parts as the template takes them. Each picture stands after the table that names what it is of.

    The others stand where the first of the drawn parts stood, else last.
    """
    named = {part.pictured for part in sheet.parts if isinstance(part, Table)} - {""}
    others = [picture for picture in pictures if picture.of not in named]
    for part in sheet.parts:
        if not (pictures and not isinstance(part, Facts) and part.drawn):
            yield _part(part)
        else:
            yield from _pictures(others)
            others = []
        if isinstance(part, Table) and part.pictured:
            yield from _pictures([picture for picture in pictures if picture.of == part.pictured])
    yield from _pictures(others)


def _pictures(pictures: list[Picture]) -> Iterator[dict[str, Any]]:
    if pictures:
        yield {"sort": "pictures", "title": "", "drawn": False, "pictures": pictures}


def _part(part: Part) -> dict[str, Any]:
    match part:
        case Table():
            return _table(part)
        case Lines():
            return {
                "sort": "lines",
                "title": printable(part.title),
                "lines": [_cell(cell, drawn=part.drawn) for cell in part.lines],
                "bullet": part.bullet,
                "drawn": part.drawn,
            }
        case Facts():
            pairs = [(printable(label), _cell(cell)) for label, cell in part.pairs]
            return {"sort": "facts", "title": printable(part.title), "pairs": pairs, "drawn": False}


def _table(table: Table) -> dict[str, Any]:
    """The columns that the screen leaves empty to write in give way to those that paper adds."""
    rows = [[_cell(cell, drawn=table.drawn) for cell in row] for row in table.rows]
    given_way = table.blanks and rows
    kept = [at for at in range(len(table.columns)) if not (given_way and all(row[at]["blank"] for row in rows))]
    return {
        "sort": "table",
        "title": printable(table.title),
        "columns": [(printable(table.columns[at].head), table.columns[at].kind) for at in kept],
        "rows": [[row[at] for at in kept] for row in rows],
        "total": None if table.total is None else [_cell(table.total[at]) for at in kept],
        "widths": shares(table, kept),
        "drawn": table.drawn,
        "blanks": [printable(head) for head in table.blanks],
    }


def _cell(cell: Cell, *, drawn: bool = False) -> dict[str, Any]:
    """A number stays on one line with its unit and its mark; what is drawn keeps every space."""
    text = printable(cell.text) if drawn else _bound(printable(cell.text))
    blank = TO_WRITE_ON.fullmatch(text) is not None
    return {"text": "" if blank else text, "meaning": cell.meaning, "blank": blank}


def _bound(text: str) -> str:
    return "\n".join(" ".join(words.replace(" ", "\u00a0") for words in bound_words(line)) for line in text.split("\n"))
