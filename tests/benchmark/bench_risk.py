"""The two engines of the risk model against each other: the same mean chances, and the seconds each takes.

python tests/benchmark/bench_risk.py [HISTORIES]

For each plan and strain: the integrated mean chance, the simulated one with two standard errors, how far apart they are
in errors (where histories were cut, the truth lies between two ends, and the distance is to the nearer), and the
processor seconds of both. The plans last 90 days; 100,000 histories of each unless told. Then the seconds of a page.
"""

from __future__ import annotations

import math
import sys
import time

from pratique.risk.chances import chances
from pratique.risk.course import Course, series
from pratique.risk.draws import draws_of
from pratique.risk.regimens import tried_changes, tried_regimens
from pratique.risk.simulate import simulate
from pratique.risk.survival import chance

DEGREES = 26.0
WATCH = "observation"


def plan(stays: list[float], held: float = 0.0) -> Course:
    """So many hours in each tank, the rest of 90 days in the last; the first `held` hours under copper."""
    rest = 90 * 24.0 - sum(stays)
    spans = series([(hours, "transfers") for hours in stays] + [(rest, WATCH)], DEGREES, start=18.0)
    return Course(spans=spans, held=((spans[0].start, spans[0].start + held),) if held else ())


PLANS = {
    "4 transfers, 72 h": plan([72.0] * 4),
    "5 transfers, 48 h": plan([48.0] * 5),
    "14 d copper, clean tank": plan([14 * 24.0], 14 * 24.0),
    "30 d copper, same tank": plan([], 30 * 24.0),
    "watched": plan([]),
}


def page() -> None:
    """The processor seconds of all courses of a page and of the regimens beside it, which share their ends."""
    course = PLANS["4 transfers, 72 h"]
    start = time.process_time()
    chances("cryptocaryon", course)
    for days in range(4, 90, 14):
        chances("cryptocaryon", course.until(course.end - days * 24.0))
    changed = len(tried_changes("cryptocaryon", course))
    middle = time.process_time()
    beside = len(tried_regimens("cryptocaryon", DEGREES))
    end = time.process_time()
    print(f"page: 7 days of the curve and {changed} changes {middle - start:.2f} s")
    print(f"beside it: {beside} regimens {end - middle:.2f} s")


def main() -> None:
    histories = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    heads = ("integrated", "simulated", "± 2 se", "cut", "apart", "s", "s")
    print(f"{'plan':<24} {'strain':<7} " + " ".join(f"{head:>10}" for head in heads))
    for name, course in PLANS.items():
        for draws in draws_of("cryptocaryon"):
            start = time.process_time()
            integrated = float(chance(draws, course).mean())
            middle = time.process_time()
            found = simulate(draws, course, histories, seed=1)
            end = time.process_time()
            error = math.sqrt(max(integrated * (1 - integrated), 1 / histories) / histories)
            away = max(found.low - integrated, integrated - found.high, 0.0) / error
            print(
                f"{name:<24} {draws.strain.id:<7} {integrated:>10.4%} {found.low:>10.4%} {2 * error:>10.4%} "
                f"{found.cut:>10} {away:>10.1f} {middle - start:>10.2f} {end - middle:>10.2f}",
                flush=True,
            )
    page()


if __name__ == "__main__":
    main()
