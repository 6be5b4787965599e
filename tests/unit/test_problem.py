"""Problems sort by line, and near names are offered only when really near."""

from __future__ import annotations

import dataclasses

import pytest

from pratique.problem import Place, Problem, Refusal, near_hint, near_names, quoted, sort_problems


def at(line: int, column: int = 1, file: str = "fishroom.yaml") -> tuple[Place, ...]:
    return (Place(file=file, line=line, column=column),)


def test_sorted_by_file_line_and_column_those_without_a_place_last() -> None:
    nowhere = Problem(code="F101", message="no file")
    found = [
        nowhere,
        Problem(code="F113", message="b", places=at(9, 2)),
        Problem(code="F111", message="a", places=at(9, 1)),
        Problem(code="F112", message="c", places=at(2, 40)),
        Problem(code="L301", message="d", places=at(1, 1, "fishroom.log.jsonl")),
    ]
    assert [problem.message for problem in sort_problems(found)] == ["d", "c", "a", "b", "no file"]


def test_a_problem_cannot_be_changed() -> None:
    problem = Problem(code="F101", message="no file")
    assert problem.is_error
    assert problem.place is None
    with pytest.raises(dataclasses.FrozenInstanceError):
        problem.code = "F102"  # type: ignore[misc]


def test_a_refusal_needs_a_reason() -> None:
    with pytest.raises(ValueError, match="reason"):
        Refusal()
    warning = Problem(code="D410", message="coarse kit", severity="warning")
    assert not warning.is_error
    assert Refusal(problems=(warning,)).first is warning


@pytest.mark.parametrize(
    ("word", "known", "near"),
    [
        ("verdin", ["verdine", "other"], ["verdine"]),
        ("dispaly", ["display"], ["display"]),  # a swap counts once
        ("DISPLAY", ["display"], ["display"]),
        ("q2", ["q1", "q22", "ward"], ["q1", "q22"]),  # short names: one letter
        ("q2", ["ab"], []),
        ("x", ["y"], []),  # every one-letter name would be near
        ("Q", ["q"], ["q"]),
        ("copper", ["chloroquine"], []),
        ("cooper-inic", ["copper-ionic"], ["copper-ionic"]),
        ("aaaa", ["aaab", "aaac", "aaad", "aaae"], ["aaab", "aaac", "aaad"]),  # three at most
        ("abcd", ["abxy", "abcx"], ["abcx", "abxy"]),  # the nearest first
        ("", ["a"], []),
    ],
)
def test_near_names(word: str, known: list[str], near: list[str]) -> None:
    assert near_names(word, known) == near


def test_the_hint_of_near_names_shows_what_else_they_are_called() -> None:
    assert near_hint([]) == ""
    assert near_hint(["a", "b"], {"b": "Bee"}) == "did you mean `a` or `b` (Bee)? nothing was changed"


def test_quoted_words_stay_on_one_line_and_short() -> None:
    assert quoted("q1") == "`q1`"
    assert quoted(" two\n lines ") == "`two lines`"
    assert quoted("x" * 5000) == "`" + "x" * 60 + "…`"


def test_a_word_of_three_letters_is_near_to_nothing_that_shares_but_one() -> None:
    assert near_names("xyz", ["eye"]) == []
    assert near_names("eya", ["eye"]) == ["eye"]
