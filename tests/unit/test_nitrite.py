"""Nitrite in sea water: no number on file, and the chloride that stands against it."""

from __future__ import annotations

from pratique.water import nitrite


def test_there_is_no_limit_on_file_for_sea_water() -> None:
    assert nitrite.sea_water_limit() is None
