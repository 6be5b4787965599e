"""Series of changes: closed forms, limits, drips, top-offs."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pratique.water import changes, dilution
from pratique.water.changes import Pace

LEVELS = st.floats(0, 100)
SHARES = st.floats(0, 1)
VOLUMES = st.floats(1, 5000)


@given(LEVELS, LEVELS, st.floats(0.001, 0.999))
def test_a_flow_there_and_back(level: float, incoming: float, share: float) -> None:
    assume(abs(level - incoming) > 0.01)
    wanted = dilution.after_change(level, share, incoming)
    flow = changes.flow_to_reach(level, wanted, incoming)
    assert dilution.after_flow(level, flow, incoming) == pytest.approx(wanted, rel=1e-6, abs=1e-6)


def test_a_flow_does_not_reach_its_own_level() -> None:
    with pytest.raises(ValueError, match="never gets there"):
        changes.flow_to_reach(10, 0)
    with pytest.raises(ValueError, match="no change takes"):
        changes.flow_to_reach(10, 12)


@given(st.floats(0.1, 100), SHARES, st.floats(0, 5))
def test_the_share_that_holds_a_peak(peak: float, part: float, incoming: float) -> None:
    assume(peak > incoming + 0.01)
    gain = part * (peak - incoming)
    share = changes.share_to_hold(peak, gain, incoming)
    assert dilution.after_change(peak, share, incoming) + gain == pytest.approx(peak)


@pytest.mark.parametrize("case", [(20, 21, 0), (20, -1, 0), (5, 1, 5)])
def test_no_share_holds_what_rises_too_fast(case: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="no change keeps"):
        changes.share_to_hold(*case)


# --- series -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("fault", ["every", "step", "litres", "per_day"])
def test_a_pace_is_above_zero(fault: str) -> None:
    with pytest.raises(ValueError, match="above zero"):
        Pace(**{fault: 0.0})
