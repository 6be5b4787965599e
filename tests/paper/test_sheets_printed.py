"""Every kind of sheet printed by a real browser on A4 and Letter: nothing torn apart, left alone, or wider than paper.

Where there is no browser these tests are skipped, and say so.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from paper.browser import need_browser, printed
from paper.marked import MARK, Marked, marked
from paper.sheets import COMMANDS, page_by

PAPERS = {"A4": (595, 842), "letter": (612, 792)}
"""Points across and down."""
ONE_PAGE = ("emergency card", "dip", "day", "labels", "water", "dose", "deputy", "check")
EDGE = 20
"""Points at the sides that stay empty; the page's own margin is wider."""


@pytest.fixture(scope="module")
def pages() -> dict[str, str]:
    need_browser()
    return {name: page_by(words) for name, words in COMMANDS.items()}


@pytest.fixture(scope="module", params=["close", "wide"])
def document(pages: dict[str, str], request: pytest.FixtureRequest) -> Marked:
    """The sheets that share a style: those set close for one page, and all others."""
    return marked(
        {name: page for name, page in pages.items() if ('class="dense"' in page) == (request.param == "close")}
    )


@pytest.fixture(scope="module", params=PAPERS)
def paper(document: Marked, request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    folder = tmp_path_factory.mktemp("printed")
    return Printed(document, folder, request.param, printed(document.html, folder, paper=request.param))


class Printed:
    """A document as the browser printed it; `pages_of` says on which of its pages each mark stands."""

    def __init__(self, document: Marked, folder: Path, size: str, texts: list[str]) -> None:
        self.document, self.pdf, self.size, self.texts = document, folder / "page.pdf", size, texts
        self.pages_of: dict[int, set[int]] = {}
        for number, text in enumerate(texts):
            for found in MARK.finditer(text):
                self.pages_of.setdefault(int(found[1]), set()).add(number)

    def sheet_pages(self, name: str) -> set[int]:
        return set().union(*(self.pages_of[mark] for mark in self.document.sheets[name]))


def test_every_row_and_line_stands_on_one_page(paper: Printed) -> None:
    marks = [mark for marks in paper.document.sheets.values() for mark in marks]
    assert len(marks) > 20
    assert {mark: len(paper.pages_of.get(mark, ())) for mark in marks} == dict.fromkeys(marks, 1)


def test_no_heading_is_parted_from_what_it_heads(paper: Printed) -> None:
    assert paper.document.heads
    assert [pair for pair in paper.document.heads if paper.pages_of[pair[0]] != paper.pages_of[pair[1]]] == []


def test_no_page_is_nearly_empty_within_a_sheet(paper: Printed) -> None:
    assert all(len(text) > 60 for text in paper.texts), [len(text) for text in paper.texts]


def test_what_is_read_at_a_glance_fits_on_one_page(paper: Printed) -> None:
    found = {name: len(paper.sheet_pages(name)) for name in ONE_PAGE if name in paper.document.sheets}
    assert found == dict.fromkeys(found, 1)


def test_nothing_is_wider_than_the_page(paper: Printed) -> None:
    """Nor shrunk to fit: a browser that has to makes all letters smaller, the title's too."""
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext on this machine: where words stand was not checked here")
    boxes = subprocess.run(["pdftotext", "-bbox", str(paper.pdf), "-"], check=True, capture_output=True, text=True)
    words = re.findall(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">', boxes.stdout)
    width, height = PAPERS[paper.size]
    assert len(words) > 500
    assert min(float(word[0]) for word in words) > EDGE
    assert max(float(word[2]) for word in words) < width - EDGE
    assert max(float(word[3]) for word in words) < height - EDGE
    tallest = max(float(word[3]) - float(word[1]) for word in words)
    assert tallest > 15, "the page was shrunk to fit"
