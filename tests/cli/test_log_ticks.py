"""`pratique log done N`: the number means the same line all day, and a ticked dose says how much was given."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from history.kept import typed
from pratique.cli import log_write
from pratique.cli.main import cli
from pratique.logbook.entry import Done, Dose
from pratique.logbook.file import read_log
from pratique.logbook.line import to_line
from pratique.room.load import load_room
from schedule_rooms import as_yaml, batch, room_data, tank

NOW = dt.datetime(2027, 4, 9, 8, 0, tzinfo=dt.UTC)

ARRIVED = "2027-03-05T19:00 arrived first in ward\n"
LOW = """2027-03-05T19:00 arrived first in ward
2027-03-06T18:30 dose ward 12 mL of copper bottle
2027-03-07T18:11 reading ward copper 1.7 mg/L with copper meter
"""


class Wall:
    """A room with one ward, its log, and the sheet on its wall."""

    def __init__(self, folder: Path, lines: str) -> None:
        self.path, self.file = folder / "fishroom.yaml", folder / "fishroom.log.jsonl"
        self.path.write_text(as_yaml(room_data(tanks={"ward": tank("ward")}, batches={"first": batch()})))
        room, _ = load_room(self.path)
        assert room is not None
        entries = [entry.model_copy(update={"written": entry.at}) for entry in typed(room, lines)]
        self.file.write_bytes(b"".join(to_line(entry) + b"\n" for entry in entries))

    def call(self, *words: str, at: str) -> Result:
        options = ["--room", str(self.path), "--at", at]
        return CliRunner().invoke(cli, [*words, *options], env={"COLUMNS": "", "NO_COLOR": "1"})

    def numbers(self, at: str) -> dict[int, str]:
        """Number to the id of what stands on the line, on the sheet of that moment."""
        (day,) = json.loads(self.call("day", "--json", at=at).stdout)["result"]["days"]
        return {number: task["id"] for number, task in enumerate(day["tasks"], 1)}

    def entries(self) -> list[object]:
        return list(read_log(self.file)[0].entries)


@pytest.fixture
def wall(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Wall:
    monkeypatch.setattr(log_write, "now", lambda zone: NOW.astimezone(zone))
    return Wall(tmp_path, LOW)


def line_of(numbers: dict[int, str], id_: str) -> int:
    return next(number for number, known in numbers.items() if known == id_)


DOSE, REDOSE = "first/copper/dose/1", "first/copper/redose/1"


def test_a_sign_seen_later_does_not_take_the_number_of_the_dose(wall: Wall) -> None:
    """Found on a walk: line 7 was the redose; once a sign was logged 7 was the alarm, and `done 7` ticked that."""
    before = wall.numbers("2027-03-07T18:20")
    dose = line_of(before, REDOSE)
    wall.call("log", "look ward 1 head not eating", at="2027-03-07T18:40")
    after = wall.numbers("2027-03-07T18:45")
    assert len(after) == len(before) + 1
    assert {number: after[number] for number in before} == before
    wall.call("log", f"done {dose}", at="2027-03-07T18:55")
    (tick,) = [entry for entry in wall.entries() if isinstance(entry, Done)]
    assert tick.task == REDOSE


def test_a_low_reading_later_does_not_take_the_number_of_the_sign(tmp_path: Path, wall: Wall) -> None:
    (tmp_path / "b").mkdir()
    other = Wall(tmp_path / "b", "".join(LOW.splitlines(keepends=True)[:2]))
    other.call("log", "look ward 1 head not eating", at="2027-03-07T18:05")
    before = other.numbers("2027-03-07T18:08")
    other.call("log", "reading ward copper 1.7 mg/L with copper meter", at="2027-03-07T18:11")
    after = other.numbers("2027-03-07T18:20")
    assert line_of(after, REDOSE) not in before
    assert {number: after[number] for number in before} == before


def test_a_ticked_dose_is_written_with_the_amount_of_the_sheet(tmp_path: Path, wall: Wall) -> None:
    (tmp_path / "b").mkdir()
    other = Wall(tmp_path / "b", ARRIVED)
    dose = line_of(other.numbers("2027-03-06T19:20"), DOSE)
    said = " ".join(other.call("log", f"done {dose}", at="2027-03-06T19:30").stdout.split())
    assert "12.0 mL of copper bottle is written as given, as the sheet has it" in said
    assert "copper bottle: 888 mL left, 900 mL before" in said
    (given,) = [entry for entry in other.entries() if isinstance(entry, Dose)]
    assert (given.tank, given.product, given.amount.value, given.into) == ("ward", "copper bottle", 12.0, "tank")
    assert given.treatment == "copper-chelated"
    assert f"`pratique log withdraw {given.id} because …`" in said


def test_a_dose_that_is_written_down_already_is_not_written_twice(wall: Wall) -> None:
    dose = line_of(wall.numbers("2027-03-07T18:20"), REDOSE)
    wall.call("log", "dose ward 1.8 mL of copper bottle", at="2027-03-07T18:30")
    wall.call("log", f"done {dose}", at="2027-03-07T18:40")
    assert len([entry for entry in wall.entries() if isinstance(entry, Dose)]) == 2


def test_a_line_without_an_amount_is_no_tick(wall: Wall) -> None:
    """The next morning the reading is too old to dose by: the line says `only after a reading`."""
    numbers = wall.numbers("2027-03-08T08:00")
    before = wall.file.read_bytes()
    answer = wall.call("log", f"done {line_of(numbers, REDOSE)}", at="2027-03-08T08:10")
    assert answer.exit_code == 1
    assert "error[L757]" in answer.stderr
    assert "`pratique log dose ward … mL of copper bottle --at 2027-03-08T08:10`" in " ".join(answer.stderr.split())
    assert wall.file.read_bytes() == before


def test_the_dose_of_a_change_goes_into_its_new_water(tmp_path: Path, wall: Wall) -> None:
    (tmp_path / "b").mkdir()
    lines = LOW + "2027-03-07T18:30 dose ward 3.3 mL of copper bottle\n2027-03-08T07:10 reading ward copper 2.25 mg/L\n"
    for more, into in (("", "new-water"), ("2027-03-08T07:30 change ward 15 L\n", "tank")):
        other = Wall(tmp_path / "b", lines + more)
        rows = other.call("day", "--plain", at="2027-03-08T07:40").stdout.splitlines()
        (number,) = [row.split("\t")[0].split()[-1] for row in rows if "into the new water" in row]
        other.call("log", f"done {number}", at="2027-03-08T07:45")
        assert [entry.into for entry in other.entries() if isinstance(entry, Dose)][-1] == into


def test_a_ticked_test_of_copper_is_asked_for_what_the_kit_showed(tmp_path: Path, wall: Wall) -> None:
    """Found on a walk: the tick was taken without a word, and no day was ever counted."""
    rows = wall.call("day", "--plain", at="2027-03-08T08:00").stdout.splitlines()
    number = next(row.split("\t")[0].split()[-1] for row in rows if "test: copper" in row)
    answer = wall.call("log", f"done {number}", at="2027-03-08T08:10")
    assert answer.exit_code == 0
    assert "warning[L758]" in answer.stderr
    told = "`pratique log reading ward copper … mg/L --at 2027-03-08T08:10`"
    assert told in " ".join(answer.stderr.split())
    assert isinstance(wall.entries()[-1], Done)
    (tmp_path / "b").mkdir()
    read = Wall(tmp_path / "b", LOW + "2027-03-08T08:05 reading ward copper 2.1 mg/L\n")
    assert "L758" not in read.call("log", f"done {number}", at="2027-03-08T08:10").stderr


HELD = """2027-03-05T19:00 arrived first in ward
2027-03-06T18:30 dose ward 12 mL of copper bottle
2027-03-08T18:30 dose ward 1.5 mL of copper bottle
2027-03-09T07:10 reading ward copper 2.2 mg/L with copper meter
"""


@pytest.mark.parametrize(
    ("words", "code", "level"),
    [
        ("change ward 30 L", "L756", "1.10 mg/L"),
        ("change ward 15 L with 34 mL of copper bottle", "L748", "7.32 mg/L"),
        ("change ward 15 L with 3.38 mL of copper bottle", "", ""),
    ],
)
def test_a_change_is_answered_with_the_level_it_leaves(
    tmp_path: Path, wall: Wall, words: str, code: str, level: str
) -> None:
    """Found on a walk: neither half of the copper gone nor three times as much of it drew a word."""
    (tmp_path / "b").mkdir()
    answer = Wall(tmp_path / "b", HELD).call("log", words, at="2027-03-09T07:30")
    said = " ".join(answer.stderr.split())
    assert answer.exit_code == 0
    assert ("L756" in said, "L748" in said) == (code == "L756", code == "L748")
    assert f"`ward` holds {level}" in said if level else not said
    if code == "L756":
        assert "by reckoning 6.90 mL of copper bottle in all, and none before the reading" in said


def test_the_changes_that_take_the_copper_out_are_not_called_too_little(tmp_path: Path, wall: Wall) -> None:
    """The course is full: what is lacking from then on is meant to lack."""
    (tmp_path / "b").mkdir()
    daily = "".join(
        f"2027-{month:02}-{day:02}T07:10 reading ward copper 2.2 mg/L with copper meter\n"
        for month, days in ((3, range(10, 32)), (4, range(1, 9)))
        for day in days
    )
    answer = Wall(tmp_path / "b", HELD + daily).call("log", "change ward 45 %", at="2027-04-08T08:30")
    assert answer.exit_code == 0
    assert "L756" not in answer.stderr


def test_a_reading_after_all_the_water_was_changed_is_written_down(tmp_path: Path, wall: Wall) -> None:
    """By reckoning nothing is left, which no reading is half or double of."""
    (tmp_path / "b").mkdir()
    other = Wall(tmp_path / "b", HELD + "2027-03-09T07:20 change ward 60 L\n")
    answer = other.call("log", "reading ward copper 0.5 mg/L with copper meter", at="2027-03-09T07:40")
    assert answer.exit_code == 0
    assert "L750" not in answer.stderr
