"""A log of 10,000 and of 100,000 entries: seconds to read, to index and to add one more. Prints; asserts nothing.

python tests/benchmark/bench_log.py [ROUNDS]
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from pratique.logbook.amount import read_quantity
from pratique.logbook.entry import Common, Correction, Dose, Move, Reading, Sign, WaterChange
from pratique.logbook.file import append, read_log
from pratique.logbook.ids import Ids
from pratique.logbook.line import to_line

START = dt.datetime(2020, 1, 1, 8, tzinfo=dt.UTC)


def entries(count: int) -> list[Common]:
    """Years of a busy room: twenty tanks, ten minutes between entries, one in fifty set right later."""
    ids, made = Ids(), []
    for number in range(count):
        at = START + dt.timedelta(minutes=10 * number)
        common = {"id": ids.new(at), "at": at, "written": at, "tank": f"ward {number % 20}"}
        level = f"{(number % 400) / 100 + 0.01:g} mg/L"
        match number % 50:
            case 0 if number:
                of = made[-2].id
                made.append(Correction(id=common["id"], at=at, written=at, of=of, why="written under the wrong tank"))
            case 1 | 11 | 21:
                dose = read_quantity(f"{number % 90 + 1} mL", "amount")
                made.append(Dose(**common, treatment="copper-chelated", product="copper bottle", amount=dose))
            case 2 | 12:
                made.append(WaterChange(**common, volume=read_quantity("25 %", "share")))
            case 3:
                made.append(move(common))
            case 4:
                made.append(
                    Sign(**common, signs=("dust", "fast-breathing"), note="only the larger one, in the evening")
                )
            case _:
                made.append(Reading(**common, what="copper", value=read_quantity(level, "copper"), kit="copper meter"))
    return made


def move(common: dict[str, object]) -> Move:
    rest = {key: value for key, value in common.items() if key != "tank"}
    return Move.model_validate({**rest, "batch": "spring tangs", "from": "blue tub", "to": common["tank"]})


def seconds(act: Callable[[], object], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        act()
        times.append(time.perf_counter() - start)
    return min(times)  # other work on the machine only adds


def measure(count: int, path: Path, rounds: int) -> None:
    """In a process of its own, so that nothing is kept from what was measured before."""
    times = seconds(lambda: read_log(path), rounds)
    log, problems = read_log(path)
    assert not problems, problems[:3]
    assert len(log.written) == count
    end = log.entries[-1].at

    def index() -> object:
        fresh = replace(log)
        return fresh.by_tank, fresh.by_kind

    indexes = seconds(index, rounds)
    one = log.entries[-1].model_copy(update={"id": Ids().new(end + dt.timedelta(hours=1))})
    print(times, indexes, seconds(lambda: append(path, [one]), rounds))


def measured_apart(count: int, folder: Path, rounds: int) -> list[float]:
    path = folder / f"{count}.log.jsonl"
    path.write_bytes(b"".join(to_line(entry) + b"\n" for entry in entries(count)))
    words = [sys.executable, __file__, str(rounds), str(count), str(path)]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    figures = [float(word) for word in done.stdout.split()]
    print(
        f"{count:>8,} entries, {path.stat().st_size / 1e6:5.1f} MB: read {figures[0]:6.3f} s, "
        f"indexes {figures[1]:6.3f} s, add one {figures[2]:6.3f} s"
    )
    return figures


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    if len(sys.argv) > 3:
        measure(int(sys.argv[2]), Path(sys.argv[3]), rounds)
        return
    print(f"the least of {rounds} rounds; python {sys.version.split()[0]}")
    with tempfile.TemporaryDirectory() as name:
        small, large = (measured_apart(count, Path(name), rounds) for count in (10_000, 100_000))
    ratios = [after / before for before, after in zip(small, large, strict=True)]
    print(f"ratio: read {ratios[0]:.1f}, indexes {ratios[1]:.1f}, add one {ratios[2]:.1f} (aim: at most 12)")


if __name__ == "__main__":
    main()
