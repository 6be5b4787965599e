"""Kill writers by the thousand, crowd them, fill the disk; count what was acknowledged against what is there.

    python tests/logbook/torture.py [--kills N] [--crowds N] [--seed N]

Prints the counts; ends with 1 if anything acknowledged is missing or any line is garbled.
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import NoReturn

from writers import Tally, fill, gather, inspect, kill_one, side_by_side, start

PER_FILE = 25


def killed(folder: Path, kills: int, seed: int, *, cuts: bool) -> Tally:
    total = Tally()
    for first in range(0, kills, PER_FILE):
        path, tally = folder / f"{'cut' if cuts else 'kill'}{first}.log.jsonl", Tally()
        for number in range(first, min(first + PER_FILE, kills)):
            kill_one(path, tally, seed + number, cuts=cuts)
        add_up(total, path, tally)
    return total


def crowded(folder: Path, crowds: int, seed: int) -> Tally:
    total = Tally()
    for number in range(crowds):
        path, tally = folder / f"crowd{number}.log.jsonl", Tally()
        side_by_side(path, tally, seed + number, writers=6, kill=3, seconds=0.2)
        add_up(total, path, tally)
    return total


def add_up(total: Tally, path: Path, tally: Tally) -> None:
    inspect(path, tally)
    total.kills += tally.kills
    total.torn += tally.torn
    total.unacknowledged += tally.unacknowledged
    total.lost += tally.lost
    total.garbled += tally.garbled
    total.acknowledged |= {f"{path.name}/{id_}": text for id_, text in tally.acknowledged.items()}


def filled_by_limit(folder: Path) -> Tally:
    """A file that may not grow, in a child so that the limit dies with it."""
    path, tally = folder / "limit.log.jsonl", Tally()

    def act(acks: int) -> NoReturn:
        resource.setrlimit(resource.RLIMIT_FSIZE, (50_001, 50_001))
        told = Tally()
        error = fill(path, told)
        for id_, text in told.acknowledged.items():
            os.write(acks, f"{id_} {text}\n".encode())
        os._exit(0 if error is not None and error.problem.code == "L721" else 1)

    child, acks = start(act)
    gather(acks, tally)
    if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]):
        tally.garbled.append("the writer at the size limit")
    inspect(path, tally)
    if tally.torn:
        tally.garbled.append("a part of a line was left at the size limit")
    return tally


def filled_disk(folder: Path) -> Tally | None:
    """A tiny file system of its own, where one may be mounted; room is made again at the end."""
    mount = folder / "tiny"
    mount.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(mount)]
    try:
        if subprocess.run(words, capture_output=True, check=False).returncode:
            return None
    except OSError:
        return None
    try:
        path, ballast, tally = mount / "room.log.jsonl", mount / "ballast", Tally()
        ballast.write_bytes(b"x" * 100_000)
        error = fill(path, tally)
        if error is None or error.problem.code != "L721" or not path.read_bytes().endswith(b"\n"):
            tally.garbled.append(f"the full disk: {error and error.problem}")
        ballast.unlink()
        again = fill(path, tally, most=20)
        if again is not None:
            tally.garbled.append(f"after room was made: {again.problem}")
        inspect(path, tally)
        return tally
    finally:
        subprocess.run(["umount", str(mount)], check=False)


def report(what: str, tally: Tally | None, seconds: float) -> bool:
    if tally is None:
        print(f"{what:26} not possible here")
        return True
    print(
        f"{what:24} {tally.kills:6,} killed, {len(tally.acknowledged):7,} acknowledged, {len(tally.lost)} lost, "
        f"{len(tally.garbled)} garbled, {tally.torn:5,} torn lines set aside, "
        f"{tally.unacknowledged:5,} written but not acknowledged, {seconds:.1f} s"
    )
    for word in (*tally.lost[:5], *tally.garbled[:5]):
        print("    ", word)
    return tally.clean


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=4000)
    parser.add_argument("--crowds", type=int, default=50)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    good = True
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for what, act in (
            ("killed at random", lambda: killed(folder, given.kills // 2, given.seed, cuts=False)),
            ("killed inside of a write", lambda: killed(folder, given.kills - given.kills // 2, given.seed, cuts=True)),
            ("six side by side", lambda: crowded(folder, given.crowds, given.seed)),
            ("file that may not grow", lambda: filled_by_limit(folder)),
            ("full disk", lambda: filled_disk(folder)),
        ):
            began = time.perf_counter()
            good &= report(what, act(), time.perf_counter() - began)
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
