"""How much of the range after a dose lies inside the band, and what to measure better first."""

from __future__ import annotations

import doctest

import pytest

from dosing_rooms import dose, make_room
from pratique.dosing import spread, syringes
from pratique.dosing.dose import Band
from pratique.dosing.spread import better_first, inside, is_too_wide, share_inside
from pratique.figure import Figure

BAND = Band(low=2.0, high=2.5, unit="mg/L")


def after(low: float, value: float, high: float) -> Figure:
    return Figure(value=value, unit="mg/L", low=low, high=high)


@pytest.mark.parametrize(
    ("ends", "share"),
    [
        ((2.1, 2.25, 2.4), 1.0),
        ((2.0, 2.25, 2.5), 1.0),
        ((1.75, 2.25, 2.75), 0.5),
        ((1.5, 1.75, 2.0), 0.0),
        ((1.9, 2.0, 2.1), 0.5),
        ((2.4, 2.5, 2.6), 0.5),
        ((2.25, 2.25, 2.25), 1.0),
        ((2.6, 2.6, 2.6), 0.0),
        ((0.0, 2.25, 5.0), 0.1),
    ],
)
def test_the_share_of_a_range_inside_a_band(ends: tuple[float, float, float], share: float) -> None:
    assert share_inside(after(*ends), BAND) == pytest.approx(share)


def test_rounding_at_an_end_of_the_band_takes_nothing_off() -> None:
    assert share_inside(after(2.0 - 1e-12, 2.25, 2.5 + 1e-12), BAND) == 1.0


@pytest.mark.parametrize("module", [spread, syringes])
def test_examples_in_the_docstrings(module: object) -> None:
    assert doctest.testmod(module).failed == 0


def room_of(**changes: object):
    return make_room(
        **{
            "tanks__q1__volume": {"measured": "200 L ± 10 L"},
            "shelf__chelate__error": "1 %",
            "syringes": {"coarse": {"volume": "50 mL", "step": "2 mL"}},
            **changes,
        }
    )


def test_each_source_alone_in_order_of_its_effect() -> None:
    room = room_of()
    answer = dose("copper-chelated", room, reading="1.0 mg/L ± 0.1 mg/L")
    gains = better_first(answer, room)
    assert [gain.what for gain in gains] == ["syringe", "kit", "volume", "strength"]
    widths = {gain.what: gain.width.value for gain in gains}
    assert widths["kit"] == pytest.approx(0.2)
    rise = answer.add.value * 15 / 200
    assert widths["volume"] == pytest.approx(rise * 200 / 190 - rise * 200 / 210)
    assert widths["strength"] == pytest.approx(rise * 0.02)
    poured = (13 + 1 / 3, 3 + 1 / 3)  # by a syringe with a mark every 2 mL: 12 and 2
    assert widths["syringe"] == pytest.approx(sum(amount % 2 + 1 for amount in poured) * 15 / 200)
    assert all(gain.width.unit == "mg/L" and gain.advice and gain.known for gain in gains)


def test_what_has_no_error_on_file_is_left_out() -> None:
    room = make_room()
    assert [gain.what for gain in better_first(dose("copper-ionic", room), room)] == ["volume"]


@pytest.mark.parametrize(
    ("volume", "words"),
    [
        ({"nominal": "200 L"}, "measured jug"),
        ({"measured": "200 L ± 10 L"}, "`--added`"),
        ({"shape": "box", "length": "100 cm", "width": "50 cm", "fill": "40 cm"}, "millimetre"),
    ],
)
def test_what_helps_hangs_on_how_the_volume_is_known(volume: dict[str, str], words: str) -> None:
    room = make_room(tanks__q1__volume=volume)
    (gain,) = better_first(dose("praziquantel-bath", room), room)
    assert gain.what == "volume"
    assert words in gain.advice


def test_of_two_tanks_in_one_water_the_one_worse_known_is_measured_first() -> None:
    box = {"shape": "box", "length": "100 cm", "width": "50 cm", "fill": "40 cm"}
    tanks = {"q1": {"measured": "200 L ± 10 L"}, "q2": box}
    both = {name: {"use": "ward", "water": "both", "volume": volume} for name, volume in tanks.items()}
    room = make_room(tanks=both, waters={"both": {"temperature": "25 degC"}})
    (gain,) = better_first(dose("praziquantel-bath", room), room)
    assert "millimetre" in gain.advice


def test_a_change_and_a_lowering_are_spread_by_the_volume_too() -> None:
    room = make_room(tanks__q1__volume={"measured": "200 L ± 10 L"})
    high = dose("copper-chelated", room, reading="3.4 mg/L ± 0.2 mg/L")
    assert high.change is not None
    assert {gain.what for gain in better_first(high, room)} == {"kit", "volume"}
    kept = dose("copper-chelated", room, change_litres="50 L")
    (gain,) = better_first(kept, room)
    assert (gain.what, gain.advice) == ("kit", "read the level first, and give `--reading`")


def test_a_treatment_of_one_level_has_no_share() -> None:
    narrow, wide = make_room(), make_room(tanks__q1__volume={"nominal": "200 L"})
    assert inside(dose("praziquantel-bath", narrow)) is None
    assert not is_too_wide(dose("praziquantel-bath", narrow))
    assert is_too_wide(dose("praziquantel-bath", wide))


def test_a_range_that_sticks_out_is_too_wide() -> None:
    narrow, wide = make_room(), make_room(tanks__q1__volume={"measured": "200 L ± 30 L"})
    assert inside(dose("copper-chelated", narrow)) == 1.0
    assert not is_too_wide(dose("copper-chelated", narrow))
    share = inside(dose("copper-chelated", wide))
    assert share is not None
    assert 0 < share < 1
    assert is_too_wide(dose("copper-chelated", wide))
