"""Extension fact sheets: tank volumes, mass for 1 mg/L, the basic treatment formula, stock solutions."""

from __future__ import annotations

import pytest

from dosing_rooms import dose, make_room
from pratique.dosing.level import after_adding
from pratique.dosing.product import Active
from pratique.figure import Figure, Step
from pratique.quantity import from_canonical, parse_measure
from pratique.room.bottles import read_strength
from pratique.room.model import Product
from pratique.room.phrases import read_dropper
from pratique.water.volume import net_volume
from validation import percent_off, record

SALT = "fact sheet `Use and Application of Salt in Aquaculture`, tank-volume section"
RATES = "exact unit definitions; DWR Virginia, formulas for application rates; SRAC 410 (not read)"
FA37 = "UF/IFAS FA37, p. 4"


def litres(**spec: str) -> float:
    return net_volume(make_room(tanks__q1__volume=spec).waters["q1"]).figure.value


def grams_for_one(volume: str) -> float:
    """Grams that give 1 mg/L, through a dose of 1 mg/L of a pure powder."""
    powder = {"active": "praziquantel", "strength": "100 % w/w as praziquantel"}
    room = make_room(tanks__q1__volume={"measured": volume}, shelf__prazi=powder)
    return dose("praziquantel-bath", room, target="1 mg/L").add.value


def test_a_rectangular_tank_in_feet() -> None:
    """vol_rect_01, SALT: 12 × 3 × 3 ft."""
    found = litres(shape="box", length="12 ft", width="3 ft", fill="3 ft")
    assert from_canonical(found, "ft3", "volume") == pytest.approx(108)
    off = percent_off(from_canonical(found, "ft3", "volume"), 108)
    record("box of 12 × 3 × 3 ft in cubic feet", "fact sheet on salt (vol_rect_01)", off, "%", subject="volume")


def test_a_round_tank_in_feet() -> None:
    """vol_cyl_01, SALT: 12 ft across, 4.5 ft deep, with pi as 3.14."""
    found = litres(shape="cylinder", diameter="12 ft", fill="4.5 ft")
    assert from_canonical(found, "ft3", "volume") == pytest.approx(508.7, rel=1e-3)
    off = percent_off(from_canonical(found, "ft3", "volume"), 508.7)
    against = "fact sheet on salt, pi as 3.14 (vol_cyl_01)"
    record("round tank, 12 ft across, in cubic feet", against, off, "%", subject="volume")


def test_a_cubic_foot_in_us_gallons() -> None:
    """vol_conv_01, SALT."""
    found = litres(measured="1 ft3")
    assert from_canonical(found, "gal_us", "volume") == pytest.approx(7.48, abs=0.01)
    off = percent_off(from_canonical(found, "gal_us", "volume"), 7.48)
    record("a cubic foot in US gallons", "fact sheet on salt (vol_conv_01)", off, "%", subject="volume")


@pytest.mark.parametrize(
    ("id_", "volume", "scale", "unit", "expected"),
    [
        ("conv_01", "435.6 ft3", 100, "lb", 2.72),  # a hundredth of an acre-foot: a room has no more than 10 000 m3
        ("conv_03", "1 ft3", 1, "g", 0.0283),
        ("conv_04", "1 gal_us", 1, "g", 0.0038),
        ("conv_06", "10000 gal_us", 100, "lb", 8.345),
    ],
)
def test_the_mass_for_one_milligram_in_a_litre(id_: str, volume: str, scale: int, unit: str, expected: float) -> None:
    """RATES."""
    mass = grams_for_one(volume) * scale
    assert from_canonical(mass, unit, "mass") == pytest.approx(expected, rel=5e-3)
    what = f"mass for 1 mg/L in {volume.replace('ft3', 'ft³').replace('gal_us', 'US gal')}"
    what += f", × {scale}" if scale > 1 else ""
    off = percent_off(from_canonical(mass, unit, "mass"), expected)
    record(f"{what}, in {unit}", f"unit definitions, formulas of a state agency ({id_})", off, "%", subject="dose")


def test_the_basic_treatment_formula() -> None:
    """formula_basic, after SRAC 410: 100 US gal at 2 mg/L from a product of 50 %."""
    half = {"active": "praziquantel", "strength": "50 % w/w as praziquantel"}
    room = make_room(tanks__q1__volume={"measured": "100 gal_us"}, shelf__prazi=half)
    answer = dose("praziquantel-bath", room, target="2 mg/L")
    assert (answer.add.value, answer.add.unit) == (pytest.approx(1.514, rel=5e-3), "g")
    off = percent_off(answer.add.value, 1.514)
    against = "basic treatment formula of extension sheets (formula_basic)"
    record("powder of 50 % for 2 mg/L in 100 US gal", against, off, "%", subject="dose")


def test_a_stock_of_permanganate() -> None:
    """kmno4_01, FA37: 1 mL of 285 g in a US gallon, into 10 US gal."""
    grams_per_litre = 285 / parse_measure("1 gal_us", "volume").value
    product = Product(active="praziquantel", strength=read_strength(f"{grams_per_litre:.6f} g/L as praziquantel"))
    stock = Active(
        name="stock",
        product=product,
        unit="mL",
        per_unit=product.strength.milligrams,
        share_error=0.0,
        step=Step(label="", expression="", result=""),
    )
    tank = Figure.of(parse_measure("10 gal_us", "volume"))
    after = after_adding(1 * stock.per_unit, Figure.exact(0.0, "mg/L"), tank, stock)
    assert after.value == pytest.approx(2, rel=0.01)
    off = percent_off(after.value, 2)
    against = "extension sheet on permanganate (FA37; kmno4_01)"
    record("level after 1 mL of a stock of 285 g to a US gallon", against, off, "%", subject="dose")


def test_drops_in_a_millilitre() -> None:
    """kmno4_03, FA37: 20 drops; the program takes no such figure for granted, the keeper calibrates."""
    assert read_dropper("20 drops/mL") == 20
    assert make_room().written.shelf["ionic stock"].dropper is None
