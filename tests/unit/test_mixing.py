"""Mixing by mass: salt is conserved, swaps go there and back, salt for a batch."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.water import mixing
from pratique.water.mixing import Portion
from pratique.water.salinity import density
from validation import record

VOLUMES = st.floats(1, 5000)
SALTS = st.floats(0, 42)
TEMPERATURES = st.floats(5, 34)
PURE = Figure.exact(100, "%")


@given(VOLUMES, SALTS, TEMPERATURES, VOLUMES, SALTS, TEMPERATURES)
@settings(deadline=None)
def test_a_mixture_keeps_salt_and_mass(
    one_l: float, one_s: float, one_t: float, other_l: float, other_s: float, other_t: float
) -> None:
    one = Portion(litres=one_l, salinity=one_s, temperature=one_t)
    other = Portion(litres=other_l, salinity=other_s, temperature=other_t)
    mixed = mixing.mix_two(one, other)
    assert mixed.salt == pytest.approx(one.salt + other.salt, rel=1e-9)
    assert mixed.mass == pytest.approx(one.mass + other.mass, rel=1e-9)
    assert min(one_s, other_s) - 1e-9 <= mixed.salinity <= max(one_s, other_s) + 1e-9
    assert min(one_t, other_t) - 0.1 <= mixed.temperature <= max(one_t, other_t) + 0.1


def by_volume(one: Portion, other: Portion) -> float:
    """g/kg by shares of volume, the rule of thumb."""
    return (one.litres * one.salinity + other.litres * other.salinity) / (one.litres + other.litres)


@given(VOLUMES, SALTS, VOLUMES, SALTS)
@settings(deadline=None)
def test_the_rule_of_volumes_is_near(one_l: float, one_s: float, other_l: float, other_s: float) -> None:
    one, other = Portion(litres=one_l, salinity=one_s), Portion(litres=other_l, salinity=other_s)
    assert abs(mixing.mix_two(one, other).salinity - by_volume(one, other)) < 0.34


def test_how_far_the_rule_of_volumes_is_off_between_fresh_and_sea_water() -> None:
    most = 0.0
    for tenth in range(1, 10):
        sea, fresh = Portion(litres=tenth, salinity=35), Portion(litres=10 - tenth, salinity=0)
        most = max(most, mixing.mix_two(sea, fresh).salinity - by_volume(sea, fresh))
    record(
        "salinity by shares of volume", "our mixing by mass, fresh water and 35 g/kg", -most, "g/kg", subject="dilution"
    )
    assert most == pytest.approx(0.227, abs=0.001)
    off = max(mixing.swap_to_reach(100, 35, end, 0).out / (100 * (35 - end) / 35) - 1 for end in range(1, 35))
    record(
        "litres of a swap by shares of volume",
        "our mixing by mass, 35 g/kg to any less",
        100 * (1 / (1 + off) - 1),
        "%",
        subject="dilution",
    )
    assert off < 0.026


def test_warm_and_cold_meet_between() -> None:
    mixed = mixing.mix_two(
        Portion(litres=60, salinity=35, temperature=20), Portion(litres=40, salinity=35, temperature=30)
    )
    assert mixed.temperature == pytest.approx(24, abs=0.02)


@given(VOLUMES, SALTS, SALTS, st.floats(0.001, 0.999), TEMPERATURES)
@settings(deadline=None)
def test_a_swap_there_and_back(volume: float, start: float, incoming: float, part: float, t: float) -> None:
    assume(abs(start - incoming) > 0.1)
    end = start + (incoming - start) * part
    swap = mixing.swap_to_reach(volume, start, end, incoming, t)
    assert mixing.after_swap(volume, start, swap.out, incoming, t) == pytest.approx(end, abs=1e-6)
    left = Portion(litres=volume - swap.out, salinity=start, temperature=t)
    mixed = mixing.mix_two(left, Portion(litres=swap.added, salinity=incoming, temperature=t))
    assert mixed.salinity == pytest.approx(end, abs=1e-6)
    assert mixed.litres == pytest.approx(volume, rel=1e-9)


@given(VOLUMES, SALTS, SALTS, st.floats(0, 1))
@settings(deadline=None)
def test_litres_of_each_make_what_was_wanted(litres: float, one: float, other: float, part: float) -> None:
    assume(abs(one - other) > 0.1)
    wanted = one + (other - one) * part
    ones, others = mixing.litres_of_each(litres, wanted, one, other)
    mixed = mixing.mix_two(Portion(litres=ones, salinity=one), Portion(litres=max(others, 0.0), salinity=other))
    assert mixed.salinity == pytest.approx(wanted, abs=1e-6)
    assert mixed.litres == pytest.approx(litres, rel=1e-6)


@given(VOLUMES, st.floats(1, 42), TEMPERATURES)
@settings(deadline=None)
def test_the_salt_of_a_batch_makes_its_salinity(litres: float, salinity: float, t: float) -> None:
    batch = mixing.salt_for(litres, salinity, t, PURE)
    kilograms = batch.fresh_water * density(0.0, t) / 1000 + batch.salt.value / 1000
    assert batch.salt.value / kilograms == pytest.approx(salinity)


@given(VOLUMES, st.floats(1, 42))
@settings(deadline=None)
def test_an_unknown_purity_is_a_range(litres: float, salinity: float) -> None:
    batch = mixing.salt_for(litres, salinity)
    assert batch.salt.low < batch.salt.value < batch.salt.high
    assert batch.salt.low == pytest.approx(mixing.salt_for(litres, salinity, purity=PURE).salt.value)
    assert batch.salt.high / batch.salt.low == pytest.approx(100 / 85)


def test_salt_for_a_litre_is_more_than_the_figure_of_its_salinity() -> None:
    """35 g/kg is 35.8 g to the litre, because a litre weighs more than a kilogram."""
    assert mixing.salt_for(1, 35, purity=PURE).salt.value == pytest.approx(35 * density(35, 25) / 1000)


def test_refusals() -> None:
    with pytest.raises(ValueError, match="litres above zero"):
        mixing.mix_two(Portion(litres=0, salinity=35), Portion(litres=0, salinity=0))
    with pytest.raises(ValueError, match="litres above zero"):
        mixing.mix_two(Portion(litres=10, salinity=35), Portion(litres=-1, salinity=0))
    with pytest.raises(ValueError, match="no change takes"):
        mixing.swap_to_reach(100, 35, 30, 32)
    with pytest.raises(ValueError, match="cannot be taken"):
        mixing.after_swap(100, 35, 101, 0)
    with pytest.raises(ValueError, match="no purity"):
        mixing.salt_for(100, 35, purity=Figure.exact(0, "%"))
