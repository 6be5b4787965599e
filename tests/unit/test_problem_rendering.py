"""The form in which problems are shown: order, excerpts, carets, folding, summary."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pratique.problem import Place, Problem
from pratique.render.measure import text_width
from pratique.render.problems import fold_problems, render_problem, render_problems


def place(text: str, word: str, line: int = 31, label: str = "") -> Place:
    column = text.index(word) + 1
    return Place(file="fishroom.yaml", line=line, column=column, width=len(word), text=text, label=label)


NEAR = Problem(
    code="F104",
    message="unknown treatment `verdin`",
    places=(place("      - treatment: verdin", "verdin", label="not among the known treatments"),),
    hint="did you mean `verdine` (Verdine 10 %)? nothing was changed",
)

TWO_PLACES = Problem(
    code="D412",
    message="verdine is not given to scaleless fish",
    places=(
        place("      - treatment: verdine", "verdine", label="planned here"),
        place("    animals: [lantern goby]", "lantern goby", 27, "scaleless, in the species list"),
    ),
    source="EX24 p. 121",
    hint="move the goby first, or choose another treatment; `pratique why D412` lists them",
)


def test_a_near_name() -> None:
    assert render_problem(NEAR) == (
        "error[F104]: unknown treatment `verdin`\n"
        "  --> fishroom.yaml:31:20\n"
        "   |\n"
        "31 |       - treatment: verdin\n"
        "   |                    ^^^^^^ not among the known treatments\n"
        "   |\n"
        "   = hint: did you mean `verdine` (Verdine 10 %)? nothing was changed"
    )


def test_two_places_that_conspire() -> None:
    assert render_problem(TWO_PLACES) == (
        "error[D412]: verdine is not given to scaleless fish\n"
        "  --> fishroom.yaml:31:20\n"
        "   |\n"
        "31 |       - treatment: verdine\n"
        "   |                    ^^^^^^^ planned here\n"
        "   |\n"
        "  ::: fishroom.yaml:27:15\n"
        "   |\n"
        "27 |     animals: [lantern goby]\n"
        "   |               ------------ scaleless, in the species list\n"
        "   |\n"
        "   = source: EX24 p. 121\n"
        "   = hint: move the goby first, or choose another treatment; `pratique why D412` lists them"
    )


def test_note_source_and_hint_come_in_this_order() -> None:
    text = render_problem(replace(NEAR, note="background", source="EX24"))
    assert text.index("= note: background") < text.index("= source: EX24") < text.index("= hint:")


def test_without_a_place_there_is_no_excerpt() -> None:
    problem = Problem(
        code="F101", message="there is no room file `a.yaml`", hint="`pratique start` writes one"
    )
    assert render_problem(problem) == (
        "error[F101]: there is no room file `a.yaml`\n   = hint: `pratique start` writes one"
    )


def test_the_gutter_grows_with_the_line_number() -> None:
    text = render_problem(replace(NEAR, places=(replace(NEAR.places[0], line=4711),)))
    assert "    --> fishroom.yaml:4711:20\n" in text
    assert "4711 |       - treatment: verdin\n     |                    ^^^^^^" in text


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("    日本語タンク: {use: wrad}", "wrad"),
        ("    cafe\u0301: {use: wrad}", "wrad"),
        ("    a: 25℃", "℃"),
        ("    \u1112\u1161\u11ab: {use: wrad}", "wrad"),
        ("    x: 日本", "日本"),
    ],
)
@pytest.mark.parametrize("unicode", [True, False])
def test_carets_stand_under_the_word_whatever_the_letters_before_it(
    text: str, word: str, unicode: bool
) -> None:
    shown = render_problem(replace(NEAR, places=(place(text, word),)), unicode=unicode).splitlines()
    line, carets = shown[3], shown[4]
    before = carets.index("^")
    if unicode:
        assert text_width(line[: line.index(word)]) == before
        assert carets.count("^") == text_width(word)
    else:
        assert line.isascii()
        assert len(line) == before + carets.count("^") + len(text) - text.index(word) - len(word)


def test_tabs_take_four_columns_above_and_below() -> None:
    shown = render_problem(replace(NEAR, places=(place("a:\tb: wrad", "wrad"),))).splitlines()
    assert shown[3] == "31 | a:    b: wrad"
    assert shown[4] == "   |          ^^^^"


def test_control_characters_never_reach_the_terminal() -> None:
    bad = "\x1b[31m\x07\x00\u202e\u2028\x9b"
    problem = Problem(
        code="F121",
        message=f"bad {bad} name",
        places=(Place(file=f"f{bad}.yaml", line=1, column=1, width=3, text=f"a{bad}: 1", label=bad),),
        note=bad,
        source=bad,
        hint=bad,
    )
    text = render_problem(problem)
    assert not set(text) & set("\x1b\x07\x00\u202e\u2028\x9b")
    assert all(line.isprintable() for line in text.splitlines())


def test_long_lines_are_cut_around_the_caret() -> None:
    text = "x" * 300 + " wrad " + "y" * 300
    shown = render_problem(replace(NEAR, places=(place(text, "wrad"),))).splitlines()
    line, carets = shown[3], shown[4]
    assert len(line) < 140
    assert line.count("…") == 2
    start = carets.index("^")
    assert line[start : start + 4] == "wrad"


def test_a_long_wrong_part_is_cut_too() -> None:
    text = "name: " + "x" * 5000
    shown = render_problem(replace(NEAR, places=(place(text, "x" * 5000),))).splitlines()
    assert max(map(len, shown)) < 200


def test_lines_up_to_200_characters_stay_whole() -> None:
    text = "name: " + "x" * 194
    assert text in render_problem(replace(NEAR, places=(place(text, "x" * 194),)))


def test_a_place_beyond_the_end_of_its_line_still_has_a_caret() -> None:
    beyond = Place(file="f.yaml", line=1, column=9, width=1, text="use:")
    assert render_problem(replace(NEAR, places=(beyond,))).splitlines()[4].rstrip().endswith("^")


def missing(line: int, tank: str) -> Problem:
    return Problem(
        code="F112",
        message=f"`volume` is missing under `{tank}`",
        places=(place(f"  {tank}:", tank, line),),
        hint="add a line such as `volume: {measured: 62 L}`",
    )


def test_one_kind_in_many_places_is_folded() -> None:
    text = render_problems(
        [missing(18, "q1"), missing(44, "q6"), missing(61, "q9")], outcome="no plan was worked out"
    )
    assert text == (
        "error[F112]: `volume` is missing under `q1`, and 2 more like it\n"
        "  --> fishroom.yaml:18:3  q1\n"
        "  --> fishroom.yaml:44:3  q6\n"
        "  --> fishroom.yaml:61:3  q9\n"
        "   |\n"
        "   = hint: add a line such as `volume: {measured: 62 L}`\n"
        "\n"
        "1 error, in 3 places of fishroom.yaml; no plan was worked out"
    )


def test_two_of_a_kind_are_shown_whole() -> None:
    assert fold_problems([missing(18, "q1"), missing(44, "q6")]) == [missing(18, "q1"), missing(44, "q6")]


def test_folding_keeps_the_order_of_the_first_and_leaves_the_rest() -> None:
    other = replace(NEAR, places=(replace(NEAR.places[0], line=20),))
    folded = fold_problems([missing(18, "q1"), other, missing(44, "q6"), missing(61, "q9"), NEAR])
    assert [problem.code for problem in folded] == ["F112", "F104", "F104"]
    assert [spot.line for spot in folded[0].places] == [18, 44, 61]


def test_different_hints_are_never_folded() -> None:
    three = [replace(missing(line, "q"), hint=f"hint {line}") for line in (1, 2, 3)]
    assert fold_problems(three) == three


def test_the_same_sentence_many_times_says_in_how_many_places() -> None:
    folded = fold_problems([missing(line, "q1") for line in range(1, 6)])
    assert folded[0].message == "`volume` is missing under `q1`, in 5 places"


def test_a_very_long_list_of_places_ends_in_a_count() -> None:
    text = render_problems([missing(line, f"q{line}") for line in range(1, 1001)])
    assert text.count("-->") == 20
    assert "and 980 more places\n" in text


@pytest.mark.parametrize(
    ("problems", "file_word", "summary"),
    [
        ([NEAR], "", "1 error in fishroom.yaml; nothing was worked out"),
        ([NEAR, TWO_PLACES], "", "2 errors in fishroom.yaml; nothing was worked out"),
        ([replace(NEAR, severity="warning")], "", "1 warning in fishroom.yaml; nothing was worked out"),
        (
            [NEAR, replace(NEAR, severity="warning"), replace(TWO_PLACES, severity="warning")],
            "the room",
            "1 error, 2 warnings in the room; nothing was worked out",
        ),
        ([replace(NEAR, places=())], "", "1 error; nothing was worked out"),
    ],
)
def test_the_summary_comes_last(problems: list[Problem], file_word: str, summary: str) -> None:
    text = render_problems(problems, file_word=file_word, outcome="nothing was worked out")
    assert text.endswith(f"\n\n{summary}")


def test_no_problems_are_no_text() -> None:
    assert render_problems([]) == ""


def test_ascii_form_holds_only_ascii() -> None:
    problem = replace(NEAR, message="`25 °C` ± µ …", note="≤ 45 °C", places=(place("    t: 25 °C", "°C"),))
    text = render_problems([problem], unicode=False)
    assert text.isascii()
    assert "25 deg" in text
