"""What a page says, without how it looks. Terminal, paper and JSON start from these rows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Meaning = Literal["", "error", "warning", "done", "due", "muted"]
ColumnKind = Literal["id", "number", "text", "prose"]


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell. `text` is plain; `meaning` decides a colour and is doubled by a word in the text."""

    text: str
    meaning: Meaning = ""


EMPTY = Cell("—", "muted")


@dataclass(frozen=True, slots=True)
class Column:
    """`id` and `number` cells are never wrapped or cut; `text` is kept whole while it fits; `prose` wraps.

    Numbers align on the decimal point. `lead` marks the columns that head a record in the stacked form.
    """

    head: str
    kind: ColumnKind = "text"
    lead: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One question. `total` is a last row under a rule; `blanks` heads the columns that paper adds to write in.

    `drawn`: it is a picture made of letters; on paper the page's own pictures stand in its place. `pictured`: those of
    this name, such as a batch, stand after it.
    """

    title: str = ""
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    total: tuple[Cell, ...] | None = None
    blanks: tuple[str, ...] = ()
    drawn: bool = False
    pictured: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """Sentences under a heading: reasons, conditions, steps. `bullet` is put before each ("1." numbers them).

    `drawn`: they are a picture made of letters; on paper the page's own pictures stand in its place.
    """

    title: str = ""
    lines: tuple[Cell, ...]
    bullet: str = ""
    drawn: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Short label–value pairs, such as the head of a dose."""

    title: str = ""
    pairs: tuple[tuple[str, Cell], ...]


Part = Table | Lines | Facts


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A page: its question in the title, its parts in order, footnotes, and one command that comes next.

    On paper, `cards`: each part is a card of its own, to be cut out; `dense`: for one page, short parts side by side.
    """

    title: str
    parts: tuple[Part, ...]
    footnotes: tuple[str, ...] = ()
    next: str = ""
    cards: bool = False
    dense: bool = False


SUPERSCRIPTS = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


class Footnotes:
    """Numbers sources in the order they are first used; the same text gets the same number."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def mark(self, text: str) -> str:
        """The superscript for `text`, such as ` ¹`; an empty text gets none."""
        if not text:
            return ""
        number = self._numbers.setdefault(text, len(self._numbers) + 1)
        return " " + str(number).translate(SUPERSCRIPTS)

    def lines(self) -> tuple[str, ...]:
        return tuple(f"{str(number).translate(SUPERSCRIPTS)} {text}" for text, number in self._numbers.items())
