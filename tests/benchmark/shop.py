"""A made-up shop and its log, as files: systems in racks, batch after batch through them, a year of it or more.

python tests/benchmark/shop.py FOLDER [RACKS] [YEARS]

Writes FOLDER/fishroom.yaml and its log, the same at every run. A rack is five systems: two tubs, a ward, an observation
tank and a display; twelve racks are 60 systems. Seven batches a year go through each rack, in which everybody looks,
reads and writes as a shop should: about 750 entries a rack and year, the last batches on their way. It ends at `END`.
"""

from __future__ import annotations

import datetime as dt
import random
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from bench_history import Writer

from pratique.logbook.amount import read_quantity
from pratique.logbook.line import to_line
from schedule_rooms import FLUKE_POWDER, as_yaml, batch, room_data, tank

END = dt.datetime(2027, 3, 1, 19, tzinfo=dt.UTC)
"""The moment to ask for, as `--at`."""

BATCHES_A_YEAR = 7
SPECIES = ("ocellaris clownfish", "yellow tang", "kole tang", "sixline wrasse", "coral beauty angelfish")
PER_BATCH = 5
MEDICATED = 31
"""Days in tubs and ward, before the observation tank."""

WATCHED = 61
"""Days until the display."""


def shop(racks: int, years: int) -> tuple[dict[str, Any], Writer]:
    """The room file as data, and the log of `years` up to `END`."""
    dice, writer = random.Random(1), Writer()
    tanks: dict[str, Any] = {}
    batches: dict[str, Any] = {}
    for rack in range(racks):
        for name, use in (("tub a", "transfer"), ("tub b", "transfer"), ("ward", "ward"), ("long", "observation")):
            tanks[f"{name} {rack}"] = tank(use)
        tanks[f"display {rack}"] = tank("display", cycled="yes", volume={"measured": "400 L ± 5 L"})
        for name, at in _arrivals(rack, years):
            fish = [dice.choice(SPECIES) for _ in range(PER_BATCH)]
            batches[name] = batch(at.isoformat(), "untrusted", *fish, into=f"display {rack}")
            if at < END:
                _one_batch(writer, name, rack, at)
    writer.entries.sort(key=lambda entry: entry.at)
    wish = {**batch(), "earliest": "2027-04-01", "latest": "2027-06-01"}
    del wish["arrives"]
    shelf = {"fluke powder": FLUKE_POWDER}
    return room_data(tanks=tanks, batches=batches, shelf=shelf, wishes={"in spring": wish}), writer


def _arrivals(rack: int, years: int) -> Iterator[tuple[str, dt.datetime]]:
    """Evenly over the years; the last is still to come."""
    number = BATCHES_A_YEAR * years
    for n in range(number + 1):
        days = 365 * years * (n + 1) / (number + 1)
        at = END - dt.timedelta(days=365 * years) + dt.timedelta(days=int(days) + rack % 7)
        yield f"batch {rack} {n}", at.replace(hour=18)


def _one_batch(writer: Writer, name: str, rack: int, at: dt.datetime) -> None:
    """Four transfers, a bath against flukes in the ward, a watch, the display; looked at and fed every day."""

    def write(kind: str, days: float, **fields: Any) -> None:
        moment = at + dt.timedelta(days=days)
        if moment < END:
            writer.write(kind, moment, **fields)

    path = [f"tub a {rack}", f"tub b {rack}", f"tub a {rack}", f"tub b {rack}", f"ward {rack}", f"long {rack}"]
    days = [0, 71 / 24, 142 / 24, 213 / 24, 284 / 24, MEDICATED]
    write("arrival", 0, batch=name, tank=path[0])
    for before, where, day in zip(path, path[1:], days[1:], strict=False):
        write("move", day, batch=name, to=where)
        write("gear", day, gear="red set", tank=where)
        write("dried", day + 0.1, tank=before)
    for day in (13, 21):
        write("dose", day, tank=f"ward {rack}", product="fluke powder", amount=read_quantity("0.126 g", "amount"))
    write("move", WATCHED, batch=name, to=f"display {rack}")
    for day in range(WATCHED):
        where = next(there for there, since in zip(path[::-1], days[::-1], strict=True) if since <= day)
        write("fed", day + 0.55, tank=where)
        if day % 2:
            write("reading", day + 0.5, tank=where, what="ammonia", value=read_quantity("0.1 mg/L", "ammonia"))
        if day == 40:
            write("sign", day + 0.5, tank=where, signs=("scratching",))


def write_shop(folder: Path, racks: int, years: int) -> int:
    """How many entries its log has."""
    data, writer = shop(racks, years)
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "fishroom.yaml").write_text(as_yaml(data), "utf-8")
    (folder / "fishroom.log.jsonl").write_bytes(b"".join(to_line(entry) + b"\n" for entry in writer.entries))
    return len(writer.entries)


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[2:]]
    racks, years = (*numbers, *(12, 1)[len(numbers) :])
    entries = write_shop(Path(sys.argv[1]), racks, years)
    sys.stdout.write(f"{5 * racks} systems, {entries:,} entries; ask for --at {END.isoformat()}\n")
