"""Every command in a shop's room with years of log: processor seconds, memory, and how both grow. Asserts nothing.

python tests/benchmark/bench_commands.py [ROUNDS]

Each call is a fresh process, start-up and all, in a rack of five systems, in a shop of twelve racks, and in the same
shop after three years (`shop.py`). The ratios stand in `docs/explanation/speed.md`.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from fresh import as_installed

AT = "2027-03-01T19:00"
"""The end of the logs that `shop.py` writes."""

COMMANDS = (
    "check",
    "plan",
    "plan {batch}",
    "day",
    "day --days 14",
    "log",
    "log --try reading {ward} ammonia 0.2 mg/L",
    "dose {ward} praziquantel-bath",
    "water {ward}",
    "dip freshwater-dip --for {batch}",
    "signs {ward} dust fast-breathing",
    "trace {ward}",
    "release {batch}",
    "fallow {ward}",
    "shelf",
    "book",
    "why D404",
)
MAKER = Path(__file__).with_name("shop.py")
SHOPS = (("a rack, a year", 1, 1), ("12 racks, a year", 12, 1), ("12 racks, 3 years", 12, 3))


def call(words: list[str], folder: Path, rounds: int) -> tuple[float, float]:
    """Processor seconds and the most memory in MB of a fresh process, each the least of `rounds` (two at least)."""
    seconds, memory = [], []
    environment = as_installed(folder.parent / "caches")
    for _ in range(rounds):
        began = subprocess.Popen(
            [sys.executable, "-m", "pratique", *words],
            cwd=folder,
            env=environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
        )
        assert began.stderr is not None
        complaint = began.stderr.read().decode()
        _, status, used = os.wait4(began.pid, 0)
        began.returncode = os.waitstatus_to_exitcode(status)
        assert began.returncode in (0, 1), complaint
        seconds.append(used.ru_utime + used.ru_stime)
        memory.append(used.ru_maxrss / 1024)
    return min(seconds), min(memory)


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    print(f"processor seconds and MB, the least of {rounds} fresh processes; python {sys.version.split()[0]}")
    with tempfile.TemporaryDirectory() as name:
        rooms = []
        for number, (_, racks, years) in enumerate(SHOPS):
            folder = Path(name) / str(number)
            rooms.append((folder, years))
            # by a process of its own: a child's memory counts from what its parent had
            subprocess.run([sys.executable, MAKER, folder, str(racks), str(years)], check=True)
        print(f"{'':44}" + "".join(f"{title:>20}" for title, _, _ in SHOPS) + "    room × 12   log × 3   MB × 3")
        for command in COMMANDS:
            found = []
            for folder, years in rooms:
                words = [word.format(batch=f"batch 0 {7 * years - 1}", ward="ward 0") for word in command.split()]
                found.append(call([*words, *([] if command.startswith("why") else ["--at", AT])], folder, rounds))
            (one, _), (twelve, before), (three, after) = found
            cells = "".join(f"{seconds:12.2f} s {mb:3.0f} MB" for seconds, mb in found)
            print(f"{command:44}{cells}{twelve / one:12.1f}{three / twelve:10.1f}{after / before:9.1f}", flush=True)


if __name__ == "__main__":
    main()
