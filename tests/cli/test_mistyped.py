"""Command lines that cannot be read: one look for all errors, no stock words of a library, exit status 2."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from pratique.cli.main import cli
from schedule_rooms import as_yaml, room_data

HARBOUR = ["--room", "examples/harbour-lane/fishroom.yaml"]


@pytest.mark.parametrize(
    ("words", "wrong", "hint"),
    [
        (["release", "first", "fish"], "more words than `pratique release` takes: `fish`", "quotes"),
        (["dose"], "TANK is missing", "`pratique dose TANK TREATMENT`"),
        (["dose", "x", "y", "--wrong"], "no option `--wrong`", "did you mean `--working`"),
        (["dip", "peroxide-bath"], "`--for` is missing", "--for"),
        (["book", "--priority", "99"], "`--priority`: 99 is out of range", "a whole number from 1 to 9"),
        (["book", "--trust", "foo"], "`--trust`: `foo` is no choice", "`trusted`, `unsure`, `untrusted`"),
        (["day", "tomorow", *HARBOUR], "DATE: `tomorow` is not a date", "2027-03-05"),
        (["doze"], "unknown command `doze`", "did you mean `dose`?"),
        (["plan", "--room"], "`--room` needs a value", "--help"),
        (["plan", "\u202e"], "does not show", "type it again"),
    ],
)
def test_what_is_wrong_and_how_to_mend_it(words: list[str], wrong: str, hint: str) -> None:
    result = CliRunner().invoke(cli, words, env={"COLUMNS": "200"})
    assert result.exit_code == 2
    first, second = result.stderr.split("\n   = hint: ")
    assert first.startswith("error: ") and wrong in " ".join(first.split())
    assert hint in " ".join(second.split())
    assert "Usage" not in result.output and "Invalid value" not in result.output


def test_a_form_of_copper_is_offered_by_the_bottle_that_is_there(tmp_path: Path) -> None:
    """Of three coppers the first of the alphabet is no answer to `copper`: their bands lie up to 17 times apart."""
    path = tmp_path / "fishroom.yaml"
    path.write_text(as_yaml(room_data()), encoding="utf-8")
    told = CliRunner().invoke(cli, ["dose", "ward", "copper", "--room", str(path)])
    assert told.exit_code == 2
    said = "for what stands on the shelf write `copper-chelated`; other forms have other bands"
    assert said in " ".join(told.stderr.split())
    path.write_text(as_yaml(room_data(shelf={})), encoding="utf-8")
    told = CliRunner().invoke(cli, ["dose", "ward", "copper", "--room", str(path)])
    assert "did you mean `copper-amine` or `copper-chelated` or `copper-ionic`?" in " ".join(told.stderr.split())
