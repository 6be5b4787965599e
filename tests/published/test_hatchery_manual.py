"""Fish Hatchery Management (US Fish and Wildlife Service 1982), p. 276: formalin by weight, and its oxygen."""

from __future__ import annotations

import pytest

from dosing_rooms import dose, make_room
from pratique.dosing.formalin import by_volume, oxygen_taken
from pratique.knowledge import store
from validation import percent_off, record

SOURCE = "PIPER82 p. 276"
FORMALIN = store.treatment("formalin-bath")


@pytest.mark.parametrize(
    ("id_", "volume", "millilitres", "tolerance", "by_volume_instead"),
    [("form_05", "10 gal_us", 5.9, 0.01, 6.32), ("form_06", "10 ft3", 43.8, 0.005, 47.3)],
)
def test_167_mg_per_litre_by_weight(
    id_: str, volume: str, millilitres: float, tolerance: float, by_volume_instead: float
) -> None:
    """SOURCE. The book counts by weight at 1.08 g/mL; labels count by volume, which is 8 % more."""
    room = make_room(tanks__q1__volume={"measured": volume}, tanks__q1__temperature="20 degC")
    by_weight = by_volume(167, FORMALIN)
    assert dose("formalin-bath", room, target=f"{by_weight:.6f} uL/L").add.value == pytest.approx(
        millilitres, rel=tolerance
    )
    assert dose("formalin-bath", room, target="167 uL/L").add.value == pytest.approx(by_volume_instead, rel=1e-3)
    name = volume.replace("gal_us", "US gal").replace("ft3", "ft³")
    off = percent_off(dose("formalin-bath", room, target=f"{by_weight:.6f} uL/L").add.value, millilitres)
    against = f"hatchery book (PIPER82; {id_})"
    record(f"formalin for 167 mg/L by weight, {name}", against, off, "%", subject="formalin")
    off = percent_off(dose("formalin-bath", room, target="167 uL/L").add.value, by_volume_instead)
    record(f"formalin for 167 µL/L by volume, {name}", f"arithmetic ({id_})", off, "%", subject="formalin")


def test_the_oxygen_that_formalin_takes() -> None:
    """form_17, SOURCE: 1 part of oxygen for 5 of formalin, within 30 to 36 hours."""
    assert oxygen_taken(25, FORMALIN) == 5
    off = percent_off(oxygen_taken(25, FORMALIN), 5)
    record(
        "oxygen taken by 25 µL/L of formalin",
        "hatchery book, 1 part for 5 (PIPER82; form_17)",
        off,
        "%",
        subject="formalin",
    )
    hours = FORMALIN.needed("oxygen_hours")
    assert (hours.low, hours.high) == (30, 36)
    assert any("takes 5.00 mg/L of oxygen" in note for note in dose("formalin-bath", target="25 uL/L").notes)
