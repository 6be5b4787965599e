"""From the length of a fish to the ammonia of its food."""

from __future__ import annotations

import pytest

from dosing_rooms import make_room
from pratique.figure import Figure
from pratique.water.ammonia import total_at_limit
from pratique.water.feeding import load_of, mass_of, outlook_for, ration_for
from pratique.water.standing import Standing, find_standing
from water_rooms import NOBODY, ONE_FISH, state


def residents(**changes):
    return make_room(**changes).residents


def test_a_mass_is_by_build_and_counted() -> None:
    (one,) = residents(**ONE_FISH)
    mass = mass_of(one)
    assert mass is not None
    assert (mass.value, mass.low, mass.high) == pytest.approx((28, 14, 56))
    (two,) = residents(animals=[{"species": "yellow tang", "size": "10 cm ± 1 cm", "count": 2, "tank": "q1"}])
    pair = mass_of(two)
    assert pair is not None
    assert (pair.value, pair.low, pair.high) == pytest.approx((56, 2 * 14 * 0.9**3, 2 * 56 * 1.1**3))


def test_a_fish_without_a_size_or_a_build_leaves_no_mass() -> None:
    tang = {"species": "yellow tang", "size": "10 cm", "tank": "q1"}
    for more in ({"species": "royal gramma"}, {"species": "bamboo shark", "size": "60 cm"}):
        other = {"tank": "q1", **more}
        load = load_of(residents(animals=[tang, other]))
        assert load.mass is None
        assert load.unknown == (other["species"],)
        assert load.working == ()
        assert ration_for(load) == (None, ())


def test_what_has_no_backbone_is_left_out_and_named() -> None:
    tang = {"species": "yellow tang", "size": "10 cm", "tank": "q1"}
    load = load_of(residents(animals=[tang, {"species": "turbo snail", "tank": "q1"}]))
    assert load.mass is not None
    assert load.mass.value == pytest.approx(28)
    assert load.left_out == ("turbo snail",)


def test_the_ration_is_three_in_a_hundred() -> None:
    food, steps = ration_for(load_of(residents(**ONE_FISH)))
    assert food is not None
    assert (food.value, food.low, food.high) == pytest.approx((0.84, 0.42, 1.68))
    assert [step.source for step in steps] == ["MEMORY", "COMMON"]
    assert steps[0].expression == "1 × 0.028 × 10.0^3, flat like a disc"


def test_an_outlook_says_what_half_a_change_a_day_holds() -> None:
    seen = state()
    outlook = outlook_for(seen, Figure.exact(2.0, "g"))
    assert outlook is not None
    assert outlook.forecast.per_day.value == pytest.approx(82.8 / 200)
    again = outlook_for(seen, Figure.exact(outlook.held_food, "g"))
    assert again is not None
    assert again.forecast.daily_share == pytest.approx(0.5)
    assert again.half_every == pytest.approx(24)


def test_where_one_change_a_day_is_too_little_half_of_it_oftener_holds_the_worst_case() -> None:
    found = standing(Figure(value=2.0, unit="g", low=1.0, high=4.0))
    assert found.outlook is not None
    assert found.state.conditions is not None
    assert found.outlook.forecast.daily_share is None
    assert found.outlook.half_every is not None
    limit = total_at_limit("ammonia_correct", found.state.conditions).low
    level = 0.0
    for _ in range(100):
        level = 0.5 * (level + found.outlook.forecast.per_day.high * found.outlook.half_every / 24)
    assert 2 * level == pytest.approx(limit)


def test_the_likely_share_is_that_of_the_middle() -> None:
    found = standing(**ONE_FISH)
    assert found.outlook is not None
    assert found.state.conditions is not None
    limit = total_at_limit("ammonia_correct", found.state.conditions)
    assert found.outlook.forecast.daily_share is None, "at the worst the tang is twice as heavy"
    assert found.outlook.likely_share == pytest.approx(found.outlook.forecast.per_day.value / limit.value)


def test_the_food_that_is_held_does_not_hang_on_how_well_the_ration_is_known() -> None:
    seen = state()
    sure = outlook_for(seen, Figure.exact(2.0, "g"))
    unsure = outlook_for(seen, Figure(value=2.0, unit="g", low=1.0, high=4.0))
    assert sure is not None
    assert unsure is not None
    assert unsure.held_food == pytest.approx(sure.held_food)


def test_no_food_no_ammonia() -> None:
    outlook = outlook_for(state(), Figure.exact(0.0, "g"))
    assert outlook is not None
    assert outlook.forecast.daily_share == 0
    assert outlook.forecast.to_correct is None
    assert outlook.half_every is None


@pytest.mark.parametrize("changes", [{"tanks__q1__salinity": None}, {"tanks__q1__temperature": "36 degC"}])
def test_without_figures_there_is_no_outlook(changes: dict[str, str | None]) -> None:
    assert outlook_for(state(**changes), Figure.exact(2.0, "g")) is None


def standing(food: Figure | None = None, **changes) -> Standing:
    seen = state(**changes)
    return find_standing(seen, seen.room.residents, food)


def test_the_daily_change_holds_the_worst_case_at_the_limit() -> None:
    found = standing(animals=[{"species": "yellow tang", "size": "7 cm", "tank": "q1"}])
    assert found.outlook is not None
    share, rise = found.outlook.forecast.daily_share, found.outlook.forecast.per_day
    conditions = found.state.conditions
    assert share is not None
    assert conditions is not None
    limit = total_at_limit("ammonia_correct", conditions).low
    level = 0.0
    for _ in range(300):
        level = (level + rise.high) * (1 - share)
    assert level + rise.high == pytest.approx(limit, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "note"),
    [
        (ONE_FISH | {"tanks__q1__cycled": "yes"}, "a living filter is on file"),
        ({}, "the mass of royal gramma is not known"),
        ({"animals": [{"species": "turbo snail", "tank": "q1"}]}, "nobody here is fed by weight"),
        (ONE_FISH | {"tanks__q1__temperature": None}, "salinity or temperature is not known"),
    ],
)
def test_where_nothing_is_forecast_the_reason_is_said(changes: dict[str, object], note: str) -> None:
    found = standing(**changes)
    assert found.outlook is None
    assert any(note in text for text in found.notes), found.notes


def test_an_empty_tank_has_nothing_to_forecast_and_nothing_to_say() -> None:
    found = standing(**NOBODY)
    assert found.outlook is None
    assert found.notes == ()


def test_what_was_taken_for_granted_is_said() -> None:
    snail = {"species": "turbo snail", "tank": "q1"}
    found = standing(animals=[*ONE_FISH["animals"], snail], tanks__q1__ph=None)
    said = " ".join(found.notes)
    assert "`cycled`" in said
    assert "high (8.4)" in said
    assert "no ration is counted for turbo snail" in said
    assert "cycled" not in " ".join(standing(**ONE_FISH, tanks__q1__cycled="no").notes)


def test_food_that_was_weighed_stands_before_the_ration() -> None:
    found = standing(Figure.exact(2.0, "g"))
    assert found.outlook is not None
    assert found.outlook.food.value == 2
