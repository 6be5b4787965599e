"""What watching adds, against sums by hand."""

from __future__ import annotations

import numpy as np
import pytest

from pratique.risk.course import Course, series
from pratique.risk.draws import draws_of
from pratique.risk.watching import Rounds, rounds


def test_nothing_is_watched_without_a_watch() -> None:
    assert rounds("cryptocaryon", Course(spans=series([(72.0, "transfers")], 26.0))) == ()


def test_of_three_rounds_each_seen_with_a_half_an_eighth_goes_unseen() -> None:
    assert Rounds(strain="a", title="a", low=1.0, high=3.0).unseen(0.5) == (0.125, 0.5)


@pytest.mark.parametrize("days", [30.0, 90.0])
def test_the_fast_strain_comes_round_every_four_to_five_and_a_half_days(days: float) -> None:
    """PV16B at its 27 degC: 2 to 3 d on the fish and 48 to 60 h off it."""
    found = {r.strain: r for r in rounds("cryptocaryon", Course(spans=series([(days * 24, "observation")], 27.0)))}
    assert days / 5.5 < found["PV16B"].low <= found["PV16B"].high < days / 4


def test_only_the_days_of_watching_count_and_cooler_means_fewer() -> None:
    watch = rounds("cryptocaryon", Course(spans=series([(720.0, "observation")], 26.0)))
    moved = rounds("cryptocaryon", Course(spans=series([(144.0, "transfers"), (720.0, "observation")], 26.0)))
    assert watch == moved
    cool = rounds("cryptocaryon", Course(spans=series([(720.0, "observation")], 22.0)))
    assert all(c.high <= w.high for c, w in zip(cool, watch, strict=True))


def test_every_strain_has_its_own_rounds() -> None:
    found = rounds("cryptocaryon", Course(spans=series([(2160.0, "observation")], 26.0)))
    assert [r.strain for r in found] == [draws.strain.id for draws in draws_of("cryptocaryon")]
    assert np.ptp([r.low for r in found]) > 1
