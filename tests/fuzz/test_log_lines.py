"""Words after `pratique log`, and lines of the log file: an entry, or a refusal that says why."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuzz.laws import line_is_an_entry_or_faults, typed_words_are_an_entry_or_refused
from fuzz.strategies import SAID, log_lines, log_words

SLOW = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@pytest.mark.parametrize("words", SAID)
def test_the_forms_from_which_the_heaps_are_made_are_understood(words: str) -> None:
    """Else the mutations below would all stop at the first word."""
    assert typed_words_are_an_entry_or_refused(words) or words.startswith(("move", "arrived", "dip", "cleaned"))


@given(st.one_of(log_words(), st.text(max_size=60)))
@SLOW
def test_any_words_are_an_entry_or_refused(text: str) -> None:
    typed_words_are_an_entry_or_refused(text)


@given(st.one_of(log_lines(), st.binary(max_size=100)))
@SLOW
def test_any_line_is_an_entry_or_faults(raw: bytes) -> None:
    line_is_an_entry_or_faults(raw)
