"""A reading beside what was poured in: when it is taken at its word, and when the dose by it would be too much."""

from __future__ import annotations

from typing import Any

import pytest

from dosing_rooms import ask, codes, make_room, refusal
from pratique.figure import Figure

KITS = {"total": {"measures": "copper", "forms": "chelated"}, "free": {"measures": "copper", "forms": "ionic"}}


def logged(level: float, low: float | None = None) -> Figure:
    """The level by the log, in mg/L."""
    return Figure(value=level, unit="mg/L", low=level if low is None else low, high=level)


@pytest.mark.parametrize(
    ("reading", "reckoned", "said"),
    [
        ("2.1 mg/L", logged(2.52), []),  # a fifth more
        ("2.1 mg/L", logged(2.54), ["D443"]),
        ("1 mg/L", logged(1.499), []),  # first to 2 mg/L, and half a mg/L more: the ceiling is 2.5
        ("1 mg/L", logged(1.501), ["D443"]),
        ("1 mg/L ± 0.4 mg/L", logged(1.9, low=1.4), []),  # both may be true
        ("1 mg/L ± 0.4 mg/L", logged(1.9, low=1.41), ["D443"]),
        ("2.25 mg/L", logged(2.9), []),  # nothing is added
        (None, logged(2.9), []),
        ("1 mg/L", None, []),
    ],
)
def test_a_dose_that_would_go_over_the_ceiling_by_the_log(
    reading: str | None, reckoned: Figure | None, said: list[str]
) -> None:
    room = make_room(kits__meter={"measures": "copper", "forms": "chelated", "error": "0.001 mg/L"})
    assert codes(ask("copper-chelated", room, reading=reading, reckoned=reckoned)) == said


@pytest.mark.parametrize(("level", "said"), [(0.15, []), (0.152, ["D443"])])
def test_of_a_ramp_the_first_step_counts(level: float, said: list[str]) -> None:
    """A third of 0.175 mg/L is 0.058; with 0.142 mg/L more it would be at the ceiling of 0.2."""
    assert codes(ask("copper-ionic", reading="0.01 mg/L", reckoned=logged(level))) == said


@pytest.mark.parametrize(("level", "said"), [(1.99, []), (2.01, ["D443"])])
def test_a_change_takes_its_part_of_what_the_log_says(level: float, said: list[str]) -> None:
    """Half the water goes out: of 1 mg/L more half is left, on top of the first 2 mg/L."""
    answer = ask("copper-chelated", reading="1 mg/L", change_share=0.5, reckoned=logged(level))
    assert codes(answer) == said


def test_where_no_ceiling_is_on_file_the_reading_stands() -> None:
    assert codes(ask("praziquantel-bath", reading="0.5 mg/L", reckoned=logged(3.0))) == []


def test_the_log_and_the_reading_are_both_told() -> None:
    found = refusal("copper-chelated", reading="0.5 mg/L", reckoned=logged(1.5)).first
    assert found.message == "by the log 1.50 mg/L is in the water, the reading says 0.500 mg/L"
    assert "this dose would bring it to 3.00 mg/L, above 2.50 mg/L" in found.note


class TestWhichKit:
    @pytest.mark.parametrize(
        ("kit", "said"), [(None, ["D442"]), ("free", ["D444"]), ("total", []), ("", []), ("lent", ["D444"])]
    )
    def test_a_reading_is_by_a_kit_that_reads_the_form(self, kit: str | None, said: list[str]) -> None:
        room = make_room(kits=KITS | {"lent": {"measures": "copper", "forms": "ionic"}})
        assert codes(ask("copper-chelated", room, reading="2 mg/L", kit=kit)) == said

    @pytest.mark.parametrize(
        ("kits", "said"),
        [
            ({"total": KITS["total"]}, []),
            ({"free": KITS["free"]}, ["D409"]),
            (KITS | {"ph": {"measures": "ph"}}, ["D442"]),
            ({"total": KITS["total"], "ph": {"measures": "ph"}}, []),
        ],
    )
    def test_it_is_asked_only_where_kits_of_both_sorts_are_on_file(self, kits: dict[str, Any], said: list[str]) -> None:
        assert codes(ask("copper-chelated", make_room(kits=kits), reading="2 mg/L", kit=None)) == said

    def test_a_kit_past_its_date_reads_nothing(self) -> None:
        old = KITS | {"free": KITS["total"] | {"expires": "2027-03-04"}}
        found = refusal("copper-chelated", make_room(kits=old), reading="2 mg/L", kit="free")
        assert codes(found) == ["D444"]
        assert found.first.hint == "read with `total`"

    def test_where_no_kit_reads_the_form_another_is_to_be_bought(self) -> None:
        found = refusal("copper-chelated", make_room(kits={"free": KITS["free"]}), reading="2 mg/L", kit="free")
        assert "D444" in codes(found)
        said = next(problem for problem in found.problems if problem.code == "D444")
        assert said.hint == "get a kit that reads chelated copper"
        assert said.note == ""

    def test_of_many_kits_five_are_named_and_shown(self) -> None:
        kits = {"total": KITS["total"]} | {f"free {n}": KITS["free"] for n in range(1, 8)}
        found = refusal("copper-chelated", make_room(kits=kits), reading="2 mg/L", kit=None, reckoned=logged(2.1))
        assert "`free 4` or `free 5` cannot measure" in found.first.message
        assert len(found.first.places) == 5
        assert found.first.note == "by what was poured in since the last reading in the log, the level is 2.10 mg/L"

    def test_a_medicine_that_no_kit_reads_is_not_asked_about(self) -> None:
        assert codes(ask("praziquantel-bath", make_room(kits=KITS), reading="1 mg/L", kit=None)) == []
