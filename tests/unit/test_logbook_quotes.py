"""Quotes in a typed line: as a shell reads them where a name stands, letters where a word holds them."""

from __future__ import annotations

import shlex

import pytest
from hypothesis import given
from hypothesis import strategies as st

from first_rooms import FRIDAY, respond
from logbook.typed import said, scope
from pratique.logbook.entry import Common
from pratique.logbook.phrase import parse_entry, parse_lines
from pratique.logbook.quotes import shell_word, unquoted
from pratique.logbook.scope import Scope


def in_file(text: str) -> list[Common]:
    found = parse_lines(text, scope(), file="paper.txt")
    assert found.problems == (), found.problems
    return list(found.entries)


@pytest.mark.parametrize(
    "line",
    [
        "move 'spring tangs' to 'green tub'",
        'move "spring tangs" to "green tub"',
        "move “spring tangs” to ‘green tub’",
        "pratique log move 'spring tangs' to 'green tub'",
        "  pratique   log  move 'spring tangs'  to 'green tub'  ",
        "2027-03-08 18:10 pratique log move 'spring tangs' to 'green tub'",
    ],
)
def test_a_line_copied_from_a_sheet_is_what_a_shell_would_make_of_it(line: str) -> None:
    (entry,) = in_file(line)
    assert said(entry) == {"batch": "spring tangs", "to": "green tub"}


def test_several_entries_in_one_pair_of_quotes_are_parted() -> None:
    assert [entry.kind for entry in in_file("pratique log 'fed reef; sign ward dust'")] == ["fed", "sign"]


@pytest.mark.parametrize(
    ("line", "note"),
    [
        ("note the fish's fin is torn", "the fish's fin is torn"),
        ('note 3" of water ran out', '3" of water ran out'),
        ("note the tangs' fins", "the tangs' fins"),
    ],
)
def test_a_quote_inside_a_word_is_a_letter(line: str, note: str) -> None:
    (entry,) = in_file(line)
    assert said(entry)["note"] == note


def test_a_quote_without_an_end_is_said_where_it_stands() -> None:
    text = "fed reef\nmove  'spring tangs to ward"
    found = parse_lines(text, scope(), file="paper.txt")
    (problem,) = found.problems
    assert problem.code == "L739"
    place = problem.places[0]
    assert (place.line, place.column, place.text) == (2, 7, "move  'spring tangs to ward")
    assert "spring tangs to ward" in problem.message
    assert "write ' after the name" in problem.hint


def test_the_caret_stands_under_the_word_as_it_was_typed() -> None:
    line = "move   'spring tangs'   to  'gren tub'"
    (problem,) = parse_lines(line, scope(), file="paper.txt").problems
    place = problem.places[0]
    assert (problem.code, place.text) == ("L732", line)
    assert line[place.column - 1 : place.column - 1 + place.width] == "gren tub"


NAMES = st.text(alphabet="ab '\"“é;-$", min_size=1, max_size=12).filter(lambda name: name.strip() == name)


@given(st.lists(NAMES, min_size=1, max_size=4))
def test_names_in_quotes_come_back_as_a_shell_gives_them(names: list[str]) -> None:
    line = " ".join(map(shell_word, names))
    assert shlex.split(line) == names
    assert unquoted(line).text == " ".join(" ".join(names).split())


def test_every_line_for_the_log_of_a_run_sheet_is_read_both_ways() -> None:
    """Names of several words, one of them with an apostrophe, for tank, animal, bottle and refuge."""
    changes = {
        "tanks": {"ward": None, "sick bay": {
            "use": "ward", "salinity": "35 g/kg", "temperature": "25 degC", "ph": "8.2", "cycled": "no",
            "oxygen": "7 mg/L", "volume": {"measured": "75 L ± 0.5 L"}, "lid": "yes"}},
        "shelf": {"chelate": None, "Kim's old bottle": {
            "active": "copper", "form": "chelated", "strength": "10 mg/mL as Cu", "left": "250 mL"}},
    }  # fmt: skip
    sheet, house = respond(changes=changes, signs=("dust", "fast-breathing"), dead=("Lemon",))
    assert any("'sick bay'" in line for line in sheet.log_lines)
    assert any("old bottle" in line for line in sheet.log_lines)
    where = Scope(room=house, at=FRIDAY, written=FRIDAY)
    for line in sheet.log_lines:
        typed = parse_entry(shlex.split(line)[2:], where)
        copied = parse_lines(line, where, file="-")
        assert (typed.problems, copied.problems) == ((), ()), line
        assert [said(entry) for entry in typed.entries] == [said(entry) for entry in copied.entries]
