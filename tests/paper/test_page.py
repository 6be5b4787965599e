"""The page on paper: everything the rows say, escaped, with nothing that runs and nothing fetched."""

from __future__ import annotations

import datetime as dt
from html.parser import HTMLParser

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pratique.export.paper.page import Picture, is_ours, paper_page
from pratique.export.paper.widths import shares
from pratique.sheets.rows import Cell, Column, Facts, Lines, Sheet, Table

MADE = dt.datetime(2027, 3, 8, 6, 30, tzinfo=dt.UTC)
NASTY = [
    "<script>alert(1)</script>",
    '" onload="x',
    "</style><b>",
    "a & b < c",
    "{{ 7 * 7 }}",
    "{% raw %}",
    "\x1b[31mred",
]


class Read(HTMLParser):
    """The elements of a page, their attributes and its text, read by the standard library."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str | None]] = []
        self.texts: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data: str) -> None:
        self.texts.append(data)

    @property
    def text(self) -> str:
        return "\n".join(self.texts)


def sheet_with(text: str) -> Sheet:
    """`text` in every place where a sheet has a text."""
    cell = Cell(text)
    return Sheet(
        title=text,
        parts=(
            Table(title=text, columns=(Column(text, "prose"),), rows=((cell,),), total=(cell,), blanks=(text,)),
            Lines(title=text, lines=(cell,), bullet="·"),
            Facts(title=text, pairs=((text, cell),)),
        ),
        footnotes=(text,),
    )


@pytest.mark.parametrize("text", NASTY)
def test_no_text_becomes_an_element(text: str) -> None:
    plain, read = Read(paper_page(sheet_with("word"), made=MADE)), Read(paper_page(sheet_with(text), made=MADE))
    assert read.tags == plain.tags
    assert len(read.attributes) == len(plain.attributes)


@given(st.text(min_size=1, max_size=60))
@example(" ")
def test_any_text_is_only_text(text: str) -> None:
    plain, read = Read(paper_page(sheet_with("word"), made=MADE)), Read(paper_page(sheet_with(text), made=MADE))
    assert read.tags[-20:] == plain.tags[-20:]
    assert not any(ord(letter) < 32 and letter not in "\n\t" for letter in read.text)


def test_nothing_runs_and_nothing_is_fetched() -> None:
    read = Read(paper_page(sheet_with("word"), made=MADE, pictures=(Picture(svg="<svg></svg>", caption="a picture"),)))
    assert not {"script", "link", "img", "iframe", "object", "embed", "form"} & set(read.tags)
    assert not [name for name, _ in read.attributes if name.startswith("on") or name in ("src", "href", "style")]
    assert "svg" in read.tags


def test_every_cell_is_there_once() -> None:
    rows = tuple((Cell(f"a{number}"), Cell(f"b{number}")) for number in range(30))
    table = Table(columns=(Column("x", "id"), Column("y", "prose")), rows=rows)
    text = Read(paper_page(Sheet(title="t", parts=(table,)), made=MADE)).texts
    assert [word for word in text if word.strip()[:1] in "ab" and word.strip()[1:].isdigit()] == [
        cell.text for row in rows for cell in row
    ]


def test_a_line_to_write_on_becomes_room() -> None:
    columns = (Column("What", "prose"), Column("Done", "id"))
    table = Table(columns=columns, rows=((Cell("look"), Cell("______")),), blanks=("Reading", "Time"))
    read = Read(paper_page(Sheet(title="t", parts=(table,)), made=MADE))
    assert "Done" not in read.text and "____" not in read.text
    assert read.text.count("Reading") == 1
    late = Table(columns=columns, rows=((Cell("look"), Cell("LATE")), (Cell("feed"), Cell("______"))), blanks=("By",))
    assert "LATE" in Read(paper_page(Sheet(title="t", parts=(late,)), made=MADE)).text


def test_our_pages_are_known() -> None:
    assert is_ours(paper_page(sheet_with("word"), made=MADE))
    assert not is_ours("<!doctype html><html><head><title>pratique</title>")


def test_a_picture_stands_where_the_one_of_letters_stood() -> None:
    """On paper the drawing takes its place; without one the letters stay, each as wide as the other."""
    tree = Lines(title="tree", lines=(Cell("|==  a"),), drawn=True)
    sheet = Sheet(title="t", parts=(tree, Lines(title="what comes below", lines=(Cell("b"),))))
    bare = paper_page(sheet, made=MADE)
    assert 'class="lines drawn"' in bare and "|==  a" in bare
    page = paper_page(sheet, made=MADE, pictures=(Picture(svg="<svg></svg>", caption="a picture"),))
    assert "|==" not in page
    assert page.index("<svg>") < page.index("what comes below")


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    read = Read(paper_page(sheet_with("add 15.0 mL on Mon 8 Mar ¹ now"), made=MADE))
    assert "add 15.0\u00a0mL on Mon\u00a08\u00a0Mar\u00a0¹ now" in read.text


def test_wide_columns_are_those_with_much_to_say() -> None:
    columns = (Column("When", "id"), Column("Act", "text"), Column("Why", "prose"), Column("Source", "prose"))
    long = Cell("a sentence of some length that goes on and on " * 3)
    found = shares(Table(columns=columns, rows=((Cell("Mon 8 Mar"), Cell("move"), long, Cell("COL85")),)), range(4))
    assert found[2] > 60 and min(found) >= 6
    assert 98 <= sum(found) <= 102


def test_figures_alone_need_no_help() -> None:
    columns = (Column("a", "number"), Column("b", "id"))
    assert shares(Table(columns=columns, rows=((Cell("1"), Cell("2")),)), range(2)) == []
