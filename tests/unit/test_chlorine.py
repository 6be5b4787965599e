"""Bleach and thiosulfate: there and back, ends, labels, refusals."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.water import chlorine

LITRES = st.floats(0.1, 10_000)
LEVELS = st.floats(0.01, 1000)
FORMS = st.sampled_from(get_args(chlorine.Thiosulfate))
RATIOS = st.sampled_from(get_args(chlorine.Ratio))


def around(value: float, unit: str, share: float) -> Figure:
    return Figure(value=value, unit=unit, low=value * (1 - share), high=value * (1 + share))


@given(LEVELS, LITRES, st.floats(0.5, 15), st.floats(0, 0.5))
def test_bleach_there_and_back(level: float, litres: float, strength: float, error: float) -> None:
    for stated in get_args(chlorine.StatedAs):
        millilitres = chlorine.bleach_for(level, litres, strength, stated)
        after = chlorine.level_of_bleach(millilitres, around(litres, "L", error), around(strength, "%", error), stated)
        assert after.value == pytest.approx(level)
        assert after.low <= after.value <= after.high


@given(LEVELS, LITRES, FORMS, RATIOS, st.floats(0, 0.5))
def test_thiosulfate_there_and_back(
    level: float, litres: float, form: chlorine.Thiosulfate, ratio: chlorine.Ratio, error: float
) -> None:
    need = chlorine.thiosulfate_for(around(level, "mg/L", error), around(litres, "L", error), form, ratio)
    assert need.low <= need.value <= need.high
    assert chlorine.chlorine_taken_by(need.value, litres, form, ratio) == pytest.approx(level)


def test_a_label_in_hypochlorite_is_a_twentieth_weaker() -> None:
    ratio = chlorine.bleach_for(200, 1, 5.25, "hypochlorite") / chlorine.bleach_for(200, 1, 5.25)
    assert ratio == pytest.approx(1 / 0.9525)


def test_chloramine_leaves_a_fifth_of_its_chlorine_as_ammonia() -> None:
    assert chlorine.ammonia_from_chloramine(1.0) == pytest.approx(0.1976, abs=1e-4)


def test_refusals() -> None:
    with pytest.raises(ValueError, match="without strength"):
        chlorine.bleach_for(200, 1, 0)
    with pytest.raises(ValueError, match="no dilution"):
        chlorine.diluted(5.25, 0.5)
    with pytest.raises(ValueError, match="volume above zero"):
        chlorine.level_of_bleach(1, Figure.exact(0, "L"), Figure.exact(5, "%"))
    with pytest.raises(ValueError, match="volume above zero"):
        chlorine.chlorine_taken_by(1, 0)
