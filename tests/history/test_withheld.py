"""No dose where the log speaks of what the room file no longer has; and a word where there is no log at all."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from history.kept import acts, batch, build, codes, first, history, moment, tank, typed
from pratique.cli.main import cli
from pratique.history.fold import fold
from pratique.logbook.book import build_log
from pratique.logbook.line import to_line
from pratique.room.resolve import Room
from pratique.schedule.model import BatchPlan, Task
from pratique.schedule.plan import make_plan
from schedule_rooms import COPPER, as_yaml, room_data

GIVEN = """
    2027-03-05T19:00 arrived first in ward
    2027-03-06T19:00 dose ward 12 mL of copper bottle
"""
AT = "2027-03-06T21:00"


def as_it_was() -> Room:
    return build(tanks={"ward": tank("ward")}, batches={"first": batch()})


def then_called(room: Room, lines: str = GIVEN, at: str = AT) -> BatchPlan:
    """The plan of another room file with the log of this one."""
    log, _ = build_log(typed(as_it_was(), lines))
    return make_plan(room, fold(room, log, moment(at))).batches[0]


def to_give(found: BatchPlan) -> list[Task]:
    return [task for task in acts(found, "dose", "redose") if task.state != "done"]


RENAMED = {
    "tank": build(tanks={"qt": tank("ward")}, batches={"first": batch()}),
    "batch": build(tanks={"ward": tank("ward")}, batches={"second": batch()}),
    "bottle": build(tanks={"ward": tank("ward")}, shelf={"copper": COPPER}, batches={"first": batch()}),
}


@pytest.mark.parametrize("what", RENAMED)
def test_a_new_name_does_not_bring_the_first_dose_back(what: str) -> None:
    """Found on a walk: 24 mL were logged in `quarantine`; with the tank called `qt` the sheet asked for 12 mL again."""
    found = then_called(RENAMED[what])
    doses = to_give(found)
    assert doses
    assert {(task.amount, task.refused) for task in doses} == {(None, "S539")}
    assert all("add nothing" in task.text for task in doses)
    (problem,) = [problem for problem in found.problems if problem.code == "S539"]
    assert problem.is_error
    assert f"the {what} `" in problem.message
    assert not [problem for problem in found.problems if problem.code == "S522" and "dose" in problem.message]
    for stage in found.stages:
        assert not [routine for routine in stage.routines if routine.act == "redose" and routine.amount is not None]


def test_what_was_logged_long_before_it_came_withholds_nothing() -> None:
    lines = "2027-01-05T19:00 dose ward 12 mL of copper bottle"
    assert "S539" not in codes(then_called(RENAMED["tank"], lines, "2027-03-06T09:00"))


@pytest.mark.parametrize("came", ["2027-03-04T19:00", "2027-03-10T19:00"])
def test_it_counts_from_when_it_was_announced_or_came_whichever_was_first(came: str) -> None:
    """A bottle that was renamed since: its dose was a day after the first of the two, or days before the second."""
    lines = f"{came} arrived first in ward\n2027-03-05T08:00 dose ward 12 mL of copper bottle"
    in_order = "\n".join(sorted(lines.splitlines()))
    assert "S539" in codes(then_called(RENAMED["bottle"], in_order, "2027-03-11T09:00"))


def test_with_the_names_as_they_were_nothing_is_withheld() -> None:
    found = then_called(as_it_was())
    assert "S539" not in codes(found)
    assert all(task.amount is not None for task in to_give(found))


@settings(max_examples=40, deadline=None)
@given(name=st.sampled_from(["ward", "qt", "first", "second", "copper bottle", "copper"]), hours=st.integers(1, 200))
def test_no_dose_is_planned_from_half_a_record(name: str, hours: int) -> None:
    """Whatever was renamed: either every name of the log is known, or no amount is on the plan."""
    room = build(
        tanks={name if name in ("ward", "qt") else "ward": tank("ward")},
        batches={name if name in ("first", "second") else "first": batch()},
        shelf={name if name in ("copper bottle", "copper") else "copper bottle": COPPER},
    )
    at = f"2027-03-{7 + hours // 24:02}T{hours % 24:02}:00"
    found = then_called(room, GIVEN, at)
    known = history(as_it_was(), GIVEN, at).log.entries
    assert known
    amounts = [task.amount for task in to_give(found) if task.amount is not None]
    if name in ("qt", "second", "copper"):
        assert not amounts
    else:
        assert "S539" not in codes(found)


def sheet(folder: Path, at: str, *more: str) -> str:
    path = folder / "fishroom.yaml"
    path.write_text(as_yaml(room_data(tanks={"ward": tank("ward")}, batches={"first": batch()})))
    words = ["day", "--room", str(path), "--at", at, *more]
    return CliRunner().invoke(cli, words, env={"COLUMNS": "", "NO_COLOR": "1"}).stdout


@pytest.mark.parametrize("more", [(), ("--deputy",)])
def test_a_sheet_without_a_log_says_that_it_knows_of_no_dose(tmp_path: Path, more: tuple[str, ...]) -> None:
    said = "what was given to first is not on it"
    assert said in sheet(tmp_path, "2027-03-06T21:00", *more)
    assert said not in sheet(tmp_path, "2027-03-05T08:00", *more)  # nothing has come yet
    (tmp_path / "fishroom.log.jsonl").write_bytes(b"")
    assert said in sheet(tmp_path, "2027-03-06T21:00", *more)
    (arrival,) = typed(as_it_was(), "2027-03-05T19:00 arrived first in ward")
    (tmp_path / "fishroom.log.jsonl").write_bytes(to_line(arrival) + b"\n")
    assert said not in sheet(tmp_path, "2027-03-06T21:00", *more)


def test_first_plan_of_a_room_that_has_everything_is_whole() -> None:
    assert first(as_it_was(), GIVEN, AT).release is not None
