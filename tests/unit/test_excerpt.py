"""The keeper's own line on a narrow screen: cut around the caret, and never in the middle of a number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pratique.problem import Place
from pratique.render.excerpt import excerpt
from pratique.render.measure import text_width


def shown(text: str, word: str, width: int | None, label: str = "") -> list[str]:
    place = Place(file="f.yaml", line=7, column=text.index(word) + 1, width=len(word), text=text, label=label)
    return excerpt(place, "^", 2, lambda part: part, width)


def test_a_line_that_fits_is_left_alone() -> None:
    assert shown("  use: wrad", "wrad", 40) == ["   |", " 7 |   use: wrad", "   |        ^^^^"]


def test_what_comes_after_is_cut_first() -> None:
    lines = shown("  q1: {use: wrad, volume: {measured: 62 L}}", "wrad", 30)
    assert lines[1:] == [" 7 |   q1: {use: wrad, volume…", "   |             ^^^^"]


def test_what_comes_before_is_cut_where_the_caret_lies_far_out() -> None:
    lines = shown("  q1: {use: ward, volume: {measured: 62 l}, lid: yes}", "62 l", 30)
    line, carets = lines[1:3]
    start = carets.index("^")
    assert line[start : start + 4] == "62 l"
    assert max(map(len, lines)) <= 30


def test_a_cut_leaves_no_part_of_a_number_and_no_number_without_its_unit() -> None:
    line = shown("use: wrad, measured: 1234 L", "wrad", 4 + len("use: wrad, measured: 12…"))[1]
    assert line == " 7 | use: wrad, measured: …"
    line = shown("use: wrad, measured: 1234 L", "wrad", 4 + len("use: wrad, measured: 1234 …"))[1]
    assert line == " 7 | use: wrad, measured: …"
    line = shown("measured: 1234 L, use: wrad", "wrad", 4 + len("…34 L, use: wrad") + 1)[1]
    assert "34" not in line


def test_a_wrong_part_too_long_for_the_screen_is_cut() -> None:
    lines = shown("species: " + "x" * 60, "x" * 60, 30)
    assert lines[1].endswith("…")
    assert max(map(len, lines)) <= 30


def test_a_label_beyond_the_edge_goes_below() -> None:
    lines = shown("    water: main", "main", 30, "this tank shares that water")
    assert lines[2:] == [
        "   |            ^^^^",
        "   |            this tank",
        "   |            shares that",
        "   |            water",
    ]


@given(
    st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z", "M"]), min_size=1, max_size=80),
    st.integers(0, 79),
    st.integers(1, 40),
    st.integers(13, 90),
)
def test_no_line_is_wider_than_the_screen_and_the_caret_stands_below_its_word(
    text: str, start: int, size: int, width: int
) -> None:
    start %= len(text)
    word = text[start : start + size]
    place = Place(file="f.yaml", line=7, column=start + 1, width=size, text=text)
    _, line, carets = excerpt(place, "^", 2, lambda part: part, width)
    assert text_width(line) <= width
    assert text_width(carets) <= width
    column = carets.index("^")
    assert text_width(line) >= column
    first = line[5:]
    if "…" not in first:
        assert word in first


@pytest.mark.parametrize("width", [1, 5, 8, 12])
def test_a_screen_of_a_few_columns_still_shows_the_caret(width: int) -> None:
    assert "^" in shown("  q1: {use: wrad, volume: {measured: 62 L}}", "wrad", width)[2]
