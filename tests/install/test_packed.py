"""Every file of the program goes into the wheel, and what its tests need into the source archive."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "pratique"


def files_of(folder: Path, above: Path) -> set[str]:
    found = {path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts}
    return {path.relative_to(above).as_posix() for path in found}


@pytest.fixture(scope="module")
def archives(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with both, built from the tree as it is; nothing is fetched and the tree is left alone."""
    folder = tmp_path_factory.mktemp("archives")
    building = [sys.executable, "-m", "hatchling", "build", "-d", str(folder)]
    done = subprocess.run(building, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    return folder


def test_the_wheel_has_every_file_of_the_package_and_no_other(archives: Path) -> None:
    (wheel,) = archives.glob("*.whl")
    packed = {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
    assert packed == files_of(PACKAGE, PACKAGE.parent)


def test_the_source_archive_has_its_tests_and_their_files(archives: Path) -> None:
    (archive,) = archives.glob("*.tar.gz")
    with tarfile.open(archive) as packed:
        names = {name.partition("/")[2] for name in packed.getnames()}
    needed = {"README.md", "DEVELOPERS.md", "pyproject.toml", ".ci/run"}
    for folder in ("src/pratique", "tests", "docs"):
        needed |= files_of(ROOT / folder, ROOT)
    needed |= {path.relative_to(ROOT).as_posix() for path in ROOT.glob("examples/*/*.yaml")}
    assert needed <= names, sorted(needed - names)


def test_every_folder_of_code_is_a_package() -> None:
    folders = {path.parent for path in PACKAGE.rglob("*.py")}
    assert not [folder for folder in folders if not (folder / "__init__.py").exists()]
