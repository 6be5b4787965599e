"""A good answer fast: wishes put in one after the other, each as early as it fits; then some taken out and put in anew.

No clock and no chance: the orders tried and the wishes taken out come from a fixed sequence, so that the same room has
the same answer on any machine.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

from pratique.booking.board import Board
from pratique.booking.case import Case, Pick, Score, score

SEED = 20270305
MOST_OUT = 6
"""Sizes of what is taken out at a time, one after the other from two on."""


def insert(board: Board, want: int) -> bool:
    """Puts a wish in by the first of its ways that fits; True where it did."""
    case = board.case
    for number, way in enumerate(case.wants[want].ways):
        rider = next(board.joins(want, way), None)
        if rider is not None:
            board.put(want, Pick(number, board.picks[rider].waters, rider))
            return True
        waters = board.tightest(way)
        if waters is not None and board.limits_allow(way, waters):
            board.put(want, Pick(number, waters))
            return True
        if waters is not None and board.limits_allow(way, None):
            for other in board.places(way):
                if board.limits_allow(way, other):
                    board.put(want, Pick(number, other))
                    return True
    return False


def in_order(case: Case, order: Sequence[int]) -> Board:
    """Every wish of `order` put in as early as it fits, one after the other."""
    board = Board(case)
    for want in order:
        insert(board, want)
    return board


def first_answer(case: Case, wants: Sequence[int], tries: int) -> dict[int, Pick]:
    """The best of some orders: by priority, then by what comes first, what is shortest, what has least choice."""
    orders = [sorted(wants, key=lambda w: (case.wants[w].priority, *key(case, w), w)) for key in (_soon, _short, _few)]
    dice = random.Random(SEED)
    while len(orders) < tries:
        mixed = list(wants)
        dice.shuffle(mixed)
        orders.append(sorted(mixed, key=lambda w: case.wants[w].priority) if len(orders) % 2 else mixed)
    best: dict[int, Pick] | None = None
    least: Score | None = None
    for order in orders[: max(tries, 1)]:
        picks = in_order(case, order).picks
        found = _score(case, wants, picks)
        if least is None or found < least:
            best, least = picks, found
    return best or {}


def improve(case: Case, wants: Sequence[int], picks: dict[int, Pick], tries: int) -> dict[int, Pick]:
    """Takes out some wishes that stand in each other's way, puts them in anew in other orders, keeps what is better."""
    board = Board(case)
    for want, pick in sorted(picks.items(), key=lambda entry: entry[1].joins >= 0):
        board.put(want, pick)
    least = _score(case, wants, board.picks)
    dice = random.Random(SEED + 1)
    for number in range(tries):
        late = [w for w in wants if w not in board.picks or case.wants[w].ways[board.picks[w].way].wait > 0]
        if not late:
            break
        chosen = dice.choice(late)
        out = _near(board, wants, chosen, dice, 2 + number % MOST_OUT)
        before = dict(board.picks)
        for w in out:
            if w in board.picks:
                board.take(w)
        for w in [chosen, *(w for w in out if w != chosen)]:
            insert(board, w)
        for w in wants:
            if w not in board.picks and w not in out:
                insert(board, w)
        found = _score(case, wants, board.picks)
        if found <= least:
            least = found
        else:
            _put_back(board, before)
    return dict(board.picks)


def _put_back(board: Board, before: dict[int, Pick]) -> None:
    """The board as it was before."""
    for w in [w for w, pick in board.picks.items() if before.get(w) != pick]:
        board.take(w)
    missing = [w for w in before if w not in board.picks]
    for w in sorted(missing, key=lambda w: before[w].joins >= 0):
        board.put(w, before[w])


def _near(board: Board, wants: Sequence[int], chosen: int, dice: random.Random, count: int) -> list[int]:
    """`chosen` and some wishes that are in waters it could use at about its time, with all that ride with them."""
    case = board.case
    ways = case.wants[chosen].ways
    if not ways:
        return [chosen]
    pick = board.picks.get(chosen)
    first, last = ways[0].legs[0].start, ways[pick.way if pick is not None else len(ways) - 1].legs[-1].end
    pools = {water for leg in ways[0].legs for water in leg.pool}
    near = [
        w
        for w, other in board.picks.items()
        if w != chosen
        and w in set(wants)
        and any(
            water in pools and leg.start < last and first < leg.end
            for water, leg in zip(other.waters, case.wants[w].ways[other.way].legs, strict=True)
        )
    ]
    out = {chosen, *dice.sample(sorted(near), min(count, len(near)))}
    while True:
        riders = {w for w, other in board.picks.items() if other.joins in out} - out
        if not riders:
            return sorted(out)
        out |= riders


def _score(case: Case, wants: Sequence[int], picks: dict[int, Pick]) -> Score:
    kept = Case(
        waters=case.waters, volumes=case.volumes, taken=case.taken, limits=case.limits,
        wants=tuple(case.wants[w] for w in wants),
    )  # fmt: skip
    return score(kept, {place: picks[w] for place, w in enumerate(wants) if w in picks})


def _soon(case: Case, w: int) -> tuple[int, ...]:
    ways = case.wants[w].ways
    return (ways[0].legs[0].start if ways else 0,)


def _short(case: Case, w: int) -> tuple[int, ...]:
    ways = case.wants[w].ways
    return (ways[0].legs[-1].end - ways[0].legs[0].start if ways else 0,)


def _few(case: Case, w: int) -> tuple[int, ...]:
    return (len(case.wants[w].ways),)
