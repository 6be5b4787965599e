"""Compare a text with a golden file beside the tests; PRATIQUE_GOLDEN=1 rewrites the file instead."""

from __future__ import annotations

import os
from pathlib import Path

FOLDER = Path(__file__).parent / "golden"


def check_golden(name: str, text: str) -> None:
    path = FOLDER / name
    if os.environ.get("PRATIQUE_GOLDEN") == "1":
        FOLDER.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
        return
    assert path.exists(), f"{name} is missing: run the tests with PRATIQUE_GOLDEN=1 and read what was written"
    assert text == path.read_text(encoding="utf-8")
