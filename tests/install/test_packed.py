"""Every file of the program goes into the wheel, and what its tests need into the source archive."""

from __future__ import annotations

import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "pratique"


def test_every_data_file_is_packed() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    patterns = settings["tool"]["setuptools"]["package-data"]["pratique"]
    packed = {path for pattern in patterns for path in PACKAGE.glob(pattern)}
    there = {path for path in PACKAGE.rglob("*") if path.is_file() and path.suffix not in (".py", ".pyc")}
    assert there
    assert there <= packed, sorted(there - packed)


def test_every_folder_of_code_is_a_package() -> None:
    folders = {path.parent for path in PACKAGE.rglob("*.py")}
    assert not [folder for folder in folders if not (folder / "__init__.py").exists()]


def test_the_source_archive_has_its_tests() -> None:
    lines = (ROOT / "MANIFEST.in").read_text("utf-8").splitlines()
    assert {"graft tests", "graft docs", "graft examples", "include DEVELOPERS.md"} <= set(lines)
