"""Bleach and thiosulfate: there and back, ends, labels, refusals."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.water import chlorine

LITRES = st.floats(0.1, 10_000)
LEVELS = st.floats(0.01, 1000)
FORMS = st.sampled_from(get_args(chlorine.Thiosulfate))
RATIOS = st.sampled_from(get_args(chlorine.Ratio))


def around(value: float, unit: str, share: float) -> Figure:
    return Figure(value=value, unit=unit, low=value * (1 - share), high=value * (1 + share))


def test_a_label_in_hypochlorite_is_a_twentieth_weaker() -> None:
    ratio = chlorine.bleach_for(200, 1, 5.25, "hypochlorite") / chlorine.bleach_for(200, 1, 5.25)
    assert ratio == pytest.approx(1 / 0.9525)
