"""Series of changes: closed forms, limits, drips, top-offs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pratique.water import changes, dilution
from pratique.water.changes import Pace

SHARES = st.floats(0, 1)
VOLUMES = st.floats(1, 5000)


@given(st.floats(0.1, 100), SHARES)
def test_the_share_that_holds_a_peak(peak: float, part: float) -> None:
    gain = part * peak
    share = changes.share_to_hold(peak, gain)
    assert dilution.after_change(peak, share) + gain == pytest.approx(peak)


@pytest.mark.parametrize("case", [(20, 21), (20, -1), (0, 0)])
def test_no_share_holds_what_rises_too_fast(case: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="no change keeps"):
        changes.share_to_hold(*case)


# --- series -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["every", "step", "litres", "per_day"])
def test_a_pace_is_above_zero(fault: str) -> None:
    with pytest.raises(ValueError, match="above zero"):
        Pace(**{fault: 0.0})
