"""`--csv`: read back with the standard library's csv reader and held against the JSON of the same answer."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given
from hypothesis import strategies as st

from pratique.cli.main import cli
from pratique.export.csv import DAY_HEADS, LOG_HEADS, TASK_HEADS, _cell, log_csv

TOP = Path(__file__).parents[2]
ROOM = ["--room", str(TOP / "examples/harbour-lane/fishroom.yaml"), "--at", "2027-03-08T06:30"]
KEPT = [*ROOM, "--log", str(TOP / "tests/terminal/logs/harbour-lane.jsonl")]


def call(*words: str) -> Result:
    result = CliRunner().invoke(cli, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def same(row: dict[str, str], task: dict) -> None:
    amount = task["amount"] or {}
    assert row["id"] == task["id"]
    assert (row["at"], row["until"], row["tank"], row["act"], row["text"]) == (
        task["at"], task["until"], task["tank"], task["act"], task["text"],
    )  # fmt: skip
    assert row["batch"] == (task["batch"] or "")
    assert row["deadline"] == ("yes" if task["deadline"] else "no")
    assert row["state"] == (task["state"] or "")
    assert row["unit"] == amount.get("unit", "")
    for key, of in (("amount", "value"), ("low", "low"), ("high", "high")):
        assert row[key] == "" if of not in amount else float(row[key]) == amount[of]


def test_the_tasks_of_a_plan() -> None:
    found = rows(call("plan", *KEPT, "--csv", "-").stdout)
    plan = json.loads(call("plan", *KEPT, "--json").stdout)["result"]
    tasks = {task["id"]: task for batch in plan["batches"] for task in batch["tasks"]}
    tasks |= {task["id"]: task for task in plan["urgent"]}
    assert len(found) == len(tasks)
    for row in found:
        same(row, tasks[row["id"]])
    assert any(row["amount"] for row in found)
    assert any(row["state"] == "done" for row in found)


def test_the_tasks_of_days_in_the_order_of_their_lines() -> None:
    words = ["day", "2027-03-08", "--days", "3", *KEPT]
    found = rows(call(*words, "--csv", "-").stdout)
    days = json.loads(call(*words, "--json").stdout)["result"]["days"]
    flat = [(day["date"], task) for day in days for task in day["tasks"]]
    assert [row["date"] for row in found] == [date for date, _ in flat]
    for row, (_, task) in zip(found, flat, strict=True):
        same(row, task)


def test_the_log_whole_unless_a_tail_is_asked_for() -> None:
    found = rows(call("log", *KEPT, "--csv", "-").stdout)
    entries = json.loads(call("log", *KEPT, "--json", "--tail", "1000").stdout)["result"]["entries"]
    assert [(row["id"], row["kind"], row["words"]) for row in found] == [
        (entry["id"], entry["kind"], entry["words"]) for entry in entries
    ]
    assert len(rows(call("log", *KEPT, "--csv", "-", "--tail", "2").stdout)) == 2
    assert call("log", "fed", "reef", *KEPT, "--try", "--csv", "-").exit_code == 2


@pytest.mark.parametrize("words", [["plan"], ["day"], ["log"]])
def test_into_a_file_of_ours_and_no_other(words: list[str], tmp_path: Path) -> None:
    file = tmp_path / "tasks.csv"
    for _ in range(2):
        result = call(*words, *KEPT, "--csv", str(file))
        assert result.exit_code == 0, result.stderr
        assert result.stdout == f"wrote {file}: {len(rows(file.read_text('utf-8')))} records\n"
    file.write_text("my,own,table\r\n", "utf-8")
    result = call(*words, *KEPT, "--csv", str(file))
    assert result.exit_code == 1
    assert "F140" in result.stderr
    assert file.read_text("utf-8") == "my,own,table\n"


def test_heads_are_told_apart_and_lines_end_as_the_rfc_says() -> None:
    """RFC 4180, 2.1: each record on a line of its own, ended by CRLF."""
    assert len({TASK_HEADS, DAY_HEADS, LOG_HEADS}) == 3
    data = call("day", *ROOM, "--csv", "-").stdout_bytes
    assert data.endswith(b"\r\n")


@given(st.text(max_size=30))
def test_no_cell_of_words_is_a_formula(text: str) -> None:
    """The four signs, tab and line ends are those of the OWASP page on CSV injection (general guidance)."""
    cell = _cell(text)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert cell in (text, "'" + text)


def test_a_formula_typed_as_a_note_stays_words(tmp_path: Path) -> None:
    log = tmp_path / "log.jsonl"
    words = ["log", "note", "=HYPERLINK(1)", *ROOM[:2], "--log", str(log)]
    assert call(*words).exit_code == 0
    text = call("log", *ROOM[:2], "--log", str(log), "--csv", "-").stdout
    (row,) = rows(text)
    assert row["note"] == "'=HYPERLINK(1)"
    assert row["words"] == "note =HYPERLINK(1)"


def test_no_entries_are_heads_alone() -> None:
    assert log_csv([]) == ",".join(LOG_HEADS) + "\r\n"
