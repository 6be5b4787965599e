"""Start-up as ratios to importing what a command stands on. Prints; asserts nothing.

python tests/benchmark/bench_startup.py [ROUNDS]
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from fresh import as_installed

CLICK = "import click"
FLOOR = """
import click, pydantic, pint, yaml, rich
class M(pydantic.BaseModel):
    a: int
pint.UnitRegistry().Quantity(1, 'm')
"""
OWN = "import click, yaml, pydantic"


def processor_ms(arguments: list[str], rounds: int, folder: Path) -> float:
    """Processor time of a fresh process, the least of `rounds`: what else the machine does hardly enters it."""
    environment = as_installed(folder / "caches")
    times = []
    for _ in range(rounds + 1):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *arguments], cwd=folder, env=environment, capture_output=True, check=False)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        times.append((after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime) * 1000)
    return min(times[1:])  # the first fills the byte-code caches


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        subprocess.run(
            [sys.executable, "-m", "pratique", "start", "--demo"], cwd=folder, check=True, capture_output=True
        )
        click, own, floor = (processor_ms(["-c", code], rounds, folder) for code in (CLICK, OWN, FLOOR))
        print(f"processor time, least of {rounds} fresh processes; python {sys.version.split()[0]}")
        print(f"import click                                   {click:7.0f} ms")
        print(f"import click, yaml, pydantic                   {own:7.0f} ms")
        print(f"the five libraries, one model, pint's registry {floor:7.0f} ms")
        for words, against, what, aim in (
            (["--version"], click, "import click", "2.0"),
            (["why", "D404"], click, "import click", "-"),
            (["check"], own, "click, yaml, pydantic", "-"),
            (["dose", "ward", "copper-chelated", "--off", "uv"], floor, "the five", "1.0"),
            (["plan"], floor, "the five", "1.2"),
            (["day"], floor, "the five", "1.2"),
        ):
            took = processor_ms(["-m", "pratique", *words], rounds, folder)
            print(f"pratique {' '.join(words):38} {took:7.0f} ms = {took / against:4.2f} × {what} (aim {aim})")


if __name__ == "__main__":
    main()
