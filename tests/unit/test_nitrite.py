"""Nitrite in sea water: no number on file, and the chloride that stands against it."""

from __future__ import annotations

import pytest

from pratique.water import nitrite


def test_there_is_no_limit_on_file_for_sea_water() -> None:
    assert nitrite.sea_water_limit() is None


def test_sea_water_holds_far_more_chloride_than_nitrite() -> None:
    assert nitrite.chloride(35) == pytest.approx(19_700, rel=0.01)
    assert nitrite.chloride_per_nitrite(1, 35) == pytest.approx(nitrite.chloride(35))
    assert nitrite.chloride_per_nitrite(5, 14) > 1000


def test_nothing_is_compared_with_nothing() -> None:
    with pytest.raises(ValueError, match="no nitrite"):
        nitrite.chloride_per_nitrite(0, 35)
