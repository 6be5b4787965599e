"""What a booking takes of the room's limits, and what the plan so far leaves of them, summed by hand.

Minutes are those of `work.yaml` (look 5, feed 5, test 5, change 15, dose 10, transfer 30, move 20, set-up 30); a
change is 25 % every third day (`routine.yaml`). All of them are our own estimates, no published figures.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from typing import Any

import pytest

from booking.test_wish_codes import AT, wish
from pratique.booking.book import Desk
from pratique.booking.case import Daily, Sets, Shelf, Store
from schedule_rooms import batch, build, room_data, tank

BARREL = {"volume": "40 L", "salinity": "35 g/kg", "made": "2027-02-20", "container": "barrel"}


def desk(*, ward: str = "no", **sections: Any) -> Desk:
    """Tanks of 60 L; 90 min of work a day, 30 L of water made a day into 120 L of containers, 40 L there now."""
    rooms = {
        "reef": tank("display", cycled="yes"),
        "ward": tank("ward", cycled=ward),
        "long": tank("observation"),
        "tub a": tank("transfer"),
        "tub b": tank("transfer"),
    }
    data = room_data(
        **{
            "tanks": rooms,
            "batches": {},
            "room": {"work": "90 min"},
            "water_making": {"per_day": "30 L", "containers": "120 L"},
            "mixed_water": [BARREL],
            **sections,
        }
    )
    return Desk(build(**data), None, AT)


def taken(of: Desk) -> tuple[dict[str, dict[int, int]], tuple[Any, ...]]:
    """Limit to day of the stay (0 is the arrival) to what the first way takes on it; and the steps of that way."""
    case, plots, _ = of.case([of.asked["x"]])
    steps = plots[0][0].steps
    found: dict[str, dict[int, int]] = defaultdict(dict)
    for use in case.wants[0].ways[0].uses:
        name = case.limits[use.limit].name
        day = use.at if name != "gear" else dt.date(1970, 1, 1).toordinal() + use.at // 1440
        found[name][day - steps[0].line.start.toordinal()] = use.amount
    return found, steps


def copper(of: str) -> tuple[dict[str, dict[int, int]], tuple[Any, ...]]:
    return taken(desk(ward=of, wishes={"x": wish("yellow tang", regimen="copper-hold")}))


def test_copper_in_a_ward_without_a_living_filter() -> None:
    """2.0 mg/L on day 1, the step to 2.25 on day 3; each change takes out 25 % of it, which is put back."""
    found, _ = copper("no")
    work = found["work"]
    assert [work[day] for day in range(-1, 7)] == [30, 15 + 20, 15 + 10, 15, 15 + 10 + 15, 15, 15, 15 + 15]
    assert [found["copper"].get(day, 0) for day in range(8)] == [0, 2000, 0, 250 + 562, 0, 0, 562, 0]
    assert max(found["copper"]) == 33  # the days in copper are over on day 34: what is changed then gets none
    water = found["mixed water"]
    assert [water.get(day, 0) for day in range(7)] == [1000, 0, 0, 250, 0, 0, 250]


def test_copper_in_a_ward_with_a_living_filter_takes_no_water_before_copper_is_taken_out() -> None:
    found, _ = copper("yes")
    work = found["work"]
    assert [work[day] for day in range(-1, 7)] == [0, 15 + 20, 15 + 10, 15, 15 + 10, 15, 15, 15]
    assert found["copper"] == {1: 2000, 3: 250}
    assert min(found["mixed water"]) == 34
    assert len(set(found["mixed water"].values())) == 1


def test_an_observation_tank_with_a_living_filter_is_not_tested_every_day() -> None:
    found, steps = copper("yes")
    day = steps[1].line.start.toordinal() - steps[0].line.start.toordinal()
    assert (steps[1].stage.kind, found["work"][day - 1], found["work"][day + 1]) == ("observation", 15 + 15, 10)


def test_transfers_take_a_set_a_tub_of_water_and_half_an_hour_at_each_move() -> None:
    """Moves on days 3, 6 and 9; on day 12 the fish go on into the ward, which is filled, set up the day before."""
    found, steps = taken(desk(wishes={"x": wish("yellow tang")}))
    assert steps[0].stage.kind == "transfers"
    assert found["gear"] == {3: 1, 6: 1, 9: 1, 12: 1}
    assert [found["mixed water"].get(day, 0) for day in range(0, 16, 3)] == [1000, 1000, 1000, 1000, 1000, 250]
    assert not {1, 2, 4, 5, 7, 8, 10, 11, 13, 14} & set(found["mixed water"])
    assert [found["work"][day] for day in (-1, 0, 1, 3, 11, 12)] == [30, 35, 15, 45, 45, 15 + 20]
    assert list(found["praziquantel"].values()) == [2000] * 3


def test_the_water_of_a_move_is_as_much_as_the_tub_holds_that_it_goes_to() -> None:
    """To and fro between two tubs, then on into the ward: the legs of the way are the two tubs and the ward."""
    of = desk(wishes={"x": wish("yellow tang")})
    case, _, _ = of.case([of.asked["x"]])
    way = case.wants[0].ways[0]
    water = [use for use in way.uses if case.limits[use.limit].name == "mixed water" and use.amount == 1000]
    assert [use.leg for use in sorted(water, key=lambda use: use.at)] == [0, 1, 0, 1, 2]
    assert [case.waters[way.legs[2].pool[0]]] == ["ward"]


def test_what_the_plan_so_far_takes_comes_first() -> None:
    """A batch of 5 March goes through three more tubs into the ward: 60 L each, counted once, on the day of the move.

    The changes of the ward take 15 L (25 % of 60 L); 2 mg/L of praziquantel in 60 L are 120 mg.
    """
    late = {"x": wish("yellow tang", earliest="2027-08-02T18:30", latest="2027-08-03")}
    of = desk(batches={"first": batch()}, wishes=late)
    limits = {limit.name: limit for limit in of.held.limits}
    work, water, gear = limits["work"], limits["mixed water"], limits["gear"]
    assert isinstance(work, Daily) and isinstance(water, Store) and isinstance(gear, Sets)
    assert (water.holds, water.per_day, water.stock, water.first) == (120_000, 30_000, 40_000, AT.toordinal())
    days = {f"{dt.date.fromordinal(day):%d.%m.}": litres // 1000 for day, litres in water.base.items()}
    tubs, changes = ("05.03.", "08.03.", "11.03.", "14.03.", "17.03."), ("21.03.", "24.03.", "29.03.", "01.04.")
    assert days == dict.fromkeys(tubs, 60) | dict.fromkeys(changes, 15)
    first = dt.date(2027, 3, 1).toordinal() - 1
    assert [work.base[first + day] for day in (4, 5, 6, 7, 8)] == [30, 20 + 15, 15, 15, 30 + 30 + 15]
    assert (len(gear.base), gear.most, gear.lasting) == (4, 2, 24 * 60)
    shelf = limits["praziquantel"]
    assert isinstance(shelf, Shelf)
    assert list(shelf.base.values()) == [120_000] * 3
    copper = limits["copper"]
    assert isinstance(copper, Shelf)
    assert (copper.bottles, dict(copper.base)) == (((None, 900 * 10 * 1000),), {})


@pytest.mark.parametrize("missing", ["work", "mixed water", "gear", "copper"])
def test_a_limit_of_which_the_file_says_nothing_is_named_and_not_held(missing: str) -> None:
    sections: dict[str, Any] = {"room": {"work": "90 min"}, "water_making": {"per_day": "30 L"}}
    match missing:
        case "work":
            del sections["room"]
        case "mixed water":
            del sections["water_making"]
        case "gear":
            sections["gear"] = {}
        case "copper":
            sections["shelf"] = {"bottle": {"active": "copper", "form": "chelated", "strength": "10 mg/mL as Cu"}}
    of = Desk(build(**room_data(wishes={"x": wish()}, **sections)), None, AT)
    assert of.held.unknown == (missing,)
    assert missing not in of.held.number
