"""The page `Should you trust these numbers?` says what the tests find: they are run again, and the page made anew."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from pages import TOP
from trust_page import NO_NUMBER, Row, difference, ids_of, page

from published_ids import ALL, NOT_YET
from validation import SUBJECTS

PAGE = TOP / "docs/explanation/trust.md"
RECORDING = ("tests/published", "tests/unit/test_mixing.py", "tests/unit/test_fit.py")


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> list[Row]:
    """What the recording tests write, run in a process of their own so that nothing else has recorded before."""
    assert importlib.util.find_spec("PyCO2SYS"), "PyCO2SYS is missing: pip install -e '.[test]'"
    file: Path = tmp_path_factory.mktemp("validation") / "rows.json"
    options = ["-q", "-p", "no:cacheprovider", "-m", "not hypothesis", "--hypothesis-seed=0"]
    environment = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")}
    done = subprocess.run(
        [sys.executable, "-m", "pytest", *options, *RECORDING],
        cwd=TOP,
        env=environment | {"PRATIQUE_VALIDATION": str(file)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    found: list[Row] = json.loads(file.read_text("utf-8"))
    return found


def test_the_page_says_what_the_tests_find(rows: list[Row], golden) -> None:
    golden(PAGE, page(rows))


def test_every_file_that_records_is_run() -> None:
    calls = {
        path.relative_to(TOP).as_posix()
        for path in (TOP / "tests").rglob("test_*.py")
        if "from validation import" in path.read_text("utf-8") and path != Path(__file__)
    }
    assert [path for path in sorted(calls) if not path.startswith(RECORDING)] == []


def test_every_subject_has_rows(rows: list[Row]) -> None:
    assert {row["subject"] for row in rows} == set(SUBJECTS)


def test_every_worked_example_stands_on_the_page(rows: list[Row]) -> None:
    assert ids_of(rows) | set(NO_NUMBER) | set(NOT_YET) == set(ALL)
    assert not ids_of(rows) & (set(NO_NUMBER) | set(NOT_YET))


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (0.0, "%", "none"),
        (-4e-14, "%", "none"),
        (2e-5, "%", "under 0.001 %"),
        (-0.0123, "%", "−0.012 %"),
        (24.9, "%", "+24.9 %"),
        (-1.51e-5, "sg", "−0.000015 sg"),
        (8e-5, "kg/m³", "under 0.0001 kg/m³"),
    ],
)
def test_how_a_difference_is_written(value: float, unit: str, shown: str) -> None:
    assert difference({"subject": "dose", "what": "", "against": "", "difference": value, "unit": unit}) == shown
