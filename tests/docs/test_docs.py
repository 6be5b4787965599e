"""Documents cannot drift: shown output is made anew, reference pages are generated, every command is documented."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from pages import GENERATED, SHOWN, TOP, with_output
from sessions import followed, is_followed

from pratique.cli.main import COMMANDS

DOCUMENTS = sorted(
    path.relative_to(TOP)
    for path in [TOP / "README.md", *TOP.glob("docs/**/*.md")]
    if str(path.relative_to(TOP)) not in GENERATED
)


@pytest.fixture(autouse=True)
def at_the_top(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    monkeypatch.delenv("PRATIQUE_ROOM", raising=False)


@pytest.mark.parametrize("name", GENERATED)
def test_reference_page_is_what_the_program_says(name: str, golden) -> None:
    golden(TOP / name, GENERATED[name]())


@pytest.mark.parametrize("name", DOCUMENTS, ids=str)
def test_shown_output_is_what_the_program_prints(name: Path, golden) -> None:
    golden(TOP / name, with_output((TOP / name).read_text("utf-8")))


@pytest.mark.parametrize("name", [name for name in DOCUMENTS if is_followed((TOP / name).read_text("utf-8"))], ids=str)
def test_a_page_can_be_followed_in_a_folder_of_ones_own(name: Path, golden, tmp_path: Path) -> None:
    golden(TOP / name, followed((TOP / name).read_text("utf-8"), tmp_path))


def test_readme_shows_a_screen() -> None:
    assert SHOWN.search((TOP / "README.md").read_text("utf-8"))


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_documented(command: str) -> None:
    assert f"pratique {command}" in (TOP / "docs/reference/commands.md").read_text("utf-8")


def test_the_readme_test_command_is_what_ci_runs() -> None:
    ci = (TOP / ".ci/run").read_text("utf-8").splitlines()[-1]
    assert ci in (TOP / "README.md").read_text("utf-8")


def test_top_level_is_as_the_design_says() -> None:
    allowed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "src", "tests", "examples", "docs"}
    own_droppings = {"demo.yaml", "demo.log.jsonl", "build", "dist", "PKG-INFO"}  # the last in a source archive
    found = {name for name in os.listdir(TOP) if not name.startswith(".")}
    assert found - own_droppings <= allowed
