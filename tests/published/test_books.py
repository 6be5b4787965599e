"""Books: volumes of ponds and cisterns and copper sulfate by the pound."""

from __future__ import annotations

import pytest

from dosing_rooms import dose, make_room
from pratique.quantity import from_canonical
from pratique.water.volume import net_volume
from validation import percent_off, record

ROY = "Roy, Chari & Gaur 2015, Common Fish Farming Calculations"
WEATHERS = "Weathers 1913, Commercial Gardening, vol. 3, water tanks"
SPELLMAN = "Spellman & Whiting, Handbook of Mathematics and Statistics for the Environment, example 23.19"


def litres(**spec: str) -> float:
    return net_volume(make_room(tanks__q1__volume=spec).waters["q1"]).figure.value


def test_a_round_pond() -> None:
    """vol_cyl_03, ROY example 3.5: 80 m across, 1.5 m deep."""
    assert litres(shape="cylinder", diameter="80 m", fill="1.5 m") / 1000 == pytest.approx(7536, rel=1e-3)
    off = percent_off(litres(shape="cylinder", diameter="80 m", fill="1.5 m") / 1000, 7536)
    record(
        "round pond, 80 m across, in cubic metres", "textbook of fish farming (vol_cyl_03)", off, "%", subject="volume"
    )


def test_a_cistern_in_imperial_gallons() -> None:
    """vol_imp_01, WEATHERS: 6 × 3 × 4 ft; his 6.25 gal in a cubic foot is 0.34 % high."""
    found = litres(shape="box", length="6 ft", width="3 ft", fill="4 ft")
    assert from_canonical(found, "gal_imp", "volume") == pytest.approx(450, rel=5e-3)
    off = percent_off(from_canonical(found, "gal_imp", "volume"), 450)
    against = "gardening book, 6.25 gal to a cubic foot (vol_imp_01)"
    record("cistern of 6 × 3 × 4 ft in imperial gallons", against, off, "%", subject="volume")


def test_copper_sulfate_by_the_pound() -> None:
    """cu_lb_01, SPELLMAN: 0.5 mg/L Cu in 15 million US gal. A hundredth of it, which a room can hold."""
    salt = {"active": "copper", "form": "amine", "strength": "25 % w/w as Cu"}
    room = make_room(tanks__q1__volume={"measured": "150000 gal_us"}, **{"shelf__amine stock": salt})
    answer = dose("copper-amine", room, target="0.5 mg/L")
    assert from_canonical(answer.add.value, "lb", "mass") * 100 == pytest.approx(250, rel=5e-3)
    off = percent_off(from_canonical(answer.add.value, "lb", "mass") * 100, 250)
    record("copper sulfate in pounds for 0.5 mg/L", "handbook of statistics (cu_lb_01)", off, "%", subject="dose")
