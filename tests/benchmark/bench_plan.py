"""How the time of a plan grows: 500 tanks and 5,000 animals against a tenth of it.

python tests/benchmark/bench_plan.py

Prints the processor seconds of each size (the best of some runs) and their ratio; about 10 is linear. The rooms
are made up, and the same at every run.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from pratique.room.resolve import Room
from pratique.schedule.plan import make_plan
from schedule_rooms import batch, build, room_data, tank

SEED = 20270305
USES = ("display", *["transfer"] * 3, *["ward"] * 2, *["observation"] * 3, "reserve")
SPECIES = ("ocellaris clownfish", "yellow tang", "kole tang", "sixline wrasse", "coral beauty angelfish")
RUNS = 5


def made_up(tanks: int, batches: int) -> dict[str, Any]:
    """A shop with `tanks` waters of their own, and `batches` of ten animals over the year."""
    dice = random.Random(SEED)
    rack = {}
    for number in range(tanks):
        use = USES[number % len(USES)]
        litres, degrees = dice.randint(40, 400), dice.randint(24, 26)
        keys: dict[str, Any] = {"volume": {"measured": f"{litres} L"}, "temperature": f"{degrees} degC"}
        if use == "ward":
            keys["change"] = "25 % every 3 d"
        rack[f"tank {number:03}"] = tank(use, **keys)
    arriving = {}
    for number in range(batches):
        day, hour = dice.randint(0, 360), dice.choice(["08:00", "18:30", "20:15"])
        arrives = f"2027-{day // 30 % 12 + 1:02}-{day % 28 + 1:02}T{hour}"
        trust = dice.choice(["trusted", "unsure", "untrusted"])
        signs = dice.choice([[], [], [], ["white-spots"], ["dust"]])
        entry = batch(arrives, trust, *(dice.choice(SPECIES) for _ in range(10)), **({"signs": signs} if signs else {}))
        arriving[f"batch {number:03}"] = entry
    return room_data(tanks=rack, batches=arriving, room={"hours": "07:00-10:00, 17:00-22:00"})


def best_of(room: Room) -> float:
    """The least processor seconds of some runs: what else the machine does counts little."""
    found = []
    for _ in range(RUNS):
        start = time.process_time()
        make_plan(room)
        found.append(time.process_time() - start)
    return min(found)


def main() -> None:
    seconds = {}
    for tanks, batches in ((50, 50), (500, 500)):
        room = build(**made_up(tanks, batches))
        seconds[tanks] = best_of(room)
        whole = sum(plan.is_whole for plan in make_plan(room).batches)
        sys.stdout.write(f"{tanks} tanks, {batches} batches of 10, {whole} of them planned: {seconds[tanks]:.3f} s\n")
    sys.stdout.write(f"ratio {seconds[500] / seconds[50]:.1f} for ten times the room\n")


if __name__ == "__main__":
    main()
