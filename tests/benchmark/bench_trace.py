"""A log of 10,000 and of 100,000 entries traced forward and backward: seconds, and their ratio. Asserts nothing.

python tests/benchmark/bench_trace.py [ROUNDS]

`mixed`: twelve waters, and fish, nets, rock and hands going between them all the time. `contacts` is gathering and
walking alone, `trace` the whole answer with the fold and the plan behind it.
"""

from __future__ import annotations

import datetime as dt
import random
import subprocess
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parent))

from bench_history import START, Writer, seconds

from pratique.contacts.gather import basis_of
from pratique.contacts.model import LEVELS
from pratique.contacts.near import drops_of
from pratique.contacts.spread import backward, forward
from pratique.contacts.trace import Request, make_trace, record_of
from pratique.contacts.whereabouts import whereabouts
from pratique.history.fold import History, fold
from pratique.logbook.book import Log, build_log
from pratique.problem import Refusal
from pratique.room.resolve import Room
from pratique.schedule.model import Plan
from schedule_rooms import build, tank

WATERS = 12
SPREAD = 20
"""Minutes between two entries."""


def mixed(count: int) -> tuple[Room, Log]:
    """The same habits for as long as it takes; the two lengths differ in years alone."""
    names = [f"tank {number}" for number in range(WATERS)]
    tanks = {name: tank("display" if name == "tank 0" else "ward") for name in names}
    animals = [{"species": "yellow tang", "name": f"tang {n}", "tank": name} for n, name in enumerate(names)]
    pairs = [{"between": [names[0], names[1]], "gap": "1 m"}, {"between": [names[2], names[3]], "gap": "9 m"}]
    room = build(tanks=tanks, animals=animals, batches={}, room={"distances": pairs})
    writer, chance = Writer(), random.Random(1)
    where = {str(animal["name"]): str(animal["tank"]) for animal in animals}
    for number in range(count):
        at = START + dt.timedelta(minutes=SPREAD * number)
        place = chance.choice(names)
        match number % 10:
            case 0:
                name = chance.choice(sorted(where))
                if where[name] != place:
                    writer.write("move", at, animals=(name,), **{"from": where[name]}, to=place)
                    where[name] = place
            case 1 | 2 | 3:
                writer.write("gear", at, gear=chance.choice(("red set", "white set")), tank=place)
            case 4:
                writer.write("dried", at, gear="red set")
            case 5:
                other = chance.choice([name for name in names if name != place])
                writer.write("move", at, things=("rock",), **{"from": other}, to=place)
            case 6:
                writer.write("dried", at, tank=place)
            case _:
                writer.write("fed", at, tank=place)
    return room, build_log(writer.entries)[0]


def walked(room: Room, history: History) -> None:
    """Every contact gathered, and three walks each way."""
    basis = basis_of(history, whereabouts(history, Plan(batches=(), problems=())))
    record = record_of(basis, drops_of(room, "amyloodinium"), "amyloodinium")
    for level in LEVELS:
        forward(record, [(("water", "tank 5"), START)], level)
        backward(record, [(("water", "tank 5"), history.at)], level)


def measure(count: int, rounds: int) -> None:
    """In a process of its own, so that nothing is kept from what was measured before."""
    room, log = mixed(count)
    at = log.entries[-1].at.astimezone(room.zone) + dt.timedelta(hours=1)
    history = fold(room, log, at)

    def trace() -> None:
        found = make_trace(room, fold(room, log, at), Request(kind="tank", name="tank 5", since=START))
        assert not isinstance(found, Refusal)

    print(seconds(lambda: walked(room, history), rounds), seconds(trace, rounds))


def measured_apart(count: int, rounds: int) -> list[float]:
    done = subprocess.run(
        [sys.executable, __file__, str(rounds), str(count)], check=True, capture_output=True, text=True
    )
    figures = [float(word) for word in done.stdout.split()]
    print(f"{count:>8,} entries: contacts {figures[0]:6.3f} s, the whole trace {figures[1]:6.3f} s")
    return figures


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    if len(sys.argv) > 2:
        measure(int(sys.argv[2]), rounds)
        return
    print(f"processor seconds, the least of {rounds} rounds; python {sys.version.split()[0]}")
    small, large = (measured_apart(count, rounds) for count in (10_000, 100_000))
    ratios = [after / before for before, after in zip(small, large, strict=True)]
    print(f"ratio: contacts {ratios[0]:.1f}, the whole trace {ratios[1]:.1f} (aim: at most 12)")


if __name__ == "__main__":
    main()
