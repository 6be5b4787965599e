"""A log of 10,000 and of 100,000 entries folded up and planned from: seconds, and their ratio. Asserts nothing.

python tests/benchmark/bench_history.py [ROUNDS]

Two rooms: `years`, in which the batches grow with the log, each with its series, course and watch written down; and
`busy`, in which one batch in copper has all of it: readings, doses and changes by the thousand.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from pratique.history.fold import fold
from pratique.logbook.amount import read_quantity
from pratique.logbook.book import Log, build_log
from pratique.logbook.entry import KINDS, Common
from pratique.logbook.ids import Ids
from pratique.room.resolve import Room
from pratique.schedule.changes import changes_since_yesterday
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.plan import make_plan
from schedule_rooms import batch, build, room_data, tank

START = dt.datetime(2020, 1, 1, 18, tzinfo=dt.UTC)
PER_BATCH = 500
"""Entries written of one batch in its half year."""

RACK = 20
"""Batches that are in the room at one time in `years`."""


class Writer:
    def __init__(self) -> None:
        self.entries: list[Common] = []
        self._ids = Ids()

    def write(self, kind: str, at: dt.datetime, **fields: Any) -> None:
        common = {"id": self._ids.new(at), "at": at, "written": at}
        self.entries.append(KINDS[kind].model_validate({**common, **fields}))


def years(count: int) -> tuple[Room, Log]:
    """Batch after batch, twenty at a time, each on its own rack of tanks, the same for both lengths."""
    number_of_batches = count // PER_BATCH
    racks: dict[str, Any] = {"reef": tank("display", cycled="yes")}
    for rack in range(min(RACK, number_of_batches)):
        keys = (("tub a", "transfer"), ("tub b", "transfer"), ("ward", "ward"), ("long", "observation"))
        racks.update({f"{name} {rack}": tank(use) for name, use in keys})
    begin = {n: START + dt.timedelta(days=200 * (n // RACK), hours=n % RACK) for n in range(number_of_batches)}
    arriving = {f"batch {n}": batch(at.isoformat()) for n, at in begin.items()}
    room = build(**room_data(tanks=racks, batches=arriving))
    writer = Writer()
    for number, at in begin.items():
        _one_batch(writer, f"batch {number}", number % RACK, at)
    return room, build_log(writer.entries)[0]


def _one_batch(writer: Writer, name: str, rack: int, at: dt.datetime) -> None:
    path = [f"tub a {rack}", f"tub b {rack}", f"tub a {rack}", f"tub b {rack}", f"ward {rack}"]
    writer.write("arrival", at, batch=name, tank=path[0])
    for step, where in enumerate(path[1:], 1):
        writer.write("move", at + dt.timedelta(hours=71 * step), batch=name, to=where)
        writer.write("dried", at + dt.timedelta(hours=71 * step + 2), tank=path[step - 1])
    powder = read_quantity("0.126 g", "amount")
    for day in (13, 21, 28):
        writer.write("dose", at + dt.timedelta(days=day), tank=f"ward {rack}", product="fluke powder", amount=powder)
    writer.write("move", at + dt.timedelta(days=31), batch=name, to=f"long {rack}")
    writer.write("move", at + dt.timedelta(days=170), batch=name, to="reef")
    level, where = read_quantity("0.25 mg/L", "ammonia"), f"long {rack}"
    for number in range(PER_BATCH - 15):
        moment = at + dt.timedelta(days=32, hours=6 * number)
        task = f"{name.replace(' ', '-')}/observation/look/0/{moment.date().isoformat()}"
        if number % 3:
            writer.write("done", moment, task=task)
        else:
            writer.write("reading", moment, tank=where, what="ammonia", value=level)


def busy(count: int) -> tuple[Room, Log]:
    """One batch in one ward, and entries as fast as one can write: two readings, then a dose, a change, a sign."""
    room = build(
        tanks={"reef": tank("display"), "ward": tank("ward"), "long": tank("observation")},
        batches={"x": batch(START.isoformat(), signs=["dust"])},
        values={"copper-chelated.course": {"value": "380 d", "reason": "to keep the clock busy"}},
    )
    writer = Writer()
    writer.write("arrival", START, batch="x", tank="ward")
    low, good = read_quantity("1.9 mg/L", "copper"), read_quantity("2.25 mg/L", "copper")
    some, share = read_quantity("0.5 mL", "amount"), read_quantity("5 %", "share")
    for number in range(1, count):
        at = START + dt.timedelta(minutes=5 * number)
        match number % 50:
            case 1:
                writer.write("dose", at, tank="ward", product="copper bottle", amount=some)
            case 2:
                writer.write("change", at, tank="ward", volume=share, product="copper bottle", amount=some)
            case 3:
                writer.write("gear", at, gear="red set", tank="ward")
            case 4:
                writer.write("reading", at, tank="ward", what="copper", value=low)
            case _:
                writer.write("reading", at, tank="ward", what="copper", value=good)
    return room, build_log(writer.entries)[0]


def seconds(act: Callable[[], object], rounds: int) -> float:
    times = []
    for _ in range(rounds):
        start = time.process_time()
        act()
        times.append(time.process_time() - start)
    return min(times)  # other work on the machine only adds


def measure(which: str, count: int, rounds: int) -> None:
    """In a process of its own, so that nothing is kept from what was measured before."""
    room, log = {"years": years, "busy": busy}[which](count)
    at = log.entries[-1].at.astimezone(room.zone) + dt.timedelta(days=2)
    fold_time = seconds(lambda: fold(room, log, at), rounds)
    history = fold(room, log, at)
    plan_time = seconds(lambda: make_plan(room, fold(room, log, at)), rounds)
    plan = make_plan(room, history)

    def page() -> None:
        lines_of_day(room, plan, history, at.date())
        changes_since_yesterday(room, plan, history)

    followed = sum(found.begun for found in plan.batches)
    print(fold_time, plan_time, seconds(page, rounds), followed)


def measured_apart(which: str, count: int, rounds: int) -> list[float]:
    words = [sys.executable, __file__, str(rounds), which, str(count)]
    done = subprocess.run(words, check=True, capture_output=True, text=True)
    figures = [float(word) for word in done.stdout.split()]
    print(
        f"{which:>6} {count:>8,} entries, {figures[3]:.0f} batches followed: fold {figures[0]:6.3f} s, "
        f"fold and plan {figures[1]:6.3f} s, day sheet and changes {figures[2]:6.3f} s"
    )
    return figures


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    if len(sys.argv) > 3:
        measure(sys.argv[2], int(sys.argv[3]), rounds)
        return
    print(f"processor seconds, the least of {rounds} rounds; python {sys.version.split()[0]}")
    for which in ("years", "busy"):
        small, large = (measured_apart(which, count, rounds) for count in (10_000, 100_000))
        fold_ratio, plan_ratio, page_ratio = (large[n] / small[n] for n in range(3))
        print(
            f"{which:>6} ratio: fold {fold_ratio:.1f}, fold and plan {plan_ratio:.1f}, "
            f"day sheet and changes {page_ratio:.1f} (aim: at most 12)"
        )


if __name__ == "__main__":
    main()
