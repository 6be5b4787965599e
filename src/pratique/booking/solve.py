"""The best answer to a case, how far from the best it may be, and what was done to know it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pratique.booking import greedy
from pratique.booking.bound import Prices
from pratique.booking.case import Case, Pick, Score, score
from pratique.booking.exact import Exact

HOUSEHOLD = 14
"""Up to so many wishes that stand in each other's way the answer is searched to the end."""

NODES = 40_000
"""Choices looked at before a search is given up and the gap is said instead."""

TRIES = 24
WIDE_TRIES = 2
WIDE_REPAIRS = 400

ROUNDS_BROKEN, ROUNDS_WAIT = 300, 60
"""Rounds of pricing for what is said of an answer that is not proven best: they decide how near the bound comes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Solved:
    """The picks by the number of the wish. `is_best` where it is proven that no answer is better.

    Else a best answer breaks at least `least_broken` wishes, and if it breaks no more than this one it has at least
    `least_wait` days of waiting in all.
    """

    picks: dict[int, Pick]
    score: Score
    is_best: bool
    least_broken: int
    least_wait: int
    nodes: int

    @property
    def broken(self) -> int:
        return sum(self.score[0])


def solve(case: Case, *, nodes: int = NODES) -> Solved:
    """Parts that share no water and no limit are solved each by itself."""
    picks: dict[int, Pick] = {}
    looked = 0
    proven: list[int] = []
    open_: list[int] = []
    for part in parts(case):
        found, is_proven, count = _solve_part(case, part, nodes)
        picks |= found
        looked += count
        (proven if is_proven else open_).extend(part)
    least_broken, least_wait = _value(case, proven, picks)
    if open_:
        broken, wait = _bounds(case, open_, *_value(case, open_, picks))
        least_broken, least_wait = least_broken + broken, least_wait + wait
    return Solved(
        picks=picks, score=score(case, picks), is_best=not open_,
        least_broken=least_broken, least_wait=least_wait, nodes=looked,
    )  # fmt: skip


def _solve_part(case: Case, part: Sequence[int], nodes: int) -> tuple[dict[int, Pick], bool, int]:
    """The picks, whether they are proven best, and the choices looked at."""
    small = len(part) <= HOUSEHOLD
    start = greedy.first_answer(case, part, TRIES if small else WIDE_TRIES)
    if all(w in start and not case.wants[w].ways[start[w].way].wait for w in part) and _fewest_moves(case, start):
        return start, True, 0
    if not small:
        return greedy.improve(case, part, start, WIDE_REPAIRS), False, 0
    found = Exact(case, part, greedy.improve(case, part, start, 4 * len(part)), nodes).run()
    return found.picks, found.is_proven, found.nodes


def _value(case: Case, part: Sequence[int], picks: dict[int, Pick]) -> tuple[int, int]:
    wait = sum(case.wants[w].ways[picks[w].way].wait for w in part if w in picks)
    return sum(w not in picks for w in part), wait


def _fewest_moves(case: Case, picks: dict[int, Pick]) -> bool:
    return all(
        case.wants[w].ways[pick.way].moves == min(way.moves for way in case.wants[w].ways) for w, pick in picks.items()
    )


def _bounds(case: Case, part: Sequence[int], broken: int, wait: int) -> tuple[int, int]:
    """Wishes that must be broken in any answer; days that must be waited with as many broken as here."""
    import math

    nothing = [[0.0] * len(case.wants[w].ways) for w in part]
    first = Prices(case, part, nothing, [1.0] * len(part)).best(float(broken), ROUNDS_BROKEN)
    least_broken = max(math.ceil(first.value - 1e-6), sum(not case.wants[w].ways for w in part), 0)
    waits = [[float(way.wait) for way in case.wants[w].ways] for w in part]
    longest = max((way.wait for w in part for way in case.wants[w].ways), default=0)
    least_wait = 0.0
    tried = {0.0, longest / 4, longest / 2, float(longest + 1)} if broken else {float(longest + 1) * len(part)}
    for price in sorted(tried):
        second = Prices(case, part, waits, [price] * len(part)).best(wait + price * broken, ROUNDS_WAIT)
        least_wait = max(least_wait, second.value - price * broken)
    return min(least_broken, broken), min(max(math.ceil(least_wait - 1e-6), 0), wait)


def parts(case: Case) -> list[list[int]]:
    """Wishes that may stand in each other's way, in groups: by the waters and the limits they could use."""
    parent = list(range(len(case.wants)))

    def root(number: int) -> int:
        while parent[number] != number:
            parent[number] = parent[parent[number]]
            number = parent[number]
        return number

    first: dict[tuple[str, int], int] = {}
    for number, want in enumerate(case.wants):
        pools = {leg.pool for way in want.ways for leg in way.legs}
        shared = {("water", water) for pool in pools for water in pool}
        shared |= {("limit", use.limit) for way in want.ways for use in way.uses}
        for what in shared:
            other = first.setdefault(what, number)
            parent[root(number)] = root(other)
    groups: dict[int, list[int]] = {}
    for number in range(len(case.wants)):
        groups.setdefault(root(number), []).append(number)
    return sorted(groups.values())
