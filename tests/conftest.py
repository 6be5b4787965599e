"""Golden files: `python -m pytest --golden` rewrites them; read what was written before you keep it."""

from __future__ import annotations

import gc
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

gc.set_threshold(500_000)  # as the program itself has it: thousands of tests make few cycles
settings.register_profile("unhurried", settings(), deadline=None)  # a slow machine is no fault of the program
settings.load_profile("unhurried")

Golden = Callable[[Path, str], None]


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--golden", action="store_true", help="rewrite golden files instead of comparing")


@pytest.fixture
def golden(request: pytest.FixtureRequest) -> Golden:
    """Compares a text with a golden file, or rewrites the file under `--golden`."""
    rewrite = bool(request.config.getoption("--golden"))

    def check(path: Path, text: str) -> None:
        if rewrite:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8", newline="\n")
            return
        assert path.exists(), (
            f"{path.name} is missing: run `python -m pytest --golden` and read what was written"
        )
        assert text == path.read_text(encoding="utf-8")

    return check


@pytest.fixture(autouse=True)
def examples_stay_as_they_are(monkeypatch: pytest.MonkeyPatch) -> None:
    """An interlock overridden in a test of the examples writes no log beside them; a room of a test's own has one."""
    from pratique.cli import overridden

    real = overridden.append

    def append(path: Path, entries: Sequence[Any]) -> tuple[str, ...]:
        return () if "examples" in Path(path).absolute().parts else real(path, entries)

    monkeypatch.setattr(overridden, "append", append)
