"""Fish that an emergency took out of their tank: they are in no batch, and the sheet does not forget them."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from history.kept import batch, build, history, typed
from pratique.cli.main import cli
from pratique.logbook.line import to_line
from pratique.room.load import load_room
from pratique.schedule.day import tasks_on
from pratique.schedule.plan import make_plan

HARBOUR = Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml"
MOVED = "2027-03-08T19:10 move Lemon from reef to green tub\n"
COPPER = MOVED + "2027-03-08T19:40 dose green tub copper-chelated 8 mL of copper bottle\n"


@pytest.fixture
def room(tmp_path: Path) -> Path:
    path = tmp_path / "fishroom.yaml"
    path.write_bytes(HARBOUR.read_bytes())
    return path


def sheet(path: Path, log: str, date: str, at: str = "2027-03-08T21:00") -> tuple[list[dict[str, str]], list[str]]:
    """The tasks of no batch in the green tub on a date, and the codes of what is said."""
    room, _ = load_room(path)
    assert room is not None
    path.with_suffix(".log.jsonl").write_bytes(b"".join(to_line(entry) + b"\n" for entry in typed(room, log)))
    found = json.loads(CliRunner().invoke(cli, ["day", date, "--at", at, "--room", str(path), "--json"]).stdout)
    (day,) = found["result"]["days"]
    tasks = [task for task in day["tasks"] if task["tank"] == "green tub" and not task["batch"]]
    return tasks, [problem["code"] for problem in found["problems"]]


def acts(tasks: list[dict[str, str]]) -> list[str]:
    return sorted(task["act"] for task in tasks)


def test_on_the_evening_they_come_they_are_looked_at_and_not_fed(room: Path) -> None:
    tasks, problems = sheet(room, MOVED, "2027-03-08")
    assert acts(tasks) == ["look", "prepare-water", "test"]
    assert "S545" in problems
    came = dt.datetime(2027, 3, 8, 19, 10, tzinfo=dt.UTC)
    assert all(dt.datetime.fromisoformat(task["at"]) >= came for task in tasks)


def test_from_the_next_day_on_they_get_what_a_tank_without_a_filter_needs(room: Path) -> None:
    tasks, problems = sheet(room, MOVED, "2027-03-09")
    assert acts(tasks) == ["change-water", "feed", "look", "look", "prepare-water", "test", "test"]
    assert "S545" in problems
    assert all(task["text"].startswith("ammonia") for task in tasks if task["act"] == "test")
    assert "no course is planned for them" in next(task["text"] for task in tasks if task["act"] == "look")


def test_a_medicine_that_was_begun_is_tested_twice_a_day(room: Path) -> None:
    tasks, _ = sheet(room, COPPER, "2027-03-09")
    assert [task["text"][:6] for task in tasks if task["act"] == "test"].count("copper") == 2
    change = next(task["text"] for task in tasks if task["act"] == "change-water")
    assert "`pratique dose 'green tub' copper-chelated --change" in change


def test_what_was_written_shows_as_done(room: Path) -> None:
    log = MOVED + "2027-03-09T07:00 reading green tub ammonia 0 mg/L\n2027-03-09T07:05 change green tub 20 L\n"
    tasks, _ = sheet(room, log, "2027-03-09", at="2027-03-09T09:00")
    done = [(task["act"], task["at"][11:13]) for task in tasks if task.get("state") == "done"]
    assert ("test", "07") in done or ("test", "06") in done
    assert "change-water" in [act for act, _ in done]


def test_once_they_are_home_nothing_more_is_said(room: Path) -> None:
    tasks, problems = sheet(room, MOVED + "2027-03-08T20:00 move Lemon from green tub to reef\n", "2027-03-09")
    assert acts(tasks) == []
    assert "S545" not in problems


def test_theirs_is_the_last_water_of_a_round(room: Path) -> None:
    found, _ = load_room(room)
    assert found is not None
    room.with_suffix(".log.jsonl").write_bytes(b"".join(to_line(entry) + b"\n" for entry in typed(found, MOVED)))
    words = ["day", "2027-03-09", "--at", "2027-03-08T21:00", "--room", str(room), "--json"]
    day = json.loads(CliRunner().invoke(cli, words).stdout)["result"]["days"][0]
    looks = [task["tank"] for task in day["tasks"] if task["act"] == "look"]
    assert looks[-1] == "green tub"


def test_a_test_that_no_kit_can_make_is_marked(room: Path) -> None:
    text = room.read_text("utf-8")
    room.write_text(text.replace("  ammonia kit: {measures: ammonia, resolution: 0.25 mg/L}\n", "", 1), "utf-8")
    tasks, _ = sheet(room, MOVED, "2027-03-09")
    tests = [task["text"] for task in tasks if task["act"] == "test"]
    assert tests
    assert all("NO AMMONIA KIT is on file" in text for text in tests)
    room.write_text(text, "utf-8")
    tasks, _ = sheet(room, MOVED, "2027-03-09")
    assert not any("NO AMMONIA KIT" in task["text"] for task in tasks)


def test_of_a_batch_in_two_waters_each_part_is_looked_after_and_counted_by_itself() -> None:
    room = build(batches={"first": batch("2027-03-05T18:30", "untrusted", "yellow tang", "ocellaris clownfish")})
    lines = "2027-03-05T19:00 arrived first in tub a\n2027-03-05T20:00 move 1 ocellaris clownfish to ward"
    record = history(room, lines, "2027-03-06T08:00")
    plan = make_plan(room, record)
    tasks = tasks_on(room, plan, dt.date(2027, 3, 6), record)
    heads = {(task.tank, task.text.partition(";")[0]) for task in tasks if task.act == "look"}
    assert heads == {("tub a", "count heads (1)"), ("ward", "count heads (1)")}
    assert {task.tank for task in tasks if task.act == "feed"} == {"tub a", "ward"}
    assert {task.tank for task in tasks if task.act == "test"} == {"tub a", "ward"}
    later = [routine for stage in plan.batches[0].stages[1:] for routine in stage.routines if routine.act == "look"]
    assert all("count heads (2)" in routine.text for routine in later)


def test_a_batch_whose_regimen_makes_no_sense_is_still_looked_after() -> None:
    stage = {"name": "watch", "kind": "observation", "use": "observation", "treatments": ["copper-ionic"]}
    odd = {"title": "odd", "reason": "a slip", "misses": "much", "stages": [stage]}
    room = build(batches={"first": batch(regimen="odd")}, regimens={"odd": odd})
    record = history(room, "2027-03-05T19:00 arrived first in ward", "2027-03-06T08:00")
    plan = make_plan(room, record)
    assert not plan.batches[0].stages
    tasks = tasks_on(room, plan, dt.date(2027, 3, 6), record)
    assert {"look", "feed", "test", "change-water"} <= {task.act for task in tasks if task.tank == "ward"}
