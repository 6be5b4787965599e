"""Un-ionised ammonia: ranges, bases, ends and verdicts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.knowledge import store
from pratique.water import ammonia
from water_rooms import exactly, unionised_share

TEMPERATURES = st.floats(5, 34)
PHS = st.floats(5.5, 9.5)
SALTS = st.floats(0, 42)
BASES: tuple[ammonia.Basis, ...] = ("N", "NH3", "NH4")


def mg(value: float, error: float = 0.0) -> Figure:
    return Figure(value=value, unit="mg/L", low=value - error, high=value + error)


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ((4.9, 8, 34), "at 4.9 degC: it is known from 5 to 34 degC"),
        ((34.1, 8, 34), "5 to 34 degC"),
        ((25, 5.4, 34), "5.5 to 9.5 pH"),
        ((25, 9.6, 34), "5.5 to 9.5 pH"),
        ((25, 8, -1), "0 to 42 g/kg"),
        ((25, 8, 42.1), "0 to 42 g/kg"),
        ((float("nan"), 8, 34), "5 to 34 degC"),
    ],
)
def test_refused_outside_the_range(where: tuple[float, float, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        ammonia.share_figure(exactly(*where))


@given(TEMPERATURES, PHS, SALTS)
@settings(deadline=None)
def test_more_is_unionised_in_warmer_in_fresher_and_in_more_alkaline_water(t: float, ph: float, salt: float) -> None:
    share = unionised_share(t, ph, salt)
    assert 0 < share < 1
    assert unionised_share(min(t + 1, 34), ph, salt) >= share
    assert unionised_share(t, min(ph + 0.1, 9.5), salt) >= share
    assert unionised_share(t, ph, max(salt - 1, 0)) >= share


@given(TEMPERATURES, PHS, SALTS, st.floats(0, 3), st.floats(0, 0.5), st.floats(0, 5), st.floats(0, 5))
@settings(deadline=None)
def test_a_value_lies_between_its_ends(
    t: float, ph: float, salt: float, t_error: float, ph_error: float, salt_error: float, total: float
) -> None:
    conditions = ammonia.Conditions(
        temperature=Figure(value=t, unit="degC", low=t - t_error, high=t + t_error),
        ph=Figure(value=ph, unit="pH", low=ph - ph_error, high=ph + ph_error),
        salinity=Figure(value=salt, unit="g/kg", low=salt - salt_error, high=salt + salt_error),
    )
    share = ammonia.share_figure(conditions)
    assert 0 <= share.low <= share.value <= share.high <= 100
    assert share.value == pytest.approx(100 * unionised_share(t, ph, salt))
    level = ammonia.unionised(mg(total, 0.2), conditions)
    assert 0 <= level.low <= level.value <= level.high


@given(TEMPERATURES, PHS)
@settings(deadline=None)
def test_weak_water_is_bracketed_by_fresh_and_sea_water(t: float, ph: float) -> None:
    weak = ammonia.share_figure(exactly(t, ph, 14))
    assert weak.low < 100 * unionised_share(t, ph, 34)
    assert weak.high > 100 * unionised_share(t, ph, 0)


def test_above_the_table_its_share_is_kept() -> None:
    assert unionised_share(25, 8.2, 40) == unionised_share(25, 8.2, 34)


@given(st.floats(0, 100), st.sampled_from(BASES), st.sampled_from(BASES))
def test_a_basis_there_and_back(level: float, one: ammonia.Basis, other: ammonia.Basis) -> None:
    there = ammonia.in_basis(level, one, other)
    assert ammonia.in_basis(there, other, one) == pytest.approx(level)
    assert ammonia.in_basis(level, one, one) == pytest.approx(level)


def test_nitrogen_is_the_least_of_the_three() -> None:
    assert ammonia.in_basis(1, "NH3", "N") == pytest.approx(0.8224, abs=1e-4)
    assert ammonia.in_basis(1, "NH4", "N") == pytest.approx(0.7765, abs=1e-4)


@pytest.mark.parametrize(
    ("level", "verdict"),
    [
        (0, "fine"),
        (0.02, "fine"),
        (0.021, "correct"),
        (0.049, "correct"),
        (0.05, "harms"),
        (1.9, "harms"),
        (2, "kills"),
    ],
)
def test_the_verdicts(level: float, verdict: ammonia.Verdict) -> None:
    assert ammonia.verdict_on(level) == verdict


def test_a_reading_is_judged_as_nh3_whatever_the_kit_counts() -> None:
    """0.7 mg/L at 25 degC, pH 8.2: 0.056 as N is harm, the same figure as NH3 is not yet."""
    conditions = exactly(25, 8.2, 35)
    as_n, as_nh3 = (ammonia.judge_total(mg(0.7), basis, conditions) for basis in ("N", "NH3"))
    assert as_n.level.value == pytest.approx(0.7 * 0.0663 * 1.2159, rel=0.001)
    assert (as_n.verdict, as_nh3.verdict) == ("harms", "correct")


def test_the_worst_is_told_beside_the_value() -> None:
    conditions = ammonia.Conditions(
        temperature=Figure.exact(25, "degC"),
        ph=Figure(value=8.0, unit="pH", low=7.8, high=8.2),
        salinity=Figure.exact(35, "g/kg"),
    )
    seen = ammonia.judge_total(mg(0.5, 0.25), "N", conditions)
    assert (seen.verdict, seen.worst) == ("correct", "harms")
    assert [step.source for step in seen.working] == ["BB78", "FA16"]
    assert seen.working[0].result == "4.29 %"
    assert seen.working[1].expression == "0.500 mg/L as N × 4.29 % × 1.22"


@given(TEMPERATURES, st.floats(7, 9), SALTS, st.sampled_from(BASES))
@settings(deadline=None)
def test_the_total_at_a_limit_is_judged_to_be_at_it(t: float, ph: float, salt: float, basis: ammonia.Basis) -> None:
    conditions = exactly(t, ph, salt)
    total = ammonia.total_at_limit("ammonia_harms", conditions, basis)
    assert total.low <= total.value <= total.high
    judged = ammonia.judge_total(Figure.exact(total.value, "mg/L"), basis, conditions)
    assert judged.level.value == pytest.approx(store.water_figures().needed("ammonia_harms").value)
