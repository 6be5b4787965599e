"""A short run of the search guided by coverage, where its library is installed; `README.md` has the long one."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(importlib.util.find_spec("atheris") is None, reason="atheris is not installed")


@pytest.mark.parametrize("kind", ["values", "words", "lines", "rooms"])
def test_a_short_guided_search_finds_nothing(kind: str) -> None:
    words = [sys.executable, str(Path(__file__).with_name("long.py")), kind, "--tries", "1000", "--seconds", "60"]
    done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=300)
    assert done.returncode == 0, done.stdout
    assert f"{kind}: " in done.stdout
