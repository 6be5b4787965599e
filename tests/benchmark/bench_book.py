"""Bookings beside OR-Tools CP-SAT: the same objective, gap, seconds, growth, and a shop's year. Asserts nothing.

python tests/benchmark/bench_book.py [CASES]

`made up` are the cases of the tests, solvable and not. `shop` are rooms of rising size up to 200 tanks and 400 batches
in a year, which are far beyond what is searched to the end: their gap is the one that is stated.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TypeVar

sys.path.insert(0, str(Path(__file__).parents[1]))

from booking.cp_model import Model
from booking.made_up import DAY, FIRST, case
from pratique.booking.case import Case, Daily, Leg, Use, Want, Way
from pratique.booking.solve import solve

T = TypeVar("T")
SPAN = 14
"""Days each batch of the shop could come on."""


def timed(call: Callable[[], T]) -> tuple[T, float]:
    start = time.perf_counter()
    found = call()
    return found, time.perf_counter() - start


def cp_sat(made: Case, seconds: float) -> tuple[tuple[int, ...], int, int] | None:
    return Model(made).best(seconds)


def shop(tanks: int, batches: int, watch: int = 30, seed: int = 7) -> Case:
    """A year of batches: 14 d of transfers in two tubs or 30 d in a ward, then `watch` days; so much work a day."""
    dice = random.Random(seed)
    tubs, wards = tanks // 4, tanks // 4
    pools = (tuple(range(tubs)), tuple(range(tubs, tubs + wards)), tuple(range(tubs + wards, tanks)))
    wants = []
    for number in range(batches):
        earliest, transfers = dice.randint(0, 365 - SPAN), dice.random() < 0.4
        ways = []
        for wait in range(SPAN):
            day = FIRST + earliest + wait
            first = 14 if transfers else 30
            start, middle, end = day * DAY + 600, (day + first) * DAY + 600, (day + first + watch) * DAY + 600
            legs = [Leg(pools[0], start, middle + DAY)] * 2 if transfers else [Leg(pools[1], start, middle + DAY)]
            uses = tuple(Use(0, day + at, 20 if at % 3 == 0 else 10) for at in range(first))
            ways.append(Way(wait, 5 if transfers else 1, (*legs, Leg(pools[2], middle, end + DAY)), uses))
        wants.append(Want(name=f"batch {number}", priority=1 + number % 3, ways=tuple(ways)))
    work = Daily(name="work", most=4 * tanks)
    return Case(
        waters=tuple(f"tank {n}" for n in range(tanks)), volumes=(60_000,) * tanks, taken=((),) * tanks,
        limits=(work,), wants=tuple(wants),
    )  # fmt: skip


def made_up(count: int, most: int) -> None:
    ours = theirs = 0.0
    same = proven = unmet = worse = 0
    for seed in range(count):
        made = case(10_000 + seed, most_wants=most)
        solved, seconds = timed(partial(solve, made))
        ours += seconds
        best, seconds = timed(partial(cp_sat, made, 60))
        theirs += seconds
        same += solved.score == best
        proven += solved.is_best
        unmet += solved.broken > 0
        worse += solved.is_best and solved.score != best
    print(
        f"made up, up to {most:2} wishes: {count} cases, {unmet} unsolvable; same objective {same}, "
        f"proven best {proven}, proven but not the same {worse}; "
        f"ours {ours:.2f} s, CP-SAT {theirs:.2f} s, ratio {ours / theirs:.2f}"
    )


def shops(watch: int) -> None:
    before = 0.0
    for tanks, batches in ((25, 50), (50, 100), (100, 200), (200, 400)):
        made = shop(tanks, batches, watch)
        solved, seconds = timed(partial(solve, made))
        grown = f", {seconds / before:.1f} times the half" if before else ""
        print(
            f"shop, {tanks} tanks, {batches} batches, {watch} d of watching: {seconds:.2f} s{grown}; "
            f"broken {solved.score[0]} "
            f"(at least {solved.least_broken}), waiting {solved.score[1]} d (at least {solved.least_wait}), "
            f"{'proven best' if solved.is_best else 'not proven'}"
        )
        before = seconds
        if batches <= 50:
            best, seconds = timed(partial(cp_sat, made, 60))
            said = best if best is not None else "a part of the score took more than 60 s"
            print(f"    CP-SAT: {said}, {seconds:.2f} s")


if __name__ == "__main__":
    cases = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    for size, share in ((6, 1), (10, 3), (14, 10)):
        made_up(max(cases // share, 1), size)
    for days in (30, 75, 90):
        shops(days)
