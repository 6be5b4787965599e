"""Oxygen at saturation: directions, ranges and the way back."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.water import oxygen

TEMPERATURES = st.floats(0, 39)
SALTS = st.floats(0, 41)
HEIGHTS = st.floats(0, 4000)


@given(TEMPERATURES, SALTS, HEIGHTS)
@settings(deadline=None)
def test_less_oxygen_in_warmer_saltier_and_higher_water(t: float, salt: float, height: float) -> None:
    level = oxygen.saturation(t, salt, height)
    assert 3 < level < 15
    assert oxygen.saturation(t + 1, salt, height) < level
    assert oxygen.saturation(t, salt + 1, height) < level
    assert oxygen.saturation(t, salt, height + 100) < level


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ((41, 35, 0), "temperature of 41 degC: -2 to 40"),
        ((25, 43, 0), "salinity of 43 g/kg: 0 to 42"),
        ((25, 35, 6000), "height of 6000 m: -500 to 5000"),
        ((float("nan"), 35, 0), "temperature"),
    ],
)
def test_refused_outside_the_range(where: tuple[float, float, float], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        oxygen.saturation(*where)
