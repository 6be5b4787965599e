"""Lint, types and the one direction of imports, as part of the one test command."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[1]
TOOLS = {
    "ruff": [sys.executable, "-m", "ruff", "check", "--no-cache", "."],
    "mypy": [sys.executable, "-m", "mypy"],
    "imports": [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"],
}


@pytest.mark.parametrize("tool", TOOLS)
def test_house_rules(tool: str) -> None:
    done = subprocess.run(TOOLS[tool], cwd=TOP, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_no_print_outside_the_commands() -> None:
    for path in (TOP / "src").rglob("*.py"):
        assert not re.search(r"(?<![\w.])print\(", path.read_text("utf-8")), path


def test_no_file_is_a_giant() -> None:
    for path in (TOP / "src").rglob("*.py"):
        assert path.read_text("utf-8").count("\n") <= 350, path
