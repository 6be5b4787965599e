"""Sums that need no source: stock solutions, steps of copper, peroxide, dye, new water, traps in print."""

from __future__ import annotations

from itertools import pairwise

import pytest

from dosing_rooms import dose, make_room
from pratique.dosing.level import after_adding, amount_for
from pratique.dosing.product import active_of
from pratique.figure import Figure
from pratique.quantity import from_canonical, parse_measure
from pratique.water.dilution import after_change
from pratique.water.volume import net_volume
from validation import percent_off, record

NOTHING = Figure.exact(0.0, "mg/L")


def litres(**spec: str) -> float:
    return net_volume(make_room(tanks__q1__volume=spec).waters["q1"]).figure.value


def test_a_circular_tank_in_cubic_metres() -> None:
    """vol_cyl_02, arithmetic: 7.5 m across, 2 m deep."""
    assert litres(shape="cylinder", diameter="7.5 m", fill="2 m") / 1000 == pytest.approx(88.35, rel=1e-3)
    off = percent_off(litres(shape="cylinder", diameter="7.5 m", fill="2 m") / 1000, 88.35)
    record("round tank, 7.5 m across, in cubic metres", "arithmetic (vol_cyl_02)", off, "%", subject="volume")


def test_us_gallons_from_inches() -> None:
    """vol_formula_01, trap: 192 × 30 × 20 in is 498.7 US gal, not the printed 469."""
    found = litres(shape="box", length="192 in", width="30 in", fill="20 in")
    assert from_canonical(found, "gal_us", "volume") == pytest.approx(498.7, rel=1e-3)
    off = percent_off(from_canonical(found, "gal_us", "volume"), 498.7)
    against = "arithmetic; the printed 469 is a slip (vol_formula_01)"
    record("box of 192 × 30 × 20 in, in US gallons", against, off, "%", subject="volume")


def test_copper_in_a_stock_of_the_pentahydrate() -> None:
    """cu_stock_01: 1 g in 250 mL, 25.45 % copper."""
    stock = {"active": "copper", "form": "ionic", "strength": f"{1 / 0.25:g} g/L as CuSO4.5H2O"}
    found = active_of(make_room(**{"shelf__ionic stock": stock}), "ionic stock")
    assert found.per_unit == pytest.approx(1.0, rel=0.02)
    assert found.per_unit == pytest.approx(1.01802, rel=1e-4)
    against = "printed, rounded: 1 mg in a mL (cu_stock_01)"
    what = "copper in a stock of 1 g of the pentahydrate in 250 mL"
    record(what, against, percent_off(found.per_unit, 1), "%", subject="dose")
    record(what, "atomic weights (cu_stock_01)", percent_off(found.per_unit, 1.01802), "%", subject="dose")


def test_stock_for_200_litres() -> None:
    """cu_dose_01: 30 mL of 1 mg/mL to 0.15 mg/L; 30 `grams` in print is a slip."""
    answer = dose("copper-ionic", make_room(tanks__q1__volume={"measured": "200 L"}), target="0.15 mg/L")
    assert (answer.add.value, answer.add.unit) == (pytest.approx(30, abs=0.1), "mL")
    assert answer.active.value == pytest.approx(30)
    off = percent_off(answer.add.value, 30)
    against = "printed sum; its unit is a slip (cu_dose_01)"
    record("copper stock of 1 mg/mL for 0.15 mg/L in 200 L", against, off, "%", subject="dose")


def test_amine_copper_in_two_equal_steps() -> None:
    """cu_dose_02: 0.25 mg/L each, 48 h apart, ceiling 0.6."""
    answer = dose("copper-amine", target="0.5 mg/L")
    levels = [0.0, *(step.after.value for step in answer.steps)]
    assert [after - before for before, after in pairwise(levels)] == pytest.approx([0.25, 0.25], rel=0.02)
    assert (answer.steps[1].at - answer.steps[0].at).total_seconds() == 48 * 3600
    assert answer.band.high == 0.6
    off = percent_off(levels[1], 0.25)
    record("first of two equal steps of amine copper", "printed: 0.25 mg/L each (cu_dose_02)", off, "%", subject="dose")


def test_the_level_of_a_dye() -> None:
    """mb_01: 5 mL of 2.303 % methylene blue in 10 US gal is 3 mg/L."""
    room = make_room(tanks__q1__volume={"measured": "10 gal_us"})
    blue, water = active_of(room, "blue"), net_volume(room.waters["q1"]).figure
    assert after_adding(5 * blue.per_unit, NOTHING, water, blue).value == pytest.approx(3, rel=0.03)
    assert dose("methylene-blue-bath", room).add.value == pytest.approx(5, rel=0.03)
    off = percent_off(after_adding(5 * blue.per_unit, NOTHING, water, blue).value, 3)
    against = "printed, rounded: 3 mg/L (mb_01)"
    record("level after 5 mL of dye of 2.303 % in 10 US gal", against, off, "%", subject="dose")


def test_a_bath_in_a_raceway() -> None:
    """otc_01: 40 g/m3 in 5 × 2 × 0.4 m of water is 160 g; the sum only, the drug is a veterinarian's."""
    room = make_room(
        shelf__drug={"active": "metronidazole", "strength": "100 % w/w as metronidazole"},
        tanks__q1__volume={"shape": "box", "length": "5 m", "width": "2 m", "fill": "0.4 m"},
    )
    drug, water = active_of(room, "drug"), net_volume(room.waters["q1"]).figure
    level = parse_measure("40 g/m3", "level").value
    added = amount_for(level, before=NOTHING, water=water, strength=drug, ceiling=None)
    assert added.active / drug.per_unit == pytest.approx(160)
    off = percent_off(added.active / drug.per_unit, 160)
    record("pure powder for 40 g/m³ in a raceway", "arithmetic of a farm (otc_01)", off, "%", subject="dose")


@pytest.mark.parametrize(
    ("id_", "strength", "volume", "target", "millilitres", "tolerance"),
    [
        ("h2o2_03", "6 % w/v as H2O2", "25 L", "60 mg/L", 25.0, 1e-9),
        ("h2o2_04", "35 % w/w as H2O2, density 1.132 g/mL", "1000 L", "50 mg/L", 126.2, 5e-3),
    ],
)
def test_peroxide(id_: str, strength: str, volume: str, target: str, millilitres: float, tolerance: float) -> None:
    """Arithmetic; 35 % w/w holds 396.1 mg in a mL (from memory), taking it as w/v is 13 % too much."""
    bottle = {"active": "peroxide", "strength": strength}
    room = make_room(tanks__q1__volume={"measured": volume}, shelf__peroxide=bottle)
    assert dose("peroxide-bath", room, target=target).add.value == pytest.approx(millilitres, rel=tolerance)
    off = percent_off(dose("peroxide-bath", room, target=target).add.value, millilitres)
    what = f"peroxide of {strength.partition(' as')[0]} for {target}, {volume}"
    record(what, f"arithmetic ({id_})", off, "%", subject="dose")


def test_what_goes_into_the_new_water() -> None:
    """wc_08: 25 % of 120 L at 0.40 mg/L is 12 mg; without it 0.30 is left; evaporated water gets none."""
    room = make_room(tanks__q1__volume={"measured": "120 L"})
    answer = dose("praziquantel-bath", room, target="0.4 mg/L", reading="0.4 mg/L", change_share=0.25)
    assert answer.active.value == pytest.approx(12)
    assert answer.after.value == pytest.approx(0.4)
    off = percent_off(answer.active.value, 12)
    record("drug in the new water of a change of a quarter", "arithmetic (wc_08)", off, "%", subject="dilution")
    assert after_change(0.4, 0.25) == pytest.approx(0.3)
    assert any("replaces evaporation gets none" in note for note in answer.notes)
