"""The best answer of a household's size, proven: every choice is tried that a bound does not rule out.

The cost of an answer is one whole number that orders like its `Score`: broken wishes by priority, then days of waiting,
then moves. Wishes are taken by priority; ways by their price; a branch ends where its bound reaches the best answer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pratique.booking.board import Board
from pratique.booking.bound import Bound, Prices
from pratique.booking.case import Case, Pick

ROUNDS = 120
"""Rounds of pricing at the root."""

MOST_EXACT = 2**36
"""Sums of prices up to this are true to SMALL as floats."""

SMALL = 1e-3


class Weights:
    """One whole number for a score: `broken` by the number of the wish, `way` for the days and moves."""

    def __init__(self, case: Case, wants: Sequence[int]) -> None:
        self.move = 1
        most_moves = sum(max((way.moves for way in case.wants[w].ways), default=0) for w in wants)
        self.wait = most_moves + 1
        most_wait = sum(max((way.wait for way in case.wants[w].ways), default=0) for w in wants)
        unit = self.wait * (most_wait + 1)
        self.broken: dict[int, int] = {}
        for level in sorted({case.wants[w].priority for w in wants}, reverse=True):
            mine = [w for w in wants if case.wants[w].priority == level]
            self.broken |= dict.fromkeys(mine, unit)
            unit *= len(mine) + 1
        self.costs = {
            w: [way.wait * self.wait + way.moves * self.move for way in case.wants[w].ways] for w in wants
        }

    def of(self, wants: Sequence[int], picks: dict[int, Pick]) -> int:
        """What these picks cost, with what the wishes without a pick do."""
        return sum(self.costs[w][picks[w].way] if w in picks else self.broken[w] for w in wants)


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The best picks, whether nothing can be better, a bound on the cost, and the nodes that were looked at."""

    picks: dict[int, Pick]
    cost: int
    bound: int
    nodes: int

    @property
    def is_proven(self) -> bool:
        return self.bound >= self.cost


class Exact:
    """One search. `start` is an answer known already; the search gives up after `most` nodes."""

    def __init__(self, case: Case, wants: Sequence[int], start: dict[int, Pick], most: int) -> None:
        self.case, self.wants, self.most = case, wants, most
        self._weights = Weights(case, wants)
        self._best, self._cost = dict(start), self._weights.of(wants, start)
        self._board = Board(case)
        self._ways: dict[int, list[tuple[float, int]]] = {}
        self._order: list[int] = []
        self._back, self._nodes = 0.0, 0

    def run(self) -> Found:
        """The best answer; where the search was given up, the best that was found, and a bound."""
        bound = self._price()
        root = math.ceil(bound.value - SMALL) if self._is_exact() else 0
        root = max(root, 0)
        if root >= self._cost:
            return Found(picks=self._best, cost=self._cost, bound=self._cost, nodes=0)
        self._order = sorted(self.wants, key=lambda w: (-self._weights.broken[w], len(self._ways[w]), w))
        first = dict.fromkeys(self.wants, 0)
        done = self._branch(0, 0, -self._back, first)
        return Found(picks=self._best, cost=self._cost, bound=self._cost if done else root, nodes=self._nodes)

    def _is_exact(self) -> bool:
        """Costs are exact as floats; in a case of very many wishes they are not, and no bound is claimed."""
        return sum(self._weights.broken.values()) < MOST_EXACT

    def _price(self) -> Bound:
        weights = self._weights
        prices = Prices(
            self.case,
            self.wants,
            [weights.costs[w] for w in self.wants],
            [weights.broken[w] for w in self.wants],
        )
        bound = prices.best(float(self._cost), ROUNDS)
        self._back = bound.back
        least = {}
        for w, priced in zip(self.wants, bound.priced, strict=True):
            least[w] = min(float(priced.min()) if len(priced) else math.inf, float(weights.broken[w]))
        slack = self._cost - 1 + SMALL - bound.value if self._is_exact() else math.inf
        for w, priced in zip(self.wants, bound.priced, strict=True):
            ordered = sorted((float(price), number) for number, price in enumerate(priced))
            # a way that lifts the bound to the best answer known is in no better one
            self._ways[w] = [entry for entry in ordered if entry[0] - least[w] <= slack]
        return bound

    def _branch(self, depth: int, spent: int, priced: float, first: dict[int, int]) -> bool:
        """False where the search was given up. `priced` is the bound's part of what is chosen already."""
        if depth == len(self._order):
            if spent < self._cost:
                self._cost, self._best = spent, dict(self._board.picks)
            return True
        self._nodes += 1
        if self._nodes > self.most:
            return False
        first, rest, plain = dict(first), 0.0, 0
        for w in self._order[depth:]:
            rest_price, rest_cost = self._least(w, first)
            rest, plain = rest + rest_price, plain + rest_cost
        if self._reaches(priced + rest) or spent + plain >= self._cost:
            return True
        w = self._order[depth]
        others = rest - self._least(w, first)[0]
        return self._try_ways(depth, w, spent, priced, others, first)

    def _try_ways(
        self, depth: int, w: int, spent: int, priced: float, others: float, first: dict[int, int]
    ) -> bool:
        broken = self._weights.broken[w]
        tried_broken = False
        for price, number in self._ways[w][first[w] :]:
            if price >= broken and not tried_broken:
                tried_broken = True
                if not self._reaches(priced + others + broken) and not self._branch(
                    depth + 1, spent + broken, priced + broken, first
                ):
                    return False
            if self._reaches(priced + others + price):
                break
            if not self._try_way(depth, w, number, spent, priced + price, first):
                return False
        if tried_broken or self._reaches(priced + others + broken):
            return True
        return self._branch(depth + 1, spent + broken, priced + broken, first)

    def _try_way(self, depth: int, w: int, number: int, spent: int, priced: float, first: dict[int, int]) -> bool:
        way, board = self.case.wants[w].ways[number], self._board
        cost = spent + self._weights.costs[w][number]
        for other in list(board.joins(w, way)):
            board.put(w, Pick(number, board.picks[other].waters, other))
            done = self._branch(depth + 1, cost, priced, first)
            board.take(w)
            if not done:
                return False
        if not board.could(way):
            return True
        for waters in list(board.places(way)):
            if not board.limits_allow(way, waters):
                continue
            board.put(w, Pick(number, waters))
            done = self._branch(depth + 1, cost, priced, first)
            board.take(w)
            if not done:
                return False
        return True

    def _reaches(self, bound: float) -> bool:
        """True where nothing better than the best answer can come of it: costs are whole numbers."""
        return self._is_exact() and bound > self._cost - 1 + SMALL

    def _least(self, w: int, first: dict[int, int]) -> tuple[float, int]:
        """The least price, and the least cost by itself, of a wish as things stand; `first` moves past what is shut."""
        ways, broken = self._ways[w], self._weights.broken[w]
        while first[w] < len(ways) and not self._is_open(w, ways[first[w]][1]):
            first[w] += 1
        if first[w] == len(ways):
            return float(broken), broken
        return min(ways[first[w]][0], float(broken)), 0

    def _is_open(self, w: int, number: int) -> bool:
        """What is shut stays shut further down, unless it can ride with another."""
        want = self.case.wants[w]
        return bool(want.mixable) or self._board.could(want.ways[number])
