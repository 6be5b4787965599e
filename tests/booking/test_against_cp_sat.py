"""The search against OR-Tools CP-SAT, a general solver, on made-up cases: the same score, or a bound that holds."""

from __future__ import annotations

import pytest

from booking.cp_model import Model
from booking.made_up import case
from pratique.booking.solve import HOUSEHOLD, Solved, solve

GROUPS = range(6)
IN_EACH = 20
"""120 cases here; `python tests/benchmark/bench_book.py` compares more of them."""


def held(solved: Solved, best: tuple[tuple[int, ...], int, int]) -> None:
    """What is said of an answer is true of the best score that CP-SAT found."""
    if solved.is_best:
        assert solved.score == best
        return
    assert solved.score >= best
    assert solved.least_broken <= sum(best[0])
    if sum(best[0]) <= solved.broken:
        assert solved.least_wait <= best[1]


@pytest.mark.parametrize("group", GROUPS)
def test_the_best_score_is_that_of_cp_sat_and_the_picks_break_no_rule(group: int) -> None:
    unmet = 0
    for seed in range(group * IN_EACH, (group + 1) * IN_EACH):
        made = case(seed)
        solved, best = solve(made), Model(made).best()
        assert best is not None
        assert solved.is_best
        held(solved, best)
        assert Model(made).allows(solved.picks)
        unmet += solved.broken > 0
    assert 0 < unmet < IN_EACH


@pytest.mark.parametrize("seed", range(300, 320))
def test_the_bound_holds_where_the_search_was_given_up(seed: int) -> None:
    made = case(seed, most_wants=9)
    solved, best = solve(made, nodes=1), Model(made).best()
    assert best is not None
    held(solved, best)
    assert Model(made).allows(solved.picks)


@pytest.mark.parametrize("seed", (401, 403, 404))
def test_the_bound_holds_for_more_wishes_than_are_searched_to_the_end(seed: int) -> None:
    made = case(seed, most_wants=2 * HOUSEHOLD)
    solved, best = solve(made), Model(made).best(20)
    assert Model(made).allows(solved.picks)
    if best is not None:
        held(solved, best)


@pytest.mark.parametrize("seed", range(10))
def test_the_same_case_has_the_same_answer(seed: int) -> None:
    assert solve(case(seed, most_wants=8)) == solve(case(seed, most_wants=8))
