"""Sheets printed by a real browser: no row is cut by the end of a page, no heading stands alone at its foot."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from paper.browser import need_browser, printed, squeezed
from pratique.export.paper.page import paper_page
from pratique.sheets.rows import Cell, Column, Facts, Lines, Sheet, Table

MADE = dt.datetime(2027, 3, 8, 6, 30, tzinfo=dt.UTC)


def long_sheet(shift: int) -> Sheet:
    """Tables whose rows each begin and end with words of their own; `shift` lines before them move every break."""
    columns = (Column("", "id"), Column("Time", "id"), Column("Amount", "number"), Column("What", "prose"))
    tables = tuple(
        Table(
            title=f"head{number}head",
            columns=columns,
            rows=tuple(
                (
                    Cell(f"☐ {row}"),
                    Cell("07:00"),
                    Cell("3.2 mL"),
                    Cell(f"begin{number}x{row}x " + "some words of an act " * (row % 7) + f" end{number}x{row}x"),
                )
                for row in range(9)
            ),
            blanks=("Reading", "Time", "By"),
        )
        for number in range(9)
    )
    before = Lines(title="before", lines=tuple(Cell(f"line {line}") for line in range(shift)), bullet="·")
    facts = Facts(title="facts", pairs=(("net volume", Cell("38 L")),))
    return Sheet(title="A long sheet", parts=(before, *tables, facts), footnotes=("¹ a source",))


def page_of(word: str, pages: list[str]) -> int:
    found = [number for number, page in enumerate(pages) if word in page]
    assert len(found) == 1, f"{word} stands on pages {found}"
    return found[0]


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("shift", [1, 6, 13])
def test_no_row_is_cut_and_no_heading_stands_alone(tmp_path: Path, paper: str, shift: int) -> None:
    need_browser()
    pages = printed(paper_page(long_sheet(shift), made=MADE), tmp_path, paper=paper)
    assert len(pages) > 3
    for number in range(9):
        assert page_of(f"head{number}head", pages) == page_of(f"begin{number}x0x", pages)
        for row in range(9):
            assert page_of(f"begin{number}x{row}x", pages) == page_of(f"end{number}x{row}x", pages)


def test_a_table_that_goes_on_repeats_its_heads(tmp_path: Path) -> None:
    need_browser()
    rows = tuple((Cell(f"row{number}row"), Cell("words")) for number in range(120))
    table = Table(columns=(Column("Whatever", "id"), Column("What", "prose")), rows=rows)
    pages = printed(paper_page(Sheet(title="One table", parts=(table,)), made=MADE), tmp_path)
    assert len(pages) > 1
    assert all("Whatever" in page for page in pages if "row" in squeezed(page).replace("Whatever", ""))
