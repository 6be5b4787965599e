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
