"""Every command with every option and whatever is typed after it: an answer, or a refusal with its words."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings

from fuzz.commands import SHAPES, called, command_lines
from fuzz.strategies import NONSENSE, room_text, room_trees
from logbook.typed import demo
from pratique.cli.main import cli

SLOW = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.large_base_example]
)


def test_every_option_is_among_those_that_are_typed() -> None:
    """Else an option added later would be passed over."""
    assert all(own.valued or own.flags for own in SHAPES.values())
    assert {"--reading", "--off", "--stock"} <= set(SHAPES["dose"].valued)


@given(command_lines())
@SLOW
def test_any_command_line_is_answered_or_refused(words: list[str]) -> None:
    with TemporaryDirectory() as folder:
        room = Path(folder) / "fishroom.yaml"
        room.write_text(demo(), "utf-8")
        called(words, room)


@given(room_trees(most=1))
@settings(SLOW, max_examples=5)
def test_a_changed_room_is_answered_by_every_page(tree: dict[str, object]) -> None:
    with TemporaryDirectory() as folder:
        room = Path(folder) / "fishroom.yaml"
        room.write_text(room_text(tree, as_json=True), "utf-8", errors="surrogatepass")
        for words in (["check"], ["plan", "--at", "2027-03-08T18:00"], ["day", "2027-03-08", "--json"]):
            if called(words, room).exit_code == 1:
                break


_FIGURES = [
    ("day", "--days"),
    ("log", "--tail"),
    ("dip freshwater-dip --for spring --minutes", ""),
    ("risk spring", "--simulate"),
    ("risk spring", "--seed"),
    ("risk spring", "--parasites"),
    ("risk --fallow reef", "--days"),
]


@pytest.mark.parametrize("command", _FIGURES, ids=lambda pair: " ".join(pair))
@pytest.mark.parametrize(
    "word", [word for word in NONSENSE if word not in ("-0", "+5", "9" * 40, "0." + "0" * 60 + "1", "")]
)
def test_no_option_takes_a_figure_from_nonsense(command: tuple[str, str], word: str, tmp_path: Path) -> None:
    room = tmp_path / "fishroom.yaml"
    room.write_text(demo(), "utf-8")
    words = [part for part in (*command[0].split(), command[1]) if part]
    result = CliRunner().invoke(cli, [*words, word, "--room", str(room), "--at", "2027-03-08T18:00"])
    assert result.exit_code == 2, (word, result.output)
    assert result.stdout == ""
