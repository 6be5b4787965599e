"""A dose knows what the plan has put into the water, so that nothing is begun twice or combined unseen."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner, Result

from pratique.cli.main import cli

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
IN_COPPER = "2027-11-10T08:00"
BEFORE_COPPER = "2027-10-25T08:00"


def dose(treatment: str, at: str, *more: str) -> Result:
    words = ["dose", "ward", treatment, "--off", "uv", "--room", HARBOUR, "--at", at, *more]
    return CliRunner().invoke(cli, words)


def test_copper_that_the_plan_has_begun_is_not_begun_again() -> None:
    result = dose("copper-chelated", IN_COPPER)
    assert result.exit_code == 1
    assert "error[D463]: by the plan `copper-chelated` is in this water since" in result.stderr
    assert "--reading '0 mg/L'" in result.stderr


def test_a_reading_answers_the_question() -> None:
    assert dose("copper-chelated", IN_COPPER, "--reading", "2.1 mg/L").exit_code == 0
    assert dose("copper-chelated", IN_COPPER, "--reading", "0 mg/L").exit_code == 0


def test_another_medicine_is_refused_while_the_plan_has_copper_there() -> None:
    result = dose("formalin-bath", IN_COPPER, "--oxygen", "7 mg/L")
    assert result.exit_code == 1
    assert "error[D423]" in result.stderr
    assert "copper-chelated in ward since" in result.stderr


def test_before_the_plan_has_begun_nothing_stands_in_the_way() -> None:
    assert dose("copper-chelated", BEFORE_COPPER).exit_code == 0
