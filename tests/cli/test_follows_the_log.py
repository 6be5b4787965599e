"""The commands with a log beside the room file: plan, day, dose, dip and check follow it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from history.kept import typed
from pratique.cli.main import cli
from pratique.logbook.line import to_line
from pratique.room.load import load_room

TOP = Path(__file__).parents[2]
HARBOUR = TOP / "examples/harbour-lane/fishroom.yaml"

SERIES = """
    2027-03-05T19:05 arrived spring tangs in blue tub
    2027-03-08T07:20 move spring tangs to green tub
    2027-03-08T09:00 dried blue tub
"""
COPPER = """
    2027-10-20T19:05 arrived late angel in ward
    2027-10-21T20:00 dose ward copper-chelated 3.5 mL of copper bottle
    2027-10-22T08:00 reading ward copper 0.55 mg/L with copper meter
"""


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A copy of the example room, whose log the tests write."""
    path = tmp_path / "fishroom.yaml"
    path.write_bytes(HARBOUR.read_bytes())
    return path


def write(path: Path, lines: str, name: str = "fishroom.log.jsonl") -> Path:
    room, _ = load_room(path)
    assert room is not None
    log = path.parent / name
    log.write_bytes(b"".join(to_line(entry) + b"\n" for entry in typed(room, lines)))
    return log


def call(path: Path, *words: str, width: int = 110) -> Result:
    return CliRunner().invoke(cli, [*words, "--room", str(path)], env={"COLUMNS": str(width), "NO_COLOR": "1"})


def answer(path: Path, *words: str) -> dict:
    return json.loads(call(path, *words, "--json").stdout)


def test_the_plan_follows_the_log_that_lies_beside_the_room(kept: Path) -> None:
    write(kept, SERIES)
    found = call(kept, "plan", "spring tangs", "--at", "2027-03-08T12:00")
    assert found.exit_code == 0
    assert "arrived   Fri 5 Mar 19:05" in found.stdout
    assert "move 1 of 4; the next" in found.stdout
    assert "done 07:20" in found.stdout
    assert "What changed since the day began" not in found.stdout


def test_or_the_one_that_is_named(kept: Path) -> None:
    log = write(kept, SERIES, "other.jsonl")
    named = answer(kept, "plan", "spring tangs", "--at", "2027-03-08T12:00", "--log", str(log))
    assert named["result"]["batches"][0]["begun"] is True
    beside = answer(kept, "plan", "spring tangs", "--at", "2027-03-08T12:00")
    assert beside["result"]["batches"][0]["begun"] is False
    missing = call(kept, "plan", "--at", "2027-03-08T12:00", "--log", str(log.with_name("none.jsonl")))
    assert "warning[L747]" in missing.stderr


def test_what_changed_stands_at_the_head(kept: Path) -> None:
    write(kept, SERIES)
    found = call(kept, "plan", "spring tangs", "--at", "2027-03-11T12:00")
    head = found.stdout.split("spring tangs\n  animals")[0]
    late = "transfer series: the next move is 4.7 h late; release moves from Mon 28 Jun to Sun 4 Jul"
    assert late in " ".join(head.split())
    assert "warning[S522]" in found.stderr
    assert "LATE" in found.stdout


def test_the_working_has_the_clocks(kept: Path) -> None:
    write(kept, SERIES)
    found = call(kept, "plan", "spring tangs", "--at", "2027-03-08T12:00", "--working")
    assert "spring tangs · the clock of transfers" in found.stdout
    assert "move 1, 60.2 h after the last" in found.stdout
    assert "with `grace: accept`" in found.stdout


def test_the_plan_as_json(kept: Path) -> None:
    write(kept, SERIES)
    result = answer(kept, "plan", "spring tangs", "--at", "2027-03-11T12:00")["result"]
    (change,) = result["changes"]
    assert set(change) == {"batch", "text", "reasons", "before", "after", "entries"}
    stages = result["batches"][0]["stages"]
    assert stages[0]["state"]["kind"] == "transfers"
    assert stages[0]["state"]["slack"]["value"] < 0
    assert stages[2]["state"] is None
    states = {task["id"]: task["state"] for task in result["batches"][0]["tasks"]}
    assert states["spring-tangs/transfers/transfer/1"] == "done"
    assert states["spring-tangs/transfers/transfer/2"] == "late"
    assert states["spring-tangs/transfers/transfer/3"] is None


def test_tasks_of_the_plan_are_in_the_order_of_work(kept: Path) -> None:
    tasks = answer(kept, "plan", "spring tangs", "--at", "2027-03-01T08:00")["result"]["batches"][0]["tasks"]
    day = [task["act"] for task in tasks if task["at"].startswith("2027-03-08T08:30")]
    assert day == ["set-up", "transfer", "strip", "dry"]


def test_an_entry_that_is_only_tried(kept: Path) -> None:
    log = write(kept, SERIES)
    before = log.read_bytes()
    found = call(kept, "plan", "spring tangs", "--if", "found green tub clownfish", "--at", "2027-03-10T08:00")
    assert found.exit_code == 0
    assert "If this were written: found green tub clownfish (nothing was written)" in found.stdout
    assert "transfer series restarted" in found.stdout
    assert log.read_bytes() == before
    nothing = call(kept, "plan", "--if", "note all is well", "--at", "2027-03-10T08:00")
    assert "nothing would change in the plan" in nothing.stdout
    line = call(kept, "plan", "--if", "done 1", "--at", "2027-03-10T08:00")
    assert line.exit_code == 0


@pytest.mark.parametrize(
    "words", ["foo bar", "moved spring tangs nowhere", "moved spring tangs ward at 2027-03-11T08:00"]
)
def test_an_entry_that_cannot_be_tried_is_a_wrong_command(kept: Path, words: str) -> None:
    write(kept, SERIES)
    found = call(kept, "plan", "--if", words, "--at", "2027-03-10T08:00")
    assert found.exit_code == 2
    assert "--if" in found.stderr


def test_the_day_sheet_marks_what_is_done(kept: Path) -> None:
    write(kept, SERIES)
    found = call(kept, "day", "--at", "2027-03-08T12:00")
    assert "☑ 5" in found.stdout
    assert "done 07:20" in found.stdout
    tasks = answer(kept, "day", "--at", "2027-03-08T12:00")["result"]["days"][0]["tasks"]
    done = {task["act"]: task["done_at"] for task in tasks if task["state"] == "done"}
    assert done["transfer"] == "2027-03-08T07:20:00+00:00"


def test_without_a_log_nothing_is_marked(kept: Path) -> None:
    found = call(kept, "day", "2027-03-08", "--at", "2027-03-08T12:00")
    assert "Done" in found.stdout
    assert "State" not in found.stdout
    tasks = answer(kept, "day", "2027-03-08", "--at", "2027-03-08T12:00")["result"]["days"][0]["tasks"]
    assert {task["state"] for task in tasks} == {None}


def test_the_page_for_a_stand_in(kept: Path) -> None:
    write(kept, SERIES)
    away = call(kept, "day", "--deputy", "--at", "2027-03-08T12:00")
    assert away.stdout.startswith("For Kim · Harbour Lane · Sat 17 Apr to Mon 19 Apr")
    named = call(kept, "day", "2027-03-11", "--days", "2", "--deputy", "--at", "2027-03-08T12:00")
    assert named.stdout.startswith("For the stand-in · Harbour Lane · Thu 11 Mar to Fri 12 Mar")
    assert "NO, by Thu 11 Mar 07:20" in named.stdout
    assert answer(kept, "day", "--deputy", "--at", "2027-03-08T12:00")["result"]["days"][0]["date"] == "2027-04-17"


def test_a_page_for_one_day_says_so_and_how_to_get_more(kept: Path) -> None:
    said = "for this one day alone: a date was given and no number of days. `--days 4` makes four"
    assert said in " ".join(call(kept, "day", "2027-03-11", "--deputy", "--at", "2027-03-08T12:00").stdout.split())
    for more in (("--days", "1", "2027-03-11"), ()):
        assert "for this one day alone" not in call(kept, "day", *more, "--deputy", "--at", "2027-03-08T12:00").stdout
    kept.write_text(re.sub(r"  away:\n.*\n", "", kept.read_text("utf-8"), count=1), "utf-8")
    found = call(kept, "day", "--deputy", "--at", "2027-03-08T12:00").stdout
    assert "for this one day alone: the room file has no days away to come" in " ".join(found.split())


def test_a_dose_is_worked_out_from_the_last_reading_in_the_log(kept: Path) -> None:
    write(kept, COPPER)
    words = ("dose", "ward", "copper-chelated", "--off", "uv")
    found = call(kept, *words, "--at", "2027-10-22T08:30")
    assert "before       0.550 mg/L" in found.stdout
    assert "the level before is the reading 0.55 mg/L of Fri 22 Oct 08:00 in the log" in " ".join(found.stdout.split())
    typed_in = call(kept, *words, "--at", "2027-10-22T08:30", "--reading", "0.6 mg/L")
    assert "in the log" not in typed_in.stdout


def test_a_dose_is_refused_where_the_log_knows_no_level(kept: Path) -> None:
    write(kept, COPPER)
    old = call(kept, "dose", "ward", "copper-chelated", "--off", "uv", "--at", "2027-10-24T08:30")
    assert old.exit_code == 1
    assert "error[D463]" in old.stderr
    assert "is too old to count on" in " ".join(old.stderr.split())
    worms = call(kept, "dose", "ward", "praziquantel-bath", "--off", "uv", "--at", "2027-10-24T08:30")
    assert "another medicine is in the water" in worms.stderr


def test_who_is_in_a_water_comes_from_the_log(kept: Path) -> None:
    write(kept, "2027-03-05T19:05 arrived spring tangs in ward\n2027-03-06T08:00 move cleaner shrimp to ward\n")
    found = call(kept, "dose", "ward", "copper-chelated", "--off", "uv", "--at", "2027-03-06T09:00")
    assert found.exit_code == 1
    assert "cleaner shrimp" in found.stderr


def test_a_dip_is_for_those_who_are_alive(kept: Path) -> None:
    write(kept, COPPER + "2027-10-22T09:00 move late angel to long tank\n")
    found = call(kept, "dip", "freshwater-dip", "--for", "late angel", "--at", "2027-10-22T10:00")
    assert found.exit_code == 0, found.stderr
    salinity = call(kept, "water", "long tank", "--at", "2027-10-22T10:00")
    assert salinity.exit_code == 0


def test_check_says_what_is_late_and_what_is_wrong_with_the_log(kept: Path) -> None:
    log = write(kept, SERIES)
    with log.open("ab") as file:
        file.write(b'{"id": "nonsense"}\n')
    found = call(kept, "check", "--at", "2027-03-11T12:00")
    assert found.exit_code == 1
    assert "S522" in found.stderr
    assert "L707" in found.stderr
    plan = call(kept, "plan", "spring tangs", "--at", "2027-03-11T12:00")
    assert "arrived   Fri 5 Mar 19:05" in plan.stdout
    assert plan.exit_code == 1


VELVET = """
    2027-03-05T19:05 arrived spring tangs in blue tub
    2027-03-05T20:00 sign reef dust
    2027-03-06T08:00 sign blue tub kole tang red sores
"""


def test_signs_on_record_are_met_by_the_interlocks(kept: Path) -> None:
    """Velvet seen in the reef goes with the fish; a wound of one fish is that fish's."""
    write(kept, VELVET)
    hypo = ("dose", "reef", "hyposalinity", "--at", "2027-03-08T12:00")
    assert "error[D476]" in call(kept, *hypo).stderr
    assert "D476" not in call(kept, *hypo[:-1], "2027-04-08T12:00").stderr  # long ago
    assert "D476" not in call(kept, "dose", "blue tub", "hyposalinity", "--at", "2027-03-08T12:00").stderr
    formalin = ("dip", "formalin-bath", "--at", "2027-03-08T12:00", "--volume", "10 L", "--for")
    assert "D419" in call(kept, *formalin, "kole tang").stderr
    assert "D419" not in call(kept, *formalin, "sixline wrasse").stderr


def test_velvet_goes_along_with_fish_that_are_moved(kept: Path) -> None:
    write(kept, "2027-03-05T18:00 sign blue tub dust\n" + SERIES)  # before they came: not theirs
    hypo = ("dose", "green tub", "hyposalinity", "--at", "2027-03-08T12:00")
    assert "D476" not in call(kept, *hypo).stderr
    write(kept, SERIES + "2027-03-06T08:00 sign blue tub dust\n")
    assert "error[D476]" in call(kept, *hypo).stderr


def test_of_those_that_left_the_plan_says_how_it_ended_and_what_is_left_to_do(kept: Path) -> None:
    write(kept, SERIES + "2027-03-09T18:00 move spring tangs to reef\n")
    soon, dried, late = "2027-03-10T12:00", "2027-07-07T19:00", "2027-07-07T19:01"
    page = call(kept, "plan", "--at", soon).stdout
    left = page.partition("Left quarantine")[2]
    assert re.search(r"spring tangs +Fri 5 Mar 19:05 +\S+ +went into reef on Tue 9 Mar 18:00", left)
    assert re.search(r"Tue 9 Mar 18:00 +green tub +due +— +dry: tank, net", left.partition("Still to do")[2])
    assert "blue tub" not in left, "what was done after them is not said again"
    assert "spring tangs · " not in page
    assert "spring tangs · what, when" in call(kept, "plan", "spring tangs", "--at", soon).stdout
    assert "went into reef" in call(kept, "plan", "--at", dried).stdout
    long_ago = call(kept, "plan", "--at", late).stdout
    assert "went into reef" not in long_ago
    assert "1 batch that left long ago is not shown; `pratique plan NAME` shows the whole of any batch" in long_ago
    names = [batch["batch"] for batch in answer(kept, "plan", "--at", late)["result"]["batches"]]
    assert "spring tangs" in names, "a record has every batch there ever was"


def test_the_sheet_of_a_day_long_past_still_has_what_was_done_then(kept: Path) -> None:
    write(kept, SERIES + "2027-03-09T18:00 move spring tangs to reef\n")
    page = call(kept, "day", "2027-03-08", "--at", "2027-09-01T12:00").stdout
    assert "green tub" in page
    assert "07:20" in page
