"""`--plain`: one record a line and nothing else on it, for every screen that is kept; never beside another answer."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from test_screens import SCREENS

from pratique.cli.main import COMMANDS, cli
from pratique.render.terminal import render_plain
from pratique.sheets.rows import Cell, Column, Lines, Sheet, Table

TOP = Path(__file__).parents[2]


def call(words: list[str], *more: str) -> Result:
    fixed = words[0] == "why" or "--at" in words
    words = [*words, *([] if fixed else ["--at", "2027-03-08T06:30"]), *more]
    return CliRunner().invoke(cli, words, env={"COLUMNS": "40"}, color=True)


@pytest.mark.parametrize("name", SCREENS)
def test_a_plain_screen_has_records_alone(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    page, plain = call(SCREENS[name]), call(SCREENS[name], "--plain")
    assert (plain.exit_code, plain.stderr) == (page.exit_code, page.stderr)
    assert bool(plain.stdout) == bool(page.stdout)
    for line in plain.stdout.splitlines():
        assert line.strip()
        assert not re.search("\x1b|[─│┌└]", line)


def test_rows_and_cells_of_the_sheet_are_lines_and_fields() -> None:
    table = Table(
        title="T", columns=(Column("A"), Column("B")),
        rows=((Cell("a tab\there"), Cell("two\nlines")), (Cell("x"), Cell(""))), total=(Cell("sum"), Cell("2")),
    )  # fmt: skip
    text = render_plain(Sheet(title="S", parts=(table, Lines(title="L", lines=(Cell("said"),))), next="more"))
    lines = text.splitlines()
    assert len(lines) == 3
    assert [line.count("\t") for line in lines] == [1, 1, 0]


@pytest.mark.parametrize("command", [name for name in COMMANDS if name != "start"])
def test_every_command_that_answers_has_it(command: str) -> None:
    assert "--plain" in CliRunner().invoke(cli, [command, "--help"]).stdout


def test_one_answer_goes_to_standard_output(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    for words in (["why", "D404"], SCREENS["day"]):
        result = call(words, "--plain", "--json")
        assert result.exit_code == 2
        assert "all go to standard output" in " ".join(result.stderr.split())
