"""Golden files: `python -m pytest --golden` rewrites them; read what was written before you keep it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

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
