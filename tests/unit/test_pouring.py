"""Water poured in, salt for a batch, and a tank that comes to a bag."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dosing_rooms import make_room
from pratique.problem import Refusal
from pratique.quantity import Measure, parse_measure
from pratique.room.resolve import Animal
from pratique.water.mixing import Portion, after_swap
from pratique.water.pouring import BagAnswer, MixAnswer, Pour, match_bag, pour_in, salt_batch
from pratique.water.salinity import gravity_of
from pratique.water.state import State
from water_rooms import NOBODY, state

FISH = make_room().residents
SEEN = state()


def litres(text: str) -> Measure:
    return parse_measure(text, "volume")


def mixed(pour: Pour, animals: tuple[Animal, ...] = FISH, seen: State = SEEN) -> MixAnswer:
    answer = pour_in(seen, pour, animals)
    assert isinstance(answer, MixAnswer)
    return answer


def bagged(bag: float, others: tuple[Animal, ...] = (), seen: State = SEEN) -> BagAnswer:
    answer = match_bag(seen, bag, others)
    assert isinstance(answer, BagAnswer)
    return answer


# --- pouring in ---------------------------------------------------------------------------------------


def test_on_top_and_in_place() -> None:
    answer = mixed(Pour(litres=litres("20 L"), salinity=30.0, temperature=15.0))
    assert answer.added.salinity.value == pytest.approx((200 * 34 + 20 * 30) / 220, abs=0.01)
    assert answer.added.litres.value == 220
    assert answer.swapped is not None
    assert answer.swapped.salinity.value == pytest.approx((180 * 34 + 20 * 30) / 200, abs=0.01)
    assert answer.swapped.litres.value == 200
    for blend, share in ((answer.added, 20 / 220), (answer.swapped, 20 / 200)):
        assert blend.temperature is not None
        assert blend.temperature.value == pytest.approx(25 - 10 * share, abs=0.02)


@given(st.floats(0.1, 190), st.floats(0, 80))
@settings(deadline=None, max_examples=60)
def test_salt_is_neither_made_nor_lost(volume: float, salinity: float) -> None:
    measure = Measure(volume, "L", volume, volume)
    answer = mixed(Pour(litres=measure, salinity=salinity, temperature=25.0))
    added = Portion(litres=volume, salinity=salinity).salt
    # the volume of a mixture is a little under the sum; salt per mass is what is kept
    mass = Portion(litres=200, salinity=34).mass + Portion(litres=volume, salinity=salinity).mass
    assert answer.added.salinity.value * mass == pytest.approx(Portion(litres=200, salinity=34).salt + added)
    assert answer.added.salinity.low <= answer.added.salinity.value <= answer.added.salinity.high


@given(st.floats(1, 199), st.floats(0, 80))
@settings(deadline=None, max_examples=60)
def test_in_place_agrees_with_a_swap(volume: float, salinity: float) -> None:
    answer = mixed(Pour(litres=Measure(volume, "L", volume, volume), salinity=salinity, temperature=25.0))
    assert answer.swapped is not None
    assert answer.swapped.salinity.value == pytest.approx(after_swap(200, 34, volume, salinity), abs=0.1)


def test_temperature_is_said_only_where_both_are_known() -> None:
    assert mixed(Pour(litres=litres("20 L"), salinity=30.0)).added.temperature is None
    cold = state(tanks__q1__temperature=None)
    assert mixed(Pour(litres=litres("20 L"), salinity=30.0, temperature=20.0), seen=cold).added.temperature is None


def test_more_than_the_tank_may_hold_is_not_put_in_place() -> None:
    assert mixed(Pour(litres=litres("199 L"), salinity=34.0)).swapped is not None
    assert mixed(Pour(litres=litres("199.5 L"), salinity=34.0)).swapped is None


@pytest.mark.parametrize(
    ("salinity", "warned"), [(34.0, False), (43.0, False), (45.0, True), (12.0, False), (0.0, True)]
)
def test_up_is_warned_of_sooner_than_down(salinity: float, warned: bool) -> None:
    answer = mixed(Pour(litres=litres("40 L"), salinity=salinity))
    assert [problem.code for problem in answer.problems] == (["W810"] if warned else [])


def test_a_great_fall_is_warned_of_and_an_empty_tank_bears_anything() -> None:
    pour = Pour(litres=litres("40 L"), salinity=0.0)
    deep = mixed(Pour(litres=litres("60 L"), salinity=0.0))
    assert [problem.code for problem in deep.problems] == ["W810"]
    assert "down by 10.0 g/kg" in deep.problems[0].message
    assert mixed(Pour(litres=litres("100 L"), salinity=0.0), animals=()).problems == ()
    assert mixed(pour, animals=()).problems == ()


def test_a_pour_into_unknown_water_is_refused() -> None:
    answer = pour_in(state(tanks__q1__salinity=None), Pour(litres=litres("20 L"), salinity=30.0), FISH)
    assert isinstance(answer, Refusal)
    assert answer.first.code == "W801"


# --- salt ---------------------------------------------------------------------------------------------


def test_salt_for_a_batch_with_its_range() -> None:
    answer = salt_batch(make_room(), litres("100 L"), 35.0, 25.0)
    assert (round(answer.salt.low), round(answer.salt.high)) == (3581, 4213)
    assert answer.fresh_water.value == pytest.approx(99.0, abs=0.1)
    assert (answer.left, answer.reaches, answer.problems) == (None, None, ())


def test_an_error_of_the_litres_widens_the_range() -> None:
    sure = salt_batch(make_room(), litres("100 L"), 35.0, 25.0)
    unsure = salt_batch(make_room(), litres("100 L ± 5 L"), 35.0, 25.0)
    assert unsure.salt.value == pytest.approx(sure.salt.value)
    assert unsure.salt.low == pytest.approx(sure.salt.low * 0.95)
    assert unsure.salt.high == pytest.approx(sure.salt.high * 1.05)
    assert unsure.fresh_water.low < unsure.fresh_water.value < unsure.fresh_water.high


@pytest.mark.parametrize(
    ("left", "word"), [("4.3 kg", ""), ("4 kg", "may be less"), ("3 kg", "is less"), ("0 kg", "is less")]
)
def test_the_shelf_is_looked_at(left: str, word: str) -> None:
    answer = salt_batch(make_room(salt={"left": left}), litres("100 L"), 35.0, 25.0)
    assert answer.left is not None
    assert answer.reaches == pytest.approx(100 * answer.left.value / answer.salt.high)
    if not word:
        assert answer.problems == ()
        return
    (problem,) = answer.problems
    assert (problem.code, problem.severity) == ("W808", "warning")
    assert word in problem.message


# --- the bag ------------------------------------------------------------------------------------------


def test_fresh_water_brings_the_tank_to_the_bag() -> None:
    answer = bagged(25.0)
    assert answer.way == "lower"
    assert answer.out is not None
    assert answer.fresh is not None
    assert after_swap(200, 34, answer.out.value, 0.0) == pytest.approx(25.0)
    assert answer.out.low / answer.out.high == pytest.approx(199 / 201)
    assert answer.days == pytest.approx((34 - 25) / 2)


@pytest.mark.parametrize(
    ("off", "way"), [(0.0, "release"), (-0.00099, "release"), (-0.00101, "lower"), (0.00101, "raise")]
)
def test_within_a_thousandth_of_gravity_nothing_is_done(off: float, way: str) -> None:
    """Practice B33."""
    step = gravity_of(34.5) - gravity_of(33.5)
    answer = bagged(34 + off / step)
    assert answer.way == way
    assert (answer.out is not None) is (way == "lower")


def test_the_span_to_let_go_in_is_a_thousandth_wide_on_either_side() -> None:
    answer = bagged(25.0)
    for end in (25.0 - answer.near, 25.0 + answer.near):
        assert abs(gravity_of(end) - gravity_of(25.0)) == pytest.approx(0.001, rel=0.01)


@pytest.mark.parametrize(
    ("bag", "others", "changes", "code"),
    [
        (25.0, (), {"tanks__q1__salinity": None}, "W801"),
        (10.9, (), {}, "W804"),
        (25.0, FISH, {}, "W807"),
    ],
)
def test_a_bag_is_refused(bag: float, others: tuple[Animal, ...], changes: dict[str, None], code: str) -> None:
    answer = match_bag(state(**NOBODY, **changes), bag, others)
    assert isinstance(answer, Refusal)
    assert answer.first.code == code


def test_others_in_the_tank_do_not_matter_where_nothing_is_done() -> None:
    assert bagged(34.0, FISH).way == "release"
    assert bagged(37.0, FISH).way == "raise"
