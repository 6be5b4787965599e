"""Papers on copper sulfate and praziquantel: what their doses mean as the active."""

from __future__ import annotations

import pytest

from dosing_rooms import dose, make_room
from pratique.dosing.product import active_of, find_substance
from validation import percent_off, record

LI21 = "Li et al. 2021, South China Fisheries Science 17(3):108-114, abstract; conversion ours"
THOM16 = "Thomas et al. 2016, PeerJ 4:e1857, abstract; instances ours"
CDC = "tablet convention: 500 mg chloroquine phosphate is 300 mg base (second-hand)"


@pytest.mark.parametrize(
    ("id_", "salt", "copper"), [("cu_units_02", "CuSO4.5H2O", 0.1018), ("cu_units_02", "CuSO4", 0.1593)]
)
def test_copper_in_copper_sulfate(id_: str, salt: str, copper: float) -> None:
    """LI21: 0.4 mg/L of copper sulfate, hydrate not stated."""
    bottle = {"active": "copper", "form": "ionic", "strength": f"0.4 mg/mL as {salt}"}
    room = make_room(**{"shelf__ionic stock": bottle})
    assert active_of(room, "ionic stock").per_unit == pytest.approx(copper, rel=5e-3)
    off = percent_off(active_of(room, "ionic stock").per_unit, copper)
    name = "pentahydrate" if "H2O" in salt else "anhydrous"
    against = f"sum on a paper (LI21; {id_})"
    record(f"copper in 0.4 mg/L of copper sulfate, {name}", against, off, "%", subject="dose")


@pytest.mark.parametrize(
    ("id_", "volume", "strength", "unit", "amount"),
    [
        ("pzq_03", "1000 L", "95 % w/w as praziquantel", "g", 2.105),
        ("pzq_04", "80 gal_us", "500 mg per tablet as praziquantel", "tablet", 1.211),
    ],
)
def test_praziquantel_at_2_mg_per_litre(id_: str, volume: str, strength: str, unit: str, amount: float) -> None:
    """THOM16."""
    bottle = {"active": "praziquantel", "strength": strength}
    answer = dose("praziquantel-bath", make_room(tanks__q1__volume={"measured": volume}, shelf__prazi=bottle))
    assert (answer.add.unit, answer.add.value) == (unit, pytest.approx(amount, rel=1e-3))
    what = "tablets of 500 mg of praziquantel" if unit == "tablet" else "praziquantel powder of 95 %"
    off = percent_off(answer.add.value, amount)
    name = volume.replace("gal_us", "US gal")
    record(f"{what} for 2 mg/L, {name}", f"sum on a paper (THOM16; {id_})", off, "%", subject="dose")


def test_chloroquine_base_in_a_tablet() -> None:
    """cp_02, CDC: a convention, 3.3 % below stoichiometry."""
    assert 500 / find_substance("chloroquine base").fraction == pytest.approx(300, rel=0.01)
    off = percent_off(500 / find_substance("chloroquine base").fraction, 300)
    record(
        "chloroquine base in 500 mg of its phosphate",
        "tablet convention, second-hand (cp_02)",
        off,
        "%",
        subject="dose",
    )
