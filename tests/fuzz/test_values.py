"""Quantities, dates and the other values of one line: read as they stand, or refused."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fuzz.laws import DIMENSIONS, quantity_is_read_twice_alike, value_is_what_stands_there
from fuzz.readers import FACTORS, READERS, second_reading
from fuzz.strategies import NONSENSE, moments, quantities
from pratique.spellings import CANONICAL, SPELLINGS


def test_the_second_reader_knows_every_unit() -> None:
    """Else the comparison below would pass over what it does not know."""
    assert set(FACTORS) == set(CANONICAL)
    assert {dimension: set(units) - {""} for dimension, units in FACTORS.items()} == {
        dimension: set(units) for dimension, units in SPELLINGS.items()
    }


def test_the_second_reader_reads() -> None:
    """US gallon 3.785411784 L and 77 degF = 25 degC: NIST Special Publication 811, appendix B."""
    assert second_reading("1 gal_us", "volume") == (Fraction("3.785411784"),) * 3
    assert second_reading("77 degF ± 1 degF", "temperature") == (25, 25 - Fraction(5, 9), 25 + Fraction(5, 9))
    assert second_reading("62 L ± 50 %", "volume") == (62, 31, 93)
    assert [second_reading(text, "volume") for text in ("", "62", "6 2 L", "1e3 L", "６２ L", "1 L ± -1 L")] == [
        None
    ] * 6


@given(quantities, st.sampled_from(DIMENSIONS))
@settings(max_examples=600, deadline=None)
@example("62 L ± 2 %", "volume")
@example("-0 degC", "temperature")
@example("1 %", "fraction")
def test_two_readers_agree_on_every_quantity(text: str, dimension: str) -> None:
    quantity_is_read_twice_alike(text, dimension)


@given(st.one_of(quantities, moments, st.text(max_size=20)), st.sampled_from(sorted(READERS)))
@settings(max_examples=800, deadline=None)
def test_every_value_is_what_stands_there(text: str, reader: str) -> None:
    value_is_what_stands_there(text, reader)


_NEVER = [word for word in NONSENSE if word not in ("-0", "+5", "9" * 40, "0." + "0" * 60 + "1", "yes", "true")]


@pytest.mark.parametrize("reader", sorted(set(READERS) - {"yes", "off"}))
def test_what_is_no_number_is_never_one(reader: str) -> None:
    for word in _NEVER:
        for unit in ("", " L", " mg/L", " degC", " g/kg", "%", " sg at 25 degC", " h", " drops/mL", " mg/kg"):
            assert not value_is_what_stands_there(word + unit, reader), (word + unit, reader)
