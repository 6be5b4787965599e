"""What clashes where a wish cannot be met: by CP-SAT too it is impossible, and possible with any one of it lifted."""

from __future__ import annotations

import pytest

from booking.cp_model import Model
from booking.made_up import case
from pratique.booking.case import Case, Daily, Leg, Taken, Use, Want, Way
from pratique.booking.clash import Clash, clash_of, lifted
from pratique.booking.solve import solve

DAY = 1440


def can_all_come(made: Case, clash: Clash) -> bool:
    """By CP-SAT, a general solver: whether these wishes can all be met with these limits and waters kept."""
    best = Model(lifted(made, clash.wishes, clash.limits, clash.waters)).best()
    assert best is not None
    return not sum(best[0])


def one_less(clash: Clash) -> list[Clash]:
    """The clash without one wish, limit or water, each in turn."""
    wishes, limits, waters = clash.wishes, clash.limits, clash.waters
    return [
        *(Clash(wishes=tuple(w for w in wishes if w != x), limits=limits, waters=waters) for x in wishes),
        *(Clash(wishes=wishes, limits=tuple(n for n in limits if n != x), waters=waters) for x in limits),
        *(Clash(wishes=wishes, limits=limits, waters=tuple(n for n in waters if n != x)) for x in waters),
    ]


@pytest.mark.parametrize("seed", range(40))
def test_nothing_of_a_clash_can_be_left_out(seed: int) -> None:
    made = case(seed)
    solved = solve(made)
    for wish in (number for number in range(len(made.wants)) if number not in solved.picks):
        clash = clash_of(made, wish, sorted(solved.picks))
        assert clash is not None
        assert clash.is_smallest
        assert clash.wishes[0] == wish
        assert not can_all_come(made, clash)
        assert all(can_all_come(made, less) for less in one_less(clash) if less.wishes)
        assert clash == clash_of(made, wish, sorted(solved.picks))


def stay(pool: tuple[int, ...], start: int, days: int, *uses: Use) -> Want:
    way = Way(0, 0, (Leg(pool, start * DAY, (start + days) * DAY),), uses)
    return Want(name=f"from {start}", priority=1, ways=(way,))


def room(*wants: Want, taken: tuple[tuple[Taken, ...], ...] = ((), (), ()), **limits: int) -> Case:
    daily = tuple(Daily(name=name, most=most) for name, most in limits.items())
    return Case(waters=("a", "b", "c"), volumes=(1000, 1000, 1000), taken=taken, limits=daily, wants=wants)


def test_two_wishes_for_one_water_clash_over_it_and_nothing_else_is_named() -> None:
    made = room(stay((0,), 1, 5), stay((0,), 3, 5), stay((1, 2), 1, 5), work=10)
    assert clash_of(made, 1, [0, 2]) == Clash(wishes=(1, 0), limits=(), waters=(0,))


def test_three_wishes_for_two_waters_clash_over_both() -> None:
    made = room(*(stay((0, 1), 1, 5) for _ in range(3)), stay((2,), 1, 5))
    assert clash_of(made, 2, [0, 1, 3]) == Clash(wishes=(2, 0, 1), limits=(), waters=(0, 1))


def test_who_is_in_a_water_already_is_a_clash_of_one_wish_with_that_water() -> None:
    made = room(stay((0,), 1, 5), stay((0,), 9, 5), taken=((Taken(0, 2 * DAY, "wrasses"),), (), ()))
    assert clash_of(made, 0, [1]) == Clash(wishes=(0,), limits=(), waters=(0,))


def test_a_limit_that_is_too_small_for_two_is_named_with_both() -> None:
    made = room(stay((0,), 1, 5, Use(0, 2, 6)), stay((1,), 1, 5, Use(0, 2, 6)), work=10)
    assert clash_of(made, 0, [1]) == Clash(wishes=(0, 1), limits=(0,), waters=())


def test_a_wish_without_a_way_clashes_with_nothing_but_itself() -> None:
    made = room(Want(name="never", priority=1, ways=()), stay((0,), 1, 5))
    assert clash_of(made, 0, [1]) == Clash(wishes=(0,), limits=(), waters=())


def test_a_wish_that_can_be_met_has_no_clash() -> None:
    made = room(stay((0,), 1, 5), stay((0,), 9, 5))
    assert clash_of(made, 0, [1]) is None
