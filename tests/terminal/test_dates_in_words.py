"""No screen tells a date without its weekday: a keeper counts by Saturdays, not by the thirteenth."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
SCREENS = sorted([*(TESTS / "terminal").rglob("*.txt"), *(TESTS / "cases").rglob("*.txt")])

IN_WORDS = re.compile(
    r"(?<![\w.])([0-9]{1,2} (?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)|[0-9]{4}-[0-9]{2}-[0-9]{2})(?!\w)"
)
WEEKDAY = re.compile(r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)(?: [a-z☐_]+){0,2}$")
"""Before a date; where a line ends between the two, a word of the next column may come between them."""
AS_TYPED = re.compile(
    r"`[^`]*`"  # what is to be typed, or stands in the file so
    r"|^ *[0-9]+ \| .*$"  # the line of the room file that a problem points at
    r"|^\$ .*$"  # a command
    r"|^ *next: .*(?:\n {4}.*)*"  # the next command
    r"|^ *arrives: .*$",  # a batch to be copied into the file
    re.MULTILINE,
)


def bare_dates(screen: str) -> Iterator[str]:
    """Dates of a screen that no weekday stands before; what is typed in figures is left out."""
    text = " ".join(AS_TYPED.sub(" … ", screen).split())
    for found in IN_WORDS.finditer(text):
        if WEEKDAY.search(text[: found.start()].rstrip()) is None:
            yield text[max(found.start() - 40, 0) : found.end() + 20]


@pytest.mark.parametrize("path", SCREENS, ids=lambda path: path.stem)
def test_each_date_has_its_weekday(path: Path) -> None:
    assert list(bare_dates(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("screen", "bare"),
    [
        ("expired on 4 Mar 2027", 1),
        ("from 31 Oct 2027 on, until Mon\n  1 Nov 2027", 1),
        ("release moves from Fri 12 Mar to 21 Mar", 1),
        ("made 2027-05-28, pratique", 1),
        ("on Thu 4 Mar 2027; write `2027-03-05`\n  next: pratique day 2027-03-09", 0),
        ("12 Marks, 3 Decks", 0),
    ],
)
def test_the_search_finds_what_it_is_for(screen: str, bare: int) -> None:
    assert len(list(bare_dates(screen))) == bare
