"""A log with a line that cannot be read, or a name that the room no longer has: no dose without a reading."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from schedule_rooms import as_yaml, room_data

DOSE = ["dose", "ward", "copper-chelated", "--off", "uv"]
ENTRY = {
    "id": "6vb2rj8", "kind": "dose", "at": "2027-03-05T08:00:00+00:00", "written": "2027-03-05T08:00:00+00:00",
    "tank": "old ward", "treatment": "copper-chelated", "product": "copper bottle",
    "amount": {"text": "12 mL", "value": 12.0, "unit": "mL"},
}  # fmt: skip


@pytest.fixture
def room(tmp_path: Path) -> Path:
    path = tmp_path / "fishroom.yaml"
    path.write_text(as_yaml(room_data()), encoding="utf-8")
    return path


def asked(room: Path, *more: str, at: str = "2027-03-05T18:00") -> Result:
    return CliRunner().invoke(cli, [*DOSE, *more, "--room", str(room), "--at", at, "--json"])


def codes(result: Result) -> list[str]:
    return [problem["code"] for problem in json.loads(result.stdout)["problems"]]


@pytest.mark.parametrize("line", [json.dumps(ENTRY), '{"id": "6vb2rj8", "kind": "dose", "at": "20'])
def test_no_dose_until_the_level_is_read(room: Path, line: str) -> None:
    assert "D445" not in codes(asked(room))
    log = room.with_suffix(".log.jsonl")
    whole = json.dumps({**ENTRY, "id": "6vb2rj9", "kind": "note", "note": "a line after it", "tank": "ward"} )
    keys = ("treatment", "product", "amount")
    whole = json.dumps({key: value for key, value in json.loads(whole).items() if key not in keys})
    log.write_text(f"{line}\n{whole}\n", encoding="utf-8")
    refused = asked(room)
    assert refused.exit_code == 1
    assert json.loads(refused.stdout)["result"] is None
    assert "D445" in codes(refused)
    assert "D445" not in codes(asked(room, "--reading", "0.9 mg/L"))


def test_a_name_of_long_ago_stands_in_no_ones_way(room: Path) -> None:
    room.with_suffix(".log.jsonl").write_text(json.dumps(ENTRY) + "\n", encoding="utf-8")
    assert "D445" in codes(asked(room, at="2027-06-02T18:00"))
    assert "D445" not in codes(asked(room, at="2027-06-05T18:00"))


NOTE = {"id": "6vb2rj9", "kind": "note", "note": "a line that is whole", "tank": "ward"}


def note(at: str, id_: str = "6vb2rj9") -> str:
    return json.dumps({**NOTE, "id": id_, "at": f"{at}+00:00", "written": f"{at}+00:00"})


def withheld(room: Path, at: str = "2027-03-06T12:00") -> bool:
    """True where the plan of the one batch, that comes on 5 March at 18:30, has no dose to give, and says why."""
    answer = CliRunner().invoke(cli, ["plan", "--room", str(room), "--at", at, "--json"])
    data = json.loads(answer.stdout)
    said = "S539" in [problem["code"] for problem in data["problems"]]
    tasks = [task for batch in data["result"]["batches"] for task in batch["tasks"]]
    doses = [task for task in tasks if task["act"] in ("dose", "redose")]
    assert doses
    assert said is any(task["refused"] == "S539" for task in doses)
    assert said is all(task["amount"] is None for task in doses)
    return said


@pytest.mark.parametrize(
    ("line", "hides"),
    [
        ("reading ward copper 2.1 mg/L", True),
        ('{"id": "6vb2rj8", "kind": "dose", "at": "20', True),
        ('{"id": "6vb2rj8", "kind": "dos', True),
        ('{"id": "6vb2rj8", "ki', True),
        ('{"id": "6vb2rj8", "kind": "change", "at": "20', True),
        ('{"id": "6vb2rj8", "kind": "fed", "at": "20', False),
        (json.dumps({**ENTRY, "id": "1", "tank": "ward"}), True),
        (note("2027-03-05T08:00", "6vb2rj8"), False),
    ],
)
def test_no_dose_is_planned_where_a_line_may_tell_of_one(room: Path, line: str, hides: bool) -> None:
    log = room.with_suffix(".log.jsonl")
    log.write_text(f"{line}\n{note('2027-03-05T20:00')}\n", encoding="utf-8")
    assert withheld(room) is hides
    assert ("D445" in codes(asked(room))) is hides


def test_a_line_of_before_it_came_withholds_nothing(room: Path) -> None:
    """It was written before the line after it; one at the end of the file may be of any time until now."""
    log, broken = room.with_suffix(".log.jsonl"), '{"id": "6vb2rj8", "kind": "dose", "at": "20'
    for next_line, hides in (("2027-03-04T18:31", True), ("2027-03-04T18:29", False)):
        log.write_text(f"{broken}\n{note(next_line)}\n", encoding="utf-8")
        assert withheld(room) is hides
    log.write_text(f"{note('2027-03-04T18:00')}\n{broken}\n", encoding="utf-8")
    assert withheld(room)
    assert not withheld(room, at="2027-03-04T18:29"), "a batch that comes in more than a day"
    assert withheld(room, at="2027-03-04T18:31")


def test_a_log_of_which_nothing_can_be_read_is_not_an_empty_one(room: Path) -> None:
    room.with_suffix(".log.jsonl").write_text("dose ward 12 mL of copper bottle\n", encoding="utf-8")
    assert withheld(room)
