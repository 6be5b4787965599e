"""Label text and rule for 37 % formalin: 37 g formaldehyde in 100 mL, at most 250 µL/L for an hour."""

from __future__ import annotations

import pytest

from dosing_rooms import dose, make_room, refusal
from pratique.dosing.formalin import formaldehyde_in
from pratique.knowledge import store
from validation import percent_off, record

LABEL = "Bills, Marking & Chandler 1977; Bills, Marking & Howe 1993, as printed in label text"
RULE = "21 CFR 529.1004, as tabulated in MERCK-IMM"
FORMALIN = store.treatment("formalin-bath")
COOL = {"tanks__q1__temperature": "20 degC"}


@pytest.mark.parametrize(
    ("id_", "formalin", "formaldehyde"),
    [
        ("form_07", 1230, 455),
        ("form_08", 100, 37),
        ("form_10", 65.8, 24),
        ("form_12", 1030, 381),
        ("form_14", 940, 347),
    ],
)
def test_formaldehyde_in_formalin(id_: str, formalin: float, formaldehyde: float) -> None:
    """LABEL."""
    assert formaldehyde_in(formalin, FORMALIN) == pytest.approx(formaldehyde, rel=0.03)
    off = percent_off(formaldehyde_in(formalin, FORMALIN), formaldehyde)
    record(
        f"formaldehyde in {formalin:g} µL/L of formalin",
        f"papers printed on labels ({id_})",
        off,
        "%",
        subject="formalin",
    )


def test_one_in_ten_thousand() -> None:
    """form_16, arithmetic: 1 mL in 10 L is 100 µL/L, 37 mg/L of formaldehyde."""
    answer = dose("formalin-bath", make_room(tanks__q1__volume={"measured": "10 L"}), target="100 uL/L")
    assert answer.add.value == pytest.approx(1, rel=0.03)
    assert answer.active.value / answer.water.value == pytest.approx(37, rel=0.03)
    off = percent_off(answer.add.value, 1)
    record("formalin for 100 µL/L in 10 L", "arithmetic: 1 mL (form_16)", off, "%", subject="formalin")
    off = percent_off(answer.active.value / answer.water.value, 37)
    record("formaldehyde at 100 µL/L", "37 g in 100 mL (form_16)", off, "%", subject="formalin")


def test_the_label_maximum() -> None:
    """form_19, RULE: all finfish but salmonids, tanks, 1 h."""
    assert dose("formalin-bath", make_room(**COOL)).target.value == 250
    off = percent_off(dose("formalin-bath", make_room(**COOL)).target.value, 250)
    record(
        "level of the bath of an hour, up to 20 °C",
        "21 CFR 529.1004 as tabulated (form_19)",
        off,
        "%",
        subject="formalin",
    )
    assert refusal("formalin-bath", make_room(**COOL), target="251 uL/L").first.code == "D440"
    assert FORMALIN.needed("minutes_ceiling").value == 1


@pytest.mark.parametrize(
    ("id_", "volume", "target", "millilitres", "tolerance"),
    [
        ("form_01", {"measured": "10 gal_us"}, "25 uL/L", 1.0, 0.06),
        ("form_04", {"shape": "cylinder", "diameter": "7.5 m", "fill": "2 m"}, "200 uL/L", 17670, 0.001),
    ],
)
def test_millilitres_of_formalin(
    id_: str, volume: dict[str, str], target: str, millilitres: float, tolerance: float
) -> None:
    """Arithmetic; the level of form_01 is VM061's long bath."""
    room = make_room(tanks__q1__volume=volume, **COOL)
    assert dose("formalin-bath", room, target=target).add.value == pytest.approx(millilitres, rel=tolerance)
    what = "a round tank of 7.5 m" if "shape" in volume else "10 US gal"
    against = f"printed sum: {millilitres:,g} mL ({id_})" if id_ == "form_04" else f"printed, rounded: 1 mL ({id_})"
    off = percent_off(dose("formalin-bath", room, target=target).add.value, millilitres)
    record(f"formalin for {target.replace('uL', 'µL')}, {what}", against, off, "%", subject="formalin")
