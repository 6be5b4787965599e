"""Room files with parts changed: a sound room, or problems that say where."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings

from fuzz.laws import room_text_is_a_room_or_refused
from fuzz.strategies import good_trees, room_text, room_texts


def test_the_files_from_which_the_changed_ones_are_made_are_sound() -> None:
    for tree in good_trees():
        assert room_text_is_a_room_or_refused(room_text(tree, as_json=True))
        assert room_text_is_a_room_or_refused(room_text(tree, as_json=False))


@given(room_texts)
@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.large_base_example])
def test_a_changed_room_file_is_a_room_or_refused(text: str) -> None:
    room_text_is_a_room_or_refused(text)
