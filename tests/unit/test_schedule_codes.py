"""Every code the schedule gives by itself has a room that draws it out, with its severity, its place and a hint."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

import pratique.schedule
from pratique.knowledge import store
from pratique.schedule.plan import make_plan
from schedule_rooms import batch, build, tank, tanks

HISTORIES = Path(__file__).parents[1] / "history"
SOURCE = Path(pratique.schedule.__file__).parent
ARRIVES = "2027-03-05T18:30"


def own(name: str, value: str) -> dict[str, Any]:
    return {"values": {name: {"value": value, "reason": "a test"}}}


CASES: dict[str, dict[str, Any]] = {
    "S501": {"tanks": {"reef": tank("display")}},
    "S502": own("tank-transfer.interval", "12 h"),
    "S503": {"room": {"away": [{"from": "2027-03-07", "to": "2027-03-11"}]}},
    "S504": {"room": {"away": [{"from": "2027-05-07", "to": "2027-05-11"}]}},
    "S505": {"batches": {"x": batch(ARRIVES, "untrusted", "bamboo shark", regimen="copper-hold")}},
    "S506": {"batches": {"x": batch("2027-03-05T13:00")}},
    "S507": {"tanks": {**tanks(), "tub a": tank("transfer", temperature="18 degC")}},
    "S509": {"gear": {}},
    "S511": {"batches": {"x": batch(ARRIVES, "untrusted", "yellow tang", "cleaner shrimp")}},
    "S512": {
        "batches": {"x": batch(regimen="mine")},
        "regimens": {
            "mine": {
                "title": "mine",
                "reason": "a test",
                "stages": [{"name": "h", "kind": "hold", "use": ["ward"], "treatments": ["tank-transfer"]}],
            }
        },
    },
    "S513": {"tanks": {**tanks(), "tub a": tank("transfer", temperature="27 degC")}},
    "S514": {"room": {"away": [{"from": "2027-03-04", "to": "2027-03-07"}]}},
    "S515": {"tanks": {"long": tank("observation")}},
    "S516": own("observation.days", "10 d"),
    "S517": {"batches": {"x": batch(regimen="watch-only", treatment="copper-ionic")}},
    "S519": {"batches": {"x": batch(signs=["dust"])}},
    "S520": {"batches": {"x": batch(signs=["nodules"])}},
    "S518": {"batches": {"x": batch(signs=["dust"], regimen="watch-only")}},
}


def test_there_is_a_case_for_every_code() -> None:
    """What only a log can bring about has its case among the histories, asserted there by its code."""
    text = "\n".join(path.read_text("utf-8") for path in SOURCE.rglob("*.py"))
    histories = "\n".join(path.read_text("utf-8") for path in HISTORIES.glob("test_*.py"))
    by_log = set(re.findall(r'assert .*"(S\d{3})"|== "(S\d{3})"', histories))
    covered = {code for pair in by_log for code in pair if code}
    emitted = set(re.findall(r'"(S\d{3})"', text))
    assert emitted - covered <= set(CASES)
    assert set(CASES) <= emitted


@pytest.mark.parametrize("code", CASES)
def test_the_code_is_given_with_a_place_and_a_hint(code: str) -> None:
    plan = make_plan(build(**CASES[code]))
    found = [problem for problem in plan.problems if problem.code == code]
    assert found
    for problem in found:
        assert problem.hint
        assert problem.place is not None
        assert problem.message[0].islower() or problem.message[0] in "`0123456789"
        assert not problem.message.endswith(".")
        assert problem.severity == store.codes()[code].severity


@pytest.mark.parametrize("code", CASES)
def test_an_error_leaves_no_plan_and_a_warning_a_whole_one(code: str) -> None:
    plan = make_plan(build(**CASES[code]))
    own_errors = [problem for problem in plan.problems if problem.is_error and problem.code in CASES]
    assert plan.batches[0].is_whole == (not own_errors)
