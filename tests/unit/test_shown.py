"""Litres and degrees as the keeper counts them, with the metric figure beside; by hand."""

from __future__ import annotations

from typing import Any

import pytest

from pratique.room.load import load_room_text
from pratique.room.resolve import Room
from pratique.room.shown import in_own_units, shown_degrees, shown_warmth
from schedule_rooms import as_yaml, room_data


def room(volume: str, temperature: str) -> Room:
    more: dict[str, Any] = {"room": {"units": {"volume": volume, "temperature": temperature}}}
    found, problems = load_room_text(as_yaml(room_data(**more)))
    assert found is not None, problems
    return found


def test_metric_rooms_read_plain_figures() -> None:
    metric = room("L", "degC")
    assert in_own_units("75.2–76.9 L at 25 °C", metric) == "75.2–76.9 L at 25 °C"
    assert shown_warmth(25.56, metric) == "25.6 °C"
    assert shown_warmth(27, metric, places=0) == "27 °C"
    assert shown_degrees(1, metric) == "1 °C"


@pytest.mark.parametrize(("unit", "said"), [("gal_us", "10.0 US gal (37.9 L)"), ("gal_imp", "8.34 imp gal (37.9 L)")])
def test_gallons_stand_before_the_litres(unit: str, said: str) -> None:
    """A US gallon is 3.785411784 L, an imperial one 4.54609 L."""
    assert in_own_units("37.9 L", room(unit, "degC")) == said


def test_a_range_in_gallons() -> None:
    assert in_own_units("37.9–41.6 L", room("gal_us", "degC")) == "10.0–11.0 US gal (37.9–41.6 L)"


def test_a_cupful_is_not_told_in_gallons() -> None:
    assert in_own_units("0.142 L", room("gal_us", "degF")) == "0.142 L"


def test_the_apostrophe_of_a_word_is_no_quote() -> None:
    """What was typed stands in quotes and is left alone; what stands between two apostrophes was not typed."""
    said = "mix 37.9 L for tomorrow's change, 75.7 L for the dealer's, and ask '10 L'"
    own = "mix 10.0 US gal (37.9 L) for tomorrow's change, 20.0 US gal (75.7 L) for the dealer's, and ask '10 L'"
    assert in_own_units(said, room("gal_us", "degC")) == own


def test_degrees_and_differences_of_degrees_are_two_things() -> None:
    """25 °C is 77 °F; 1 °C warmer is 1.8 °F warmer, and never 33.8 °F."""
    own = room("L", "degF")
    assert shown_warmth(25, own) == "77.0 °F (25.0 °C)"
    assert shown_warmth(27, own, places=0) == "80.6 °F (27 °C)"
    assert shown_degrees(1, own) == "1.8 °F (1 °C)"
