"""Every key of the room file describes itself, and its example can be pasted."""

from __future__ import annotations

from typing import Any

import pytest
import yaml
from pydantic import BaseModel

from pratique.room.describe import KeyRow, describe_key, example_of, key_names, owner_title, row_of, sections
from pratique.room.model import RoomFile
from pratique.room.shape import ENTRY, NAME, Home, every_key, keys_of, pattern_of
from pratique.sheets.keys import key_page
from pratique.sheets.why import known_words, why_sheet

HOMES = list(every_key())


def name(home: Home) -> str:
    return ".".join((*home.steps, home.key))


@pytest.mark.parametrize("home", HOMES, ids=name)
def test_every_key_says_what_it_means_in_a_few_words(home: Home) -> None:
    said = home.field.description or ""
    assert said, f"{home.owner.__name__}.{home.key} has no description"
    assert len(said) <= 200
    assert not said.endswith(".")
    assert said[0].islower() or said[0] == "`" or said.startswith("UV")
    row = row_of(home)
    assert row.written not in ("", "text"), "its type has no Form"
    assert row.example not in ("", "text")


@pytest.mark.parametrize("home", HOMES, ids=name)
def test_every_example_is_read_where_it_stands(home: Home) -> None:
    value: Any = yaml.load("\n".join(row_of(home).snippet), yaml.BaseLoader)
    for step in (*home.steps, home.key):
        value = value[0] if step == ENTRY else value[step]
    needed = {
        key: yaml.load(example_of(field), yaml.BaseLoader)
        for key, field in keys_of(home.owner).items()
        if field.is_required()
    }
    home.owner.model_validate(needed | {home.key: value})


def test_whose_keys_they_are_is_said_and_never_twice() -> None:
    owners = {home.owner for home in HOMES}
    titles = [owner_title(owner) for owner in owners]
    assert all(titles)
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("key", key_names())
def test_every_key_has_a_page_that_no_other_page_hides(key: str) -> None:
    sheet = why_sheet(key)
    assert sheet is not None
    assert sheet.title == f"{key} · key of the room file"
    assert key in known_words()


def test_a_key_is_shown_for_every_place_where_it_stands() -> None:
    owners = [row.owners for row in describe_key("volume")]
    assert owners == [("the units of the room",), ("a tank",), ("a container of mixed water",), ("a syringe",)]
    (below,) = describe_key("tanks.volume")
    assert below.owners == ("a tank",)
    assert below.snippet == ("tanks:", "  NAME:", "    volume: {measured: 62 L ± 2 %}")
    assert describe_key("waters.volume") == ()
    assert describe_key("nothing") == ()
    assert key_page("nothing") is None


def test_what_says_the_same_of_two_owners_is_said_once() -> None:
    (row,) = describe_key("cycled")
    assert row.owners == ("a water that tanks share", "a tank")


def row(word: str) -> KeyRow:
    (found,) = describe_key(word)
    return found


@pytest.mark.parametrize(
    ("word", "written", "default"),
    [
        ("hours", "stretches of the day, commas between them", "07:00-09:00, 18:00-22:00"),
        ("lid", "`yes` or `no`", "no"),
        ("count", "a whole number from 1", "1"),
        ("trust", "`trusted`, `unsure` or `untrusted`", ""),
        ("forms", "one or more, commas between them: `ionic`, `amine` or `chelated`", ""),
        ("vessels", "names of your own, each with a volume and its unit; an error may follow", ""),
        ("tanks", "names of your own, each with keys below it", ""),
        ("stages", "a list, each entry begun with `- `", ""),
        ("salt", "keys below it", ""),
        ("dimensions", "`inside` or `outside`", "inside"),
        ("dropper", "drops in one mL, counted", ""),
    ],
)
def test_how_it_is_written_and_what_holds_without_it(word: str, written: str, default: str) -> None:
    found = describe_key(word)[0]
    assert (found.written, found.default) == (written, default)


def test_lists_of_entries_begin_with_a_dash() -> None:
    assert row("stages.use").snippet == ("regimens:", "  NAME:", "    stages:", "      - use: ward")
    assert row("container").snippet == ("mixed_water:", "  - container: grey barrel")


def test_patterns_of_paths() -> None:
    assert pattern_of(("tanks", "use", "holds", 2, "level")) == ("tanks", NAME, "holds", ENTRY, "level")
    assert pattern_of(()) == ()


def test_sections_hold_every_key_once() -> None:
    found: dict[type[BaseModel], None] = dict.fromkeys(home.owner for home in HOMES)
    listed = list(sections())
    assert len(listed) == len(found)
    for (places, title, rows), owner in zip(listed, found, strict=True):
        assert title == owner_title(owner)
        assert [line.key for line in rows] == list(keys_of(owner))
        assert set(places) == {home.steps for home in HOMES if home.owner is owner}
    assert listed[0][1] == owner_title(RoomFile)
