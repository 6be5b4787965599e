"""The board of bookings while it is searched: what is put is there, and what is taken out leaves nothing behind."""

from __future__ import annotations

import random

import pytest

from booking.made_up import DAY, case
from pratique.booking.board import Board, merged
from pratique.booking.case import Pick, Taken


def state(board: Board) -> tuple[list[list[Taken]], list[dict[int, int]]]:
    return [list(stays) for stays in board.busy], [dict(load) for load in board.load]


@pytest.mark.parametrize("seed", range(30))
def test_what_is_taken_out_leaves_nothing_behind(seed: int) -> None:
    made, dice = case(seed), random.Random(seed)
    board = Board(made)
    empty = state(board)
    for wish, want in enumerate(made.wants):
        for number, way in enumerate(want.ways):
            waters = next((one for one in board.places(way) if board.limits_allow(way, one)), None)
            if not board.could(way) or waters is None:
                continue
            before = state(board)
            board.put(wish, Pick(number, waters))
            assert all(
                not board.is_free(water, leg.start, leg.end) for water, leg in zip(waters, way.legs, strict=True)
            )
            if dice.random() < 0.5:
                break
            assert board.take(wish) == Pick(number, waters)
            assert state(board) == before
    for wish in list(board.picks):
        board.take(wish)
    assert state(board) == empty


@pytest.mark.parametrize("seed", range(30))
def test_a_water_is_free_where_no_stay_touches_it(seed: int) -> None:
    board = Board(case(seed))
    first = min((stay.start for stays in board.busy for stay in stays), default=0)
    for water, stays in enumerate(board.busy):
        for start in range(first - 2 * DAY, first + 20 * DAY, DAY // 2):
            for length in (1, DAY, 4 * DAY):
                touched = any(stay.start < start + length and start < stay.end for stay in stays)
                assert board.is_free(water, start, start + length) is not touched


def test_stays_that_overlap_are_one() -> None:
    stays = [Taken(20, 30, "c"), Taken(5, 8, "b"), Taken(0, 10, "a"), Taken(30, 40, "d"), Taken(35, 50, "e")]
    assert merged(stays) == [Taken(0, 10, "a"), Taken(20, 30, "c"), Taken(30, 50, "d")]
