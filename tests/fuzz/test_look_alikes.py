"""Names that a person cannot tell apart: never two things, never taken for one another, and said which is meant.

Cases of whole files: F113-tank-looks-the-same, F114-*, F119-*, F121-*, F132-* in `tests/cases/bad`.
"""

from __future__ import annotations

import json
import unicodedata
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from fuzz.laws import typed_words_are_an_entry_or_refused
from logbook.typed import demo, scope
from pratique.cli.main import cli
from pratique.letters import HIDDEN, skeleton, stranger_in
from pratique.logbook.entry import Common
from pratique.logbook.line import read_line
from pratique.logbook.phrase import parse_entry
from pratique.room.load import load_room_text

TWINS = {
    "Cyrillic a": "wаrd",
    "Cyrillic e": "rеef",
    "Greek o": "blue tub οne",
    "Cyrillic but for one letter": "сорреr",
    "Armenian o": "bօttle",
}
HIDING = {
    "a space of no width": "re\u200bef",
    "a joiner": "re\u200def",
    "a non-joiner": "re\u200cef",
    "a joiner at the end": "reef\u200d",
    "a word joiner": "re\u2060ef",
    "a soft hyphen": "re\xadef",
    "a byte order mark": "re\ufeffef",
    "a filler": "reef\u3164",
    "a filler of half width": "reef\uffa0",
    "an empty Braille cell": "reef\u2800",
    "a mark from right to left": "reef\u200f",
    "an override": "\u202efeer",
    "an isolate": "re\u2067ef\u2069",
    "a tag": "reef\U000e0041",
    "an escape": "reef\x1b[2J",
    "a bell": "reef\x07",
    "a C1 escape": "reef\x9b2J",
    "NUL": "re\x00ef",
    "the place of an object": "re\ufffcef",
}
SPACED = ["reef ", " reef", "blue  tub", "blue\xa0tub ", "blue\u2003tub", "blue\ttub"]


def codes_of(name: str, *, key: bool = True) -> list[str]:
    """What a room file with one tank of this name is refused for; written as a key, or as a word that names it."""
    tank = {"use": "display", "volume": {"measured": "400 L"}}
    data = {"room": {"time_zone": "Europe/Lisbon"}, "tanks": {name if key else "reef": tank}}
    if not key:
        data["animals"] = [{"species": "yellow tang", "tank": name}]
    room, problems = load_room_text(json.dumps(data, ensure_ascii=False).replace("\x00", "\\u0000"))
    assert (room is None) == bool(problems)
    return [problem.code for problem in problems]


@pytest.mark.parametrize("what", TWINS)
def test_a_word_of_two_alphabets_is_no_name(what: str) -> None:
    assert codes_of(TWINS[what]) == codes_of(TWINS[what], key=False) == ["F132"]


@pytest.mark.parametrize("what", HIDING)
def test_a_name_with_a_sign_that_does_not_show_is_no_name(what: str) -> None:
    assert codes_of(HIDING[what])[:1] == codes_of(HIDING[what], key=False)[:1] == ["F121"]


@pytest.mark.parametrize("name", SPACED)
def test_a_name_has_single_spaces_inside_it(name: str) -> None:
    assert codes_of(name) == ["F114"]


@pytest.mark.parametrize(
    "name", ["reef", "риф", "ύφαλος", "水槽 2", "tub №2", "خزان", "Wärd 3", "5 μL", "👩\u200d🔬 tub", "نم\u200cم"]
)
def test_a_name_of_any_one_alphabet_is_a_name(name: str) -> None:
    assert codes_of(name) == []


def entries_of(words: str) -> tuple[int, list[str], str]:
    found = parse_entry([words], scope())
    return len(found.entries), [problem.code for problem in found.problems], "".join(p.note for p in found.problems)


@pytest.mark.parametrize("what", HIDING)
def test_typed_into_the_log_it_is_refused(what: str) -> None:
    assert entries_of(f"fed {HIDING[what]}")[:2] == (0, ["L730"])
    assert not typed_words_are_an_entry_or_refused(f"fed {HIDING[what]}")  # nor does the refusal show it


@pytest.mark.parametrize("typed", ["rеef", "reеf", "геef", "wаrd", "blue tuЬ"])
def test_a_twin_typed_into_the_log_is_never_taken_for_the_name(typed: str) -> None:
    assert entries_of(f"fed {typed}")[:2] == (0, ["L732"])


def test_it_is_said_which_name_looks_the_same(tmp_path: Path) -> None:
    assert "`reef` looks the same" in entries_of("fed rеef")[2]
    room = tmp_path / "fishroom.yaml"
    room.write_text(demo(), "utf-8")
    typed = CliRunner().invoke(cli, ["water", "rеef", "--room", str(room)])
    assert typed.exit_code == 2
    assert "`reef` looks the same" in typed.stderr
    line = '{"id":"6vbp6bp","kind":"fed","at":"2027-03-07T18:30:00Z","written":"2027-03-07T18:30:00Z","tank":"rеef"}\n'
    room.with_suffix(".log.jsonl").write_text(line, "utf-8")
    read = CliRunner().invoke(cli, ["log", "--room", str(room), "--at", "2027-03-08T06:30"])
    assert "warning[L746]" in read.stderr
    assert "`reef` looks the same" in read.stderr


@pytest.mark.parametrize("what", HIDING)
@pytest.mark.parametrize("as_code", [True, False])
def test_a_line_of_the_log_with_such_a_name_is_set_aside(what: str, as_code: bool) -> None:
    good = {"id": "6vbp6bp", "kind": "fed", "at": "2027-03-07T18:30:00Z", "written": "2027-03-07T18:30:00Z"}
    line = json.dumps({**good, "tank": HIDING[what]}, ensure_ascii=as_code, separators=(",", ":")).encode()
    found = read_line(line)
    assert not isinstance(found, Common)
    assert {fault.code for fault in found} <= {"L702", "L708"}
    assert isinstance(read_line(json.dumps({**good, "tank": "reef"}, separators=(",", ":")).encode()), Common)


letters = st.characters(categories=("Lu", "Ll", "Lt", "Lm", "Lo", "Nd", "Mn", "Cf", "Zs", "Pd"))


@given(st.text(letters, min_size=1, max_size=8))
@settings(deadline=None)
def test_what_is_a_name_shows_each_of_its_signs(name: str) -> None:
    """What is accepted holds no sign of a sort that takes no room, but for marks on letters and joiners in scripts."""
    if codes_of(name) == []:
        assert name == " ".join(name.split())
        assert not HIDDEN.search(name)
        assert stranger_in(name) is None
        assert all(unicodedata.category(sign) not in ("Cc", "Zl", "Zp", "Cs") for sign in name)


@given(
    st.text(letters, max_size=8), st.sampled_from(["аa", "еe", "оo", "рp", "сc", "хx", "οo", "ΑA", "ВB", "ⅼl", "ｗw"])
)
@settings(deadline=None)
def test_a_twin_of_a_letter_keeps_the_shape_of_the_name(name: str, twins: str) -> None:
    assert skeleton(name + twins[0]) == skeleton(name + twins[1])
