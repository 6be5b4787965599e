"""What holds for any sheet at any width: nothing that matters is cut, nothing steers the terminal."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterator

from hypothesis import example, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from pratique.render.signs import clean_text, to_ascii
from pratique.render.terminal import render_plain, render_sheet
from pratique.render.tidy import is_empty
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Sheet, Table

NUMBER = re.compile(r"\d(?:[\d.,]*\d)?")
SGR = re.compile(r"\x1b\[[\d;]*m")
WIDTHS = st.integers(20, 200)

WORDS = st.sampled_from(
    [
        "q1",
        "Q1 [upper]",
        "1:a:2",
        "[bold]x[/bold]",
        "hyposalinity",
        "a",
        "the fish",
        "Verdine 10 %",
        "水槽",
        "poisson-clown à trois bandes",
        "e\u0301te\u0301",
        "🐠",
        "⚠\ufe0f",
        "👩\u200d🔬",
        "\x1b[2J",
        "tab\there",
        "two\nlines",
        "\u202e123",
        "10² m",
        "¹",
        "x" * 45,
        "水" * 30,
        "☐",
        "_____",
        "%s {0} \\",
    ]
)
FIGURES = st.builds(
    lambda sign, value, places, unit: f"{sign}{value:.{places}f}{unit}",
    st.sampled_from(["", "≤ ", "−", "± "]),
    st.floats(0, 1e7),
    st.integers(0, 4),
    st.sampled_from(["", " L", " mg/L", " fish", "–4.1 g/kg", " %"]),
)
MEANINGS = st.sampled_from(["", "error", "warning", "done", "due", "muted"])
TEXTS = st.lists(WORDS | FIGURES | st.text(max_size=8), max_size=12).map(" ".join).map(str.strip)
NAMES = (WORDS | st.text(min_size=1, max_size=12)).map(str.strip)
HEADS = st.text(st.characters(categories=["L", "Cc", "Mn"]), max_size=12)


@st.composite
def cells(draw: st.DrawFn, kind: str) -> Cell:
    source = {"id": NAMES, "number": FIGURES | st.just("—") | NAMES}.get(kind, TEXTS)
    return draw(st.just(EMPTY) | st.builds(Cell, source, MEANINGS))


@st.composite
def tables(draw: st.DrawFn) -> Table:
    kinds = st.sampled_from(["id", "number", "text", "prose"])
    columns = tuple(draw(st.lists(st.builds(Column, HEADS, kinds, st.booleans()), min_size=1, max_size=7)))
    row = st.tuples(*(cells(column.kind) for column in columns))
    rows = tuple(draw(st.lists(row, max_size=5)))
    return Table(title=draw(NAMES), columns=columns, rows=rows, total=draw(st.none() | row))


LINES = st.builds(
    Lines,
    title=TEXTS,
    lines=st.lists(cells("text"), max_size=3).map(tuple),
    bullet=st.sampled_from(["", "1.", "☐"]),
)
FACTS = st.builds(Facts, title=TEXTS, pairs=st.lists(st.tuples(HEADS, cells("text")), max_size=4).map(tuple))
SHEETS = st.builds(
    Sheet,
    title=TEXTS,
    parts=st.lists(tables() | LINES | FACTS, max_size=3).map(tuple),
    footnotes=st.lists(st.builds("¹ {}".format, TEXTS) | TEXTS, max_size=2).map(tuple),
    next=TEXTS,
)


def tables_of(sheet: Sheet) -> Iterator[Table]:
    return (part for part in sheet.parts if isinstance(part, Table))


def records_of(table: Table) -> list[tuple[Cell, ...]]:
    return [*table.rows] if table.total is None else [*table.rows, table.total]


def whole_texts(sheet: Sheet) -> Iterator[str]:
    """The texts that are never broken: names, numbers, heads, labels."""
    for part in sheet.parts:
        if isinstance(part, Facts):
            yield from (clean_text(label) for label, _ in part.pairs)
        if not isinstance(part, Table):
            continue
        yield from (clean_text(column.head) for column in part.columns)
        for row in records_of(part):
            yield from (
                clean_text(cell.text)
                for column, cell in zip(part.columns, row, strict=True)
                if column.kind in ("id", "number")
            )


def kept_texts(sheet: Sheet) -> Iterator[str]:
    for table in tables_of(sheet):
        for row in records_of(table):
            for column, cell in zip(table.columns, row, strict=True):
                if column.kind in ("id", "number") and not is_empty(cell):
                    yield clean_text(cell.text)


@settings(deadline=None)
@given(SHEETS, WIDTHS | st.none())
def test_names_and_numbers_are_uncut(sheet: Sheet, width: int | None) -> None:
    lines = render_sheet(sheet, width=width).split("\n")
    for text in kept_texts(sheet):
        assert any(text in line for line in lines)


@settings(deadline=None)
@given(SHEETS, WIDTHS)
def test_no_line_is_longer_than_the_screen(sheet: Sheet, width: int) -> None:
    text = render_sheet(sheet, width=width)
    whole = [*whole_texts(sheet), *NUMBER.findall(text)]
    most = max([width, *map(cell_len, whole)])
    for line in text.split("\n"):
        assert cell_len(line) <= most


@settings(deadline=None)
@given(SHEETS, WIDTHS | st.none(), st.booleans())
def test_no_control_character_gets_through(sheet: Sheet, width: int | None, unicode: bool) -> None:
    text = render_sheet(sheet, width=width, unicode=unicode) + render_plain(sheet, unicode=unicode)
    signs = set(text) - {"\n", "\t", "\u200d"}
    assert not {sign for sign in signs if unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp")}
    assert unicode or text.isascii()


@settings(deadline=None)
@given(tables(), st.integers(20, 60))
def test_every_form_has_the_same_numbers(table: Table, width: int) -> None:
    sheet = Sheet(title="", parts=(table,))
    wide, narrow = (render_sheet(sheet, width=width) for width in (None, width))
    assert Counter(NUMBER.findall(narrow)) == Counter(NUMBER.findall(wide))


@settings(deadline=None)
@given(SHEETS, WIDTHS | st.none())
def test_colour_is_only_decoration(sheet: Sheet, width: int | None) -> None:
    assert SGR.sub("", render_sheet(sheet, width=width, color=True)) == render_sheet(sheet, width=width)


@settings(deadline=None)
@given(st.floats(0, 1e6), st.integers(0, 3), st.sampled_from("½¹²×·—₂٣３"))
@example(2, 0, "½")
def test_ascii_keeps_numbers_apart(value: float, places: int, sign: str) -> None:
    figure = f"{value:.{places}f}"
    assert NUMBER.findall(to_ascii(f"{figure} {sign}"))[0] == figure
    if not sign.isdecimal():
        assert NUMBER.findall(to_ascii(f"{figure}{sign}"))[0] == figure


@settings(deadline=None)
@given(SHEETS)
def test_plain_form_has_one_record_a_line(sheet: Sheet) -> None:
    records = 0
    for part in sheet.parts:
        records += len(part.rows if isinstance(part, Table) else part.lines if isinstance(part, Lines) else part.pairs)
    assert render_plain(sheet).count("\n") == records
