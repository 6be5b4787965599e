"""Net volume against geometry done another way: by adding up thin slices and by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from dosing_rooms import make_room
from pratique.knowledge import store
from pratique.quantity import parse_measure
from pratique.water.volume import NetVolume, measured_volume, net_volume

SHARP = "± 0.000001 cm"


def volume(**spec: str) -> NetVolume:
    return net_volume(make_room(tanks__q1__volume=spec).waters["q1"])


def sharp(**sides: str) -> dict[str, str]:
    """Lengths stated so exactly that no tape error is added."""
    return {name: f"{length} {SHARP}" for name, length in sides.items()}


def known(name: str) -> Any:
    return store.volume_figures().needed(name)


def bow_area(length: float, width: float, bow: float, slices: int = 100_000) -> float:
    """Floor of a bow front by slices across its length: straight sides `width`, the middle `bow` deep."""
    rise = bow - width
    radius = (length**2 / 4 + rise**2) / (2 * rise)
    step = length / slices
    total = 0.0
    for index in range(slices):
        x = -length / 2 + (index + 0.5) * step
        total += width + math.sqrt(radius**2 - x**2) - (radius - rise)
    return total * step


def test_a_box() -> None:
    found = volume(shape="box", **sharp(length="60 cm", width="30 cm", fill="35 cm"))
    assert found.figure.value == pytest.approx(63.0)
    assert found.figure.low == pytest.approx(63.0, rel=1e-6)
    assert found.nominal == ()


def test_the_tape_error_is_worked_out_at_every_corner() -> None:
    found = volume(shape="box", length="60 cm", width="30 cm", fill="35 cm").figure
    assert found.low == pytest.approx(59.7 * 29.7 * 34.7 / 1000)
    assert found.high == pytest.approx(60.3 * 30.3 * 35.3 / 1000)


def test_a_stated_error_replaces_the_tape_error() -> None:
    found = volume(shape="box", length="60 cm ± 1 cm", width="30 cm", fill="35 cm").figure
    assert found.low == pytest.approx(59 * 29.7 * 34.7 / 1000)
    assert found.high == pytest.approx(61 * 30.3 * 35.3 / 1000)


def test_a_cylinder_against_a_polygon_of_many_corners() -> None:
    found = volume(shape="cylinder", **sharp(diameter="80 cm", fill="50 cm")).figure
    corners = 100_000
    polygon = corners / 2 * 40**2 * math.sin(2 * math.pi / corners)
    assert found.value == pytest.approx(polygon * 50 / 1000, rel=1e-6)


@pytest.mark.parametrize(
    ("length", "width", "bow"), [(90, 30, 45), (120, 45, 55), (60, 20, 20.5), (50, 20, 44.9), (100, 40, 90)]
)
def test_a_bow_front_against_slices(length: float, width: float, bow: float) -> None:
    sides = sharp(length=f"{length} cm", width=f"{width} cm", bow=f"{bow} cm", fill="40 cm")
    assert volume(shape="bow front", **sides).figure.value == pytest.approx(
        bow_area(length, width, bow) * 40 / 1000, rel=1e-5
    )


def test_a_bow_front_that_is_not_bowed_is_a_box() -> None:
    flat = volume(shape="bow front", **sharp(length="90 cm", width="30 cm", bow="30 cm", fill="40 cm"))
    assert flat.figure.value == pytest.approx(108.0)


def test_a_bow_as_deep_as_a_half_circle() -> None:
    half = volume(shape="bow front", **sharp(length="80 cm", width="20 cm", bow="60 cm", fill="10 cm"))
    assert half.figure.value == pytest.approx((80 * 20 + math.pi * 40**2 / 2) * 10 / 1000)


@pytest.mark.parametrize(
    ("shape", "sides", "inside"),
    [
        ("box", {"length": "61.2 cm", "width": "31.2 cm"}, {"length": "60 cm", "width": "30 cm"}),
        ("cylinder", {"diameter": "51.2 cm"}, {"diameter": "50 cm"}),
        (
            "bow front",
            {"length": "91.2 cm", "width": "31.2 cm", "bow": "41.2 cm"},
            {"length": "90 cm", "width": "30 cm", "bow": "40 cm"},
        ),
    ],
)
def test_outside_dimensions_lose_the_glass_twice_and_the_fill_never(
    shape: str, sides: dict[str, str], inside: dict[str, str]
) -> None:
    outer = volume(shape=shape, dimensions="outside", glass="6 mm", **sharp(**sides, fill="35 cm"))
    inner = volume(shape=shape, **sharp(**inside, fill="35 cm"))
    assert outer.figure.value == pytest.approx(inner.figure.value)


def test_sand_takes_its_solid_share_of_the_bed() -> None:
    box = sharp(length="60 cm", width="30 cm", fill="35 cm")
    bed = 60 * 30 * 5 / 1000
    found = volume_of_display(sand="5 cm", **box).figure
    solid = known("sand_solids")
    assert found.value == pytest.approx(63 - bed * solid.value / 100, rel=1e-6)
    assert found.low == pytest.approx(63 - bed * solid.high / 100, rel=1e-6)
    assert found.high == pytest.approx(63 - bed * solid.low / 100, rel=1e-6)


def test_rock_takes_litres_by_its_mass() -> None:
    box = sharp(length="60 cm", width="30 cm", fill="35 cm")
    per_kg = known("rock_litres_per_kg")
    for text in ("10 kg", "10000 g"):
        found = volume_of_display(rock=text, **box).figure
        assert found.value == pytest.approx(63 - 10 * per_kg.value, rel=1e-6)
        assert found.low == pytest.approx(63 - 10 * per_kg.high, rel=1e-6)


def volume_of_display(**spec: str) -> NetVolume:
    box = {"shape": "box", **spec}
    room = make_room(tanks__q1__volume=box, tanks__q1__rock="inert", tanks__q1__substrate="inert")
    return net_volume(room.waters["q1"])


def test_other_things_take_what_they_take() -> None:
    found = volume(shape="box", displacement="3 L ± 0.5 L", **sharp(length="60 cm", width="30 cm", fill="35 cm"))
    assert found.figure.value == pytest.approx(60.0)
    assert (found.figure.low, found.figure.high) == (pytest.approx(59.5), pytest.approx(60.5))
    labels = [step.label for step in found.working]
    assert labels == ["inside of q1 up to the water line", "taken by other things", "net volume of q1"]


def test_sand_needs_a_substrate_in_the_file() -> None:
    room = make_room(
        tanks__q1__volume={"shape": "box", "length": "60 cm", "width": "30 cm", "fill": "35 cm", "sand": "5 cm"},
        tanks__q1__substrate="inert",
    )
    assert "taken by sand" in [step.label for step in net_volume(room.waters["q1"]).working]


def test_a_measured_volume_has_two_percent_unless_it_says_otherwise() -> None:
    found = volume(measured="62 L").figure
    assert (found.low, found.high) == (pytest.approx(60.76), pytest.approx(63.24))
    found = volume(measured="62 L ± 3 L").figure
    assert (found.low, found.high) == (pytest.approx(59.0), pytest.approx(65.0))
    assert measured_volume(parse_measure("10 gal_us", "volume")).value == pytest.approx(37.85411784)


def test_a_nominal_volume_is_held_for_no_more_than_a_name() -> None:
    found = volume(nominal="20 gal_us")
    assert found.nominal == ("q1",)
    assert found.figure.value == pytest.approx(75.708, rel=1e-4)
    assert found.figure.low == pytest.approx(75.708 * 0.75, rel=1e-4)
    assert found.figure.high == pytest.approx(75.708 * 1.02, rel=1e-4)
    assert found.working[0].source == known("nominal_low").source


def test_the_true_volume_of_the_known_case_lies_within_the_nominal_one() -> None:
    """Practice B1: 62 L of water in a tank called 75.7 L."""
    found = volume(nominal="20 gal_us").figure
    assert found.low < 62 < found.value


def test_tanks_on_one_water_and_their_sump_add_up_errors_and_all() -> None:
    shared = {"use": "ward", "water": "system"}
    tanks = {
        "q1": {**shared, "volume": {"measured": "100 L ± 2 L"}},
        "q2": {**shared, "volume": {"nominal": "40 L"}},
    }
    room = make_room(waters={"system": {"sump": "30 L ± 1 L"}}, tanks=tanks)
    found = net_volume(room.waters["system"])
    assert found.figure.value == pytest.approx(170.0)
    assert found.figure.low == pytest.approx(98 + 30 + 29)
    assert found.figure.high == pytest.approx(102 + 40.8 + 31)
    assert found.nominal == ("q2",)
    assert found.working[-1].expression == "q1 + q2 + sump"
    assert found.working[-1].result == "170 L"


def test_a_sump_alone_beside_one_tank_is_added_with_its_error() -> None:
    tank = {"use": "ward", "water": "system", "volume": {"measured": "100 L"}}
    room = make_room(waters={"system": {"sump": "50 L"}}, tanks={"q1": tank})
    figure = net_volume(room.waters["system"]).figure
    assert (figure.low, figure.value, figure.high) == (pytest.approx(147), pytest.approx(150), pytest.approx(153))


@pytest.mark.parametrize(
    "spec",
    [
        {"shape": "box", "length": "40 cm", "width": "30 cm", "fill": "20 cm", "displacement": "30 L"},
        {"shape": "box", "length": "40 cm", "width": "30 cm", "fill": "20 cm", "displacement": "23.9 L"},
        {"shape": "cylinder", "diameter": "20 cm", "fill": "2 cm ± 1.9 cm", "displacement": "0.1 L"},
    ],
)
def test_measures_that_leave_no_water_leave_no_positive_volume(spec: dict[str, str]) -> None:
    assert volume(**spec).figure.low <= 0


@pytest.mark.parametrize(("litres", "other"), [("100 L", "26.417205 gal_us"), ("100 L", "21.996925 gal_imp"),
                                               ("100 L", "0.1 m3"), ("100 L", "3.5314667 ft3")])  # fmt: skip
def test_units_of_volume_agree(litres: str, other: str) -> None:
    assert volume(measured=litres).figure.value == pytest.approx(volume(measured=other).figure.value, rel=1e-6)


def test_the_working_can_be_redone_by_hand() -> None:
    found = volume(shape="box", length="60 cm", width="30 cm", fill="35 cm")
    (step,) = found.working
    assert step.expression == "box: 60.0 cm × 30.0 cm × 35.0 cm (length × width × fill)"
    assert step.result == "63.0 L"
