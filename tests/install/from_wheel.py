"""Builds the archives, installs the wheel where no source is, and runs the program and its tests there. By hand.

python tests/install/from_wheel.py [--lowest] [--tests FOLDER …]

Needs a package index. The program runs from an empty folder, without the source tree. `--lowest` installs every library
at the lowest version that pyproject.toml allows. `--tests` runs these test folders, out of the source archive, against
the installed wheel. Run it with each Python that is to be supported.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tarfile
import tempfile
import tomllib
import venv
from pathlib import Path

ROOT = Path(__file__).parents[2]
CALLS = (
    ["--version"], ["start", "--demo"], ["check"], ["plan"], ["day"], ["trace", "reef"], ["fallow", "reef"], ["shelf"],
    ["book", "--animals", "2 ocellaris clownfish"], ["signs", "reef", "dust"], ["release", "spring tangs"],
    ["risk", "spring tangs"], ["log"], ["dose", "ward", "copper-chelated", "--off", "uv"], ["water", "reef"],
    ["dip", "freshwater-dip", "--for", "sixline wrasse"], ["why", "copper-chelated"],
    ["day", "--paper", "sheet.html"], ["plan", "--calendar", "plan.ics"], ["plan", "--json"],
)  # fmt: skip


def run(words: list[str | Path], folder: Path) -> None:
    subprocess.run([str(word) for word in words], cwd=folder, check=True)


def lowest(project: dict[str, list[str]]) -> list[str]:
    """Each library at its lower bound."""
    bounds = [re.match(r"([\w-]+)>=([\w.]+)", line) for line in project["dependencies"]]
    return [f"{bound[1]}=={bound[2]}" for bound in bounds if bound]


def main() -> None:
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--lowest", action="store_true")
    reader.add_argument("--tests", nargs="*", default=[])
    asked = reader.parse_args()
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    with tempfile.TemporaryDirectory() as name:
        scratch, empty = Path(name), Path(name) / "empty"
        empty.mkdir()
        for which in ("builder", "fresh"):
            venv.create(scratch / which, with_pip=True)
        builder, fresh = scratch / "builder" / "bin", scratch / "fresh" / "bin"
        run([builder / "pip", "install", "-q", "build"], scratch)
        run([builder / "python", "-m", "build", ROOT, "-o", scratch / "dist"], scratch)
        wheel, archive = next((scratch / "dist").glob("*.whl")), next((scratch / "dist").glob("*.tar.gz"))
        exact = lowest(project) if asked.lowest else []
        run([fresh / "pip", "install", "-q", wheel, *exact], scratch)
        for words in CALLS:
            done = subprocess.run([fresh / "pratique", *words], cwd=empty, capture_output=True, text=True, check=False)
            print(f"exit {done.returncode}  pratique {' '.join(words)}")
            if done.returncode > 1 or "Traceback" in done.stderr:
                sys.exit(done.stderr)
        if asked.tests:
            run([fresh / "pip", "install", "-q", *project["optional-dependencies"]["test"], *exact], scratch)
            with tarfile.open(archive) as packed:
                packed.extractall(scratch, filter="data")
            source = next(scratch.glob("pratique-*"))
            run([fresh / "python", "-c", "import pratique; assert 'site-packages' in pratique.__file__"], source)
            run([fresh / "python", "-m", "pytest", *asked.tests], source)


if __name__ == "__main__":
    main()
