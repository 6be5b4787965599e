"""What the pages say can be done: links lead somewhere, commands and options exist, files shown are followed."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
import pytest
from pages import TOP
from test_docs import DOCUMENTS

from pratique.cli.main import COMMANDS, cli

LINK = re.compile(r"\]\(([^)\s]+)\)")
CODE = re.compile(r"`(pratique [^`\n]+)`|(?:^|\$ |: )(pratique [^\n]+?)(?: -->)?$", re.M)
HOW_TO = sorted(path.relative_to(TOP) for path in TOP.glob("docs/how-to/*.md"))
ALL = [*DOCUMENTS, Path("DEVELOPERS.md")]


def _commands(text: str) -> list[str]:
    """Every command line of a page: in a block, in a sentence, in a mark; lines that go on are joined."""
    found = (one or two for one, two in CODE.findall(text.replace("\\\n", " ")))
    return [line.split(" | ")[0].removesuffix(" -->") for line in found]


def _wrong(line: str) -> str:
    """What is wrong with a command line, empty if nothing is: its name, or an option it does not have."""
    words = shlex.split(line.replace("…", ""))
    if len(words) < 2 or words[1].startswith("-"):
        return ""
    if words[1] not in COMMANDS:
        return f"`{words[1]}` is not a command"
    command = cli.get_command(click.Context(cli), words[1])
    assert command is not None
    known = {name for option in command.params for name in (*option.opts, *option.secondary_opts)} | {"--help", "-h"}
    asked = [word.split("=")[0] for word in words[2:] if word.startswith("--")]
    return ", ".join(f"`{words[1]}` has no {word}" for word in asked if word not in known)


@pytest.mark.parametrize("name", ALL, ids=str)
def test_links_lead_somewhere(name: Path) -> None:
    page = TOP / name
    targets = [target for target in LINK.findall(page.read_text("utf-8")) if "://" not in target]
    dead = [target for target in targets if not (page.parent / target.split("#")[0]).exists()]
    assert not dead


@pytest.mark.parametrize("name", ALL, ids=str)
def test_commands_and_options_exist(name: Path) -> None:
    lines = _commands((TOP / name).read_text("utf-8"))
    assert not [f"{line}: {wrong}" for line in lines if (wrong := _wrong(line))]


@pytest.mark.parametrize("name", HOW_TO, ids=str)
def test_a_how_to_names_a_command(name: Path) -> None:
    assert _commands((TOP / name).read_text("utf-8"))


@pytest.mark.parametrize("line", ["pratique cook reef", "pratique day --soup", "pratique dose ward x --ofF uv"])
def test_a_wrong_command_line_is_noticed(line: str) -> None:
    assert _wrong(line)


def test_the_index_lists_every_page() -> None:
    index = (TOP / "docs/index.md").read_text("utf-8")
    pages = (path.relative_to(TOP / "docs").as_posix() for path in TOP.glob("docs/*/*.md"))
    assert not [page for page in pages if f"({page})" not in index]
