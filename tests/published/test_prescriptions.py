"""Sums of farms and pharmacopoeias, worked out from a prescription: the drug and the dose are a veterinarian's."""

from __future__ import annotations

import pytest

from prescribed_rooms import BATH, bath_course, food_course, prescribed_room
from validation import percent_off, record

POND = {"animals": [{"species": "royal gramma", "tank": "q1", "weight": "90 kg"}]}


def test_the_drug_and_the_feed_of_a_pond() -> None:
    """otc_03: 90 kg at 75 mg/kg is 6,750 mg a day; otc_04: at 1 % they eat 0.9 kg."""
    course = food_course(prescribed_room(**POND), food="0.9 kg")
    assert course.active.value == pytest.approx(6750)
    assert course.food.value == pytest.approx(900)
    off = percent_off(course.active.value, 6750)
    record("drug a day in medicated food", "arithmetic of a farm (otc_03)", off, "%", subject="dose")


@pytest.mark.parametrize(
    ("id_", "food", "kg_per_tonne"), [("otc_feed_1", "0.9 kg", 7.5), ("otc_feed_2", "1.8 kg", 3.75)]
)
def test_the_drug_in_a_tonne_of_feed(id_: str, food: str, kg_per_tonne: float) -> None:
    """75 mg/kg a day at 1 and at 2 % of the mass a day; mg/kg of food is g in a tonne."""
    course = food_course(prescribed_room(**POND), food=food)
    assert course.per_food.value / 1000 == pytest.approx(kg_per_tonne)
    off = percent_off(course.per_food.value / 1000, kg_per_tonne)
    record(f"drug in a tonne of feed, {food} a day", f"arithmetic of a farm ({id_})", off, "%", subject="dose")


def test_the_bath_of_a_raceway() -> None:
    """otc_01: 40 g/m3 in 5 × 2 × 0.4 m is 160 g of the drug."""
    raceway = {"shape": "box", "length": "5 m", "width": "2 m", "fill": "0.4 m"}
    given = BATH | {"dose": "40 g/m3"}
    course = bath_course(prescribed_room(given, tanks__q1__volume=raceway))
    assert course.dose.active.value == pytest.approx(160_000)
    assert course.dose.add.value == pytest.approx(1600), "of a powder of 100 mg/g"
    off = percent_off(course.dose.add.value, 1600)
    record(
        "prescribed powder of 100 mg/g for 40 g/m³ in a raceway",
        "arithmetic of a farm (otc_01)",
        off,
        "%",
        subject="dose",
    )


def test_a_tablet_of_the_salt_is_less_of_the_base() -> None:
    """cp_02: 500 mg of chloroquine phosphate stand for 300 mg of base."""
    given = BATH | {"drug": "chloroquine base", "dose": "1.5 mg/L", "product": "tablets", "every": "28 d"}
    tablet = {"active": "chloroquine phosphate", "strength": "500 mg per tablet as chloroquine phosphate"}
    course = bath_course(prescribed_room(given, shelf__tablets=tablet), "chloroquine-immersion")
    assert course.dose.add.value == pytest.approx(1.0, rel=0.01), "300 mg of base in 200 L"
    off = percent_off(course.dose.add.value, 1)
    against = "tablet convention, second-hand (cp_02)"
    record("tablets of chloroquine phosphate for a dose of base", against, off, "%", subject="dose")
    salt = given | {"drug": "chloroquine phosphate", "dose": "2.5 mg/L"}
    same = bath_course(prescribed_room(salt, shelf__tablets=tablet), "chloroquine-immersion")
    assert same.dose.add.value == pytest.approx(course.dose.add.value, rel=0.001)
