"""Whatever is typed is either read soundly or refused with a code, a line and a column: never a crash."""

from __future__ import annotations

import math
import unicodedata
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pratique.problem import Problem
from pratique.quantity import (
    CANONICAL,
    SPELLINGS,
    QuantityError,
    from_canonical,
    parse_measure,
    parse_number,
    to_canonical,
)
from pratique.render.problems import render_problems
from pratique.room.load import load_room_text

GOOD = Path(__file__).parent.parent / "cases" / "good"
ROOM_TEXTS = [path.read_text(encoding="utf-8") for path in sorted(GOOD.glob("*.yaml"))]

units = st.sampled_from([(dimension, unit) for dimension, listed in SPELLINGS.items() for unit in listed])
dimensions = st.sampled_from(sorted(CANONICAL))
quick = settings(max_examples=120, deadline=None)


@given(units, st.floats(min_value=-1e6, max_value=1e6))
@quick
def test_conversions_go_there_and_back(unit: tuple[str, str], number: float) -> None:
    dimension, name = unit
    back = from_canonical(to_canonical(number, name, dimension), name, dimension)
    assert back == pytest.approx(number, rel=1e-9, abs=1e-6)


@given(units, st.decimals(min_value=0, max_value=100_000, places=3))
@quick
def test_a_written_quantity_has_the_value_of_its_number(unit: tuple[str, str], number: object) -> None:
    dimension, name = unit
    found = parse_measure(f"{number} {name}", dimension)
    assert found.value == pytest.approx(to_canonical(float(str(number)), name, dimension))
    assert found.unit == CANONICAL[dimension]


@given(units, st.integers(1, 10_000), st.integers(1, 99))
@quick
def test_an_error_in_percent_lies_on_both_sides(unit: tuple[str, str], number: int, share: int) -> None:
    dimension, name = unit
    if dimension in ("fraction", "temperature"):
        return
    found = parse_measure(f"{number} {name} ± {share} %", dimension)
    assert found.low == pytest.approx(found.value * (1 - share / 100))
    assert found.high == pytest.approx(found.value * (1 + share / 100))


pieces = st.sampled_from(
    [
        "1",
        "0",
        "999999999999999999999999999999",
        ".",
        ",",
        "-",
        "+",
        "e",
        "±",
        "+/-",
        "%",
        " ",
        "L",
        "gal_us",
        "mg/L",
        "°C",
        "µ",
        "nan",
        "inf",
        ":",
        "30",
        "degC",
        "sg",
        "−",
        "–",
        "to",
        "½",
        "٣",
        "\xa0",
        "\n",
        "'",
        "O",
    ]
)

typed = st.one_of(st.text(max_size=40), st.lists(pieces, max_size=8).map("".join))


@given(typed, dimensions)
@settings(max_examples=400, deadline=None)
@example("1" * 79, "volume")
@example("1 L ±", "volume")
@example("± 1 L", "volume")
@example("%", "fraction")
def test_any_text_is_a_sound_measure_or_a_quantity_error(text: str, dimension: str) -> None:
    try:
        found = parse_measure(text, dimension)
    except QuantityError as error:
        assert error.kind
        assert error.detail
        assert error.hint
        assert error.part in error.text or error.part in " ".join(text.split())
        return
    assert all(map(math.isfinite, (found.value, found.low, found.high)))
    assert found.low <= found.value <= found.high
    assert found.unit == CANONICAL[dimension]


@given(st.text(max_size=30))
@quick
def test_any_text_is_a_number_or_a_quantity_error(text: str) -> None:
    try:
        assert math.isfinite(parse_number(text))
    except QuantityError as error:
        assert error.hint


def assert_sound(text: str) -> None:
    room, problems = load_room_text(text, "f.yaml")
    assert (room is None) == any(problem.is_error for problem in problems)
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for problem in problems:
        assert_placed(problem, lines)
    shown = render_problems(problems)
    steering = {char for char in shown if unicodedata.category(char) in ("Cc", "Cf", "Cs", "Zl", "Zp")}
    assert steering <= {"\n", "\u200d"}
    assert problems == sorted(
        problems, key=lambda problem: (problem.places[0].line, problem.places[0].column)
    )


def assert_placed(problem: Problem, lines: list[str]) -> None:
    assert problem.code[0] in "FU"
    assert problem.message
    assert problem.places
    for place in problem.places:
        assert 1 <= place.line <= len(lines)
        assert 1 <= place.column <= len(lines[place.line - 1]) + 1
        assert place.column + place.width <= len(lines[place.line - 1]) + 2


@given(st.text(max_size=200))
@quick
def test_any_text_is_a_room_or_problems_with_places(text: str) -> None:
    assert_sound(text)


scraps = st.sampled_from(
    [
        "room:",
        "tanks:",
        "q1:",
        "use:",
        "ward",
        " ",
        "  ",
        "\n",
        "- ",
        "[",
        "]",
        "{",
        "}",
        ": ",
        ",",
        "&a",
        "*a",
        "!t ",
        "'",
        '"',
        "#",
        "|",
        ">",
        "?",
        "\t",
        "---\n",
        "<<:",
        "%",
        "@",
        "62 L",
        "time_zone: Europe/Lisbon",
        "\\",
        "\r\n",
        "é",
    ]
)


@given(st.lists(scraps, max_size=60).map("".join))
@settings(max_examples=300, deadline=None)
def test_any_heap_of_yaml_is_a_room_or_problems_with_places(text: str) -> None:
    assert_sound(text)


@given(st.sampled_from(ROOM_TEXTS), st.data())
@settings(max_examples=150, deadline=None)
def test_a_damaged_room_file_is_a_room_or_problems_with_places(text: str, data: st.DataObject) -> None:
    for _ in range(data.draw(st.integers(1, 4))):
        start = data.draw(st.integers(0, len(text)))
        end = min(len(text), start + data.draw(st.integers(0, 12)))
        text = text[:start] + data.draw(st.one_of(scraps, pieces, st.text(max_size=3))) + text[end:]
    assert_sound(text)


values = st.recursive(
    st.sampled_from(["", "x", "62 L", "8:30", "no", "1e3", "2027-03-05", "yellow tang", "ward", "-1"]),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["use", "volume", "a", "from"]), inner)
    ),
    max_leaves=8,
)


@given(
    st.dictionaries(
        st.sampled_from(
            [
                "room",
                "tanks",
                "waters",
                "animals",
                "batches",
                "shelf",
                "salt",
                "mixed_water",
                "kits",
                "gear",
                "vessels",
                "regimens",
                "values",
                "x",
            ]
        ),
        values,
    )
)
@settings(max_examples=250, deadline=None)
def test_any_tree_in_any_section_is_a_room_or_problems_with_places(tree: dict[str, object]) -> None:
    import json

    assert_sound(json.dumps(tree, ensure_ascii=False))


@given(st.integers(1, 3000), st.sampled_from(["[", "{a: ", "- ", "? ", "a:\n", "[{a: "]))
@settings(max_examples=30, deadline=None)
def test_any_depth_is_refused_in_time(depth: int, opening: str) -> None:
    assert_sound(opening * depth)
