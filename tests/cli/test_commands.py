"""The commands as their user meets them: exit codes, both streams, JSON keys, and what is imported when."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import COMMANDS, cli

TOP = Path(__file__).parents[2]
HARBOUR = str(TOP / "examples/harbour-lane/fishroom.yaml")
FIRST = str(TOP / "examples/first-tank/fishroom.yaml")
AT = ["--at", "2027-03-01T08:00"]


def call(*words: str, room: str | None = HARBOUR) -> Result:
    return CliRunner().invoke(cli, [*words, *(["--room", room] if room else [])])


def answer(*words: str, room: str = HARBOUR) -> dict:
    result = call(*words, *AT, "--json", room=room)
    return json.loads(result.stdout)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_every_command(command: str) -> None:
    result = CliRunner().invoke(cli, [command, "--help"])
    assert result.exit_code == 0
    assert result.stdout.startswith("Usage:")


def test_the_group_loads_nothing_heavy() -> None:
    code = (
        "import sys, pratique.cli.main\n"
        "heavy = ('pint', 'pydantic', 'rich', 'yaml', 'gsw', 'numpy')\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (["check"], 0),
        (["plan"], 0),
        (["plan", "spring tangs"], 0),
        (["day", "2027-03-08"], 0),
        (["day", "2027-03-08", "--days", "3"], 0),
        (["dose", "ward", "copper-chelated", "--off", "uv"], 0),
        (["dose", "ward", "praziquantel-bath", "--off", "uv"], 0),
        (["dose", "ward", "copper-chelated"], 1),
        (["dose", "reef", "copper-chelated"], 1),
        (["dose", "ward", "copper-ionic"], 1),
        (["dose", "wrad", "copper-chelated"], 2),
        (["dose", "ward", "coper"], 2),
        (["plan", "nobody"], 2),
        (["day", "03/04/2027"], 2),
        (["dose", "ward", "copper-chelated", "--reading", "2.1"], 2),
        (["dose", "ward", "copper-chelated", "--off", "pump"], 2),
        (["nonsense"], 2),
        (["plan", "--at", "the other day"], 2),
    ],
)
def test_exit_status(words: list[str], status: int) -> None:
    assert (
        CliRunner()
        .invoke(cli, [*words, "--room", HARBOUR, *([] if "--at" in words else AT)] if words != ["nonsense"] else words)
        .exit_code
        == status
    )


def test_data_to_stdout_and_problems_to_stderr() -> None:
    result = call("dose", "reef", "copper-chelated", *AT)
    assert result.stdout == ""
    assert "error[D401]" in result.stderr
    assert "no dose was worked out" in result.stderr


def test_a_missing_file_says_how_to_begin(tmp_path: Path) -> None:
    result = call("plan", room=str(tmp_path / "none.yaml"))
    assert result.exit_code == 1
    assert "pratique start" in result.stderr


@pytest.mark.parametrize(
    "words",
    [
        ["check"],
        ["plan"],
        ["day", "2027-03-08"],
        ["dose", "ward", "copper-chelated", "--off", "uv"],
        ["dose", "reef", "copper-chelated"],
    ],
)
def test_the_json_object_has_the_keys_of_the_contract(words: list[str]) -> None:
    found = answer(*words)
    assert set(found) == {"pratique", "command", "at", "room", "problems", "cautions", "refusal", "result"}
    assert found["command"] == words[0]
    for problem in found["problems"]:
        assert {"code", "severity", "message", "file", "line", "column", "hint"} <= set(problem)


def test_dose_json() -> None:
    result = answer("dose", "ward", "copper-chelated", "--off", "uv")["result"]
    keys = (
        "tank",
        "treatment",
        "form",
        "product",
        "water",
        "before",
        "target",
        "band",
        "active",
        "add",
        "after",
        "steps",
        "change",
        "working",
        "sources",
    )
    assert set(keys) <= set(result)
    assert result["band"] == {"low": 2.0, "high": 2.5, "unit": "mg/L"}
    assert result["add"]["unit"] == "mL"
    assert result["active"]["unit"] == "mg"
    assert result["add"]["value"] * 10 == pytest.approx(result["active"]["value"])
    assert all({"at", "add", "after"} <= set(step) for step in result["steps"])
    assert all({"label", "expression", "result", "source"} <= set(step) for step in result["working"])


def test_refused_dose_json() -> None:
    found = answer("dose", "reef", "copper-chelated")
    assert found["result"] is None
    assert set(found["refusal"]) == {"code", "message", "hint"}
    assert found["refusal"]["code"] == found["problems"][0]["code"]


def test_plan_json() -> None:
    batches = answer("plan")["result"]["batches"]
    assert [batch["batch"] for batch in batches] == ["spring tangs", "pair from the club", "late angel"]
    for batch in batches:
        assert set(batch["release"]) >= {"earliest", "conditions"}
        assert all({"name", "tank", "start", "end", "clock"} <= set(stage) for stage in batch["stages"])
        for task in batch["tasks"]:
            assert {"id", "at", "until", "tank", "batch", "act", "text", "amount", "sources"} <= set(task)
            assert task["at"] <= task["until"] or task["at"][:10] <= task["until"][:10]
        ids = [task["id"] for task in batch["tasks"]]
        assert len(ids) == len(set(ids))


def test_day_json_and_plan_json_have_the_same_tasks() -> None:
    day = answer("day", "2027-03-08")["result"]["days"][0]
    planned = {task["id"]: task for batch in answer("plan")["result"]["batches"] for task in batch["tasks"]}
    of_batches = [task for task in day["tasks"] if task["batch"]]
    assert of_batches
    assert all(planned[task["id"]] == task for task in of_batches)
    assert {task["id"] for task in of_batches} == {
        id_ for id_, task in planned.items() if task["at"].startswith("2027-03-08")
    }


def test_start_writes_a_sound_file_and_never_overwrites(tmp_path: Path) -> None:
    for name, option in (("one.yaml", []), ("two.yaml", ["--demo"])):
        file = tmp_path / name
        assert CliRunner().invoke(cli, ["start", str(file), *option]).exit_code == 0
        text = file.read_text("utf-8")
        assert call("check", room=str(file)).exit_code == 0
        assert call("plan", room=str(file)).exit_code == 0
        again = CliRunner().invoke(cli, ["start", str(file), *option])
        assert again.exit_code == 1
        assert "F127" in again.stderr
        assert file.read_text("utf-8") == text


def test_the_examples_are_the_templates() -> None:
    for name, example in (("demo", HARBOUR), ("first", FIRST)):
        template = TOP / f"src/pratique/room/templates/{name}.yaml"
        assert template.read_text("utf-8") == Path(example).read_text("utf-8")


def test_nothing_is_written_but_what_start_was_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for words in (["check"], ["plan"], ["day"], ["dose", "ward", "copper-chelated", "--off", "uv"]):
        call(*words)
    assert list(tmp_path.iterdir()) == []


def test_a_bug_ends_with_status_3_and_no_answer(tmp_path: Path) -> None:
    code = (
        "import sys, pratique.cli.main as m, pratique.room.load as load\n"
        "def broken(path): raise KeyError('x')\n"
        "load.load_room = broken\n"
        f"sys.argv = ['pratique', 'plan', '--room', {HARBOUR!r}]\n"
        "m.run()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=False,
        env={"TMPDIR": str(tmp_path), "PATH": ""},
    )
    assert done.returncode == 3
    assert "bug in pratique" in done.stderr
    assert "Traceback" not in done.stderr
    assert len(list(tmp_path.iterdir())) == 1


@pytest.mark.parametrize(
    "word",
    [
        "D404",
        "copper-ionic",
        "velvet",
        "copper-ionic.target",
        "tank-transfer.interval",
        "COL85",
        "dust",
        "watch-only",
        "marine velvet",
    ],
)
def test_why_has_a_page(word: str) -> None:
    result = CliRunner().invoke(cli, ["why", *word.split()])
    assert result.exit_code == 0, result.output
    assert result.stdout


def test_why_of_nothing_offers_near_names_only() -> None:
    result = CliRunner().invoke(cli, ["why", "D40"])
    assert result.exit_code == 2
    assert "did you mean" in result.stderr


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (["dose", "ward", "copper"], "`copper-chelated`"),
        (["dip", "freshwater", "--for", "Lemon"], "`freshwater-dip`"),
        (["dose", "wrad", "copper-ionic"], "`ward`"),
    ],
)
def test_a_wrong_name_is_answered_with_the_names_it_may_mean(words: list[str], offered: str) -> None:
    result = call(*words)
    assert result.exit_code == 2
    assert offered in result.stderr
