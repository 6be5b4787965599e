"""A log that is there and cannot be read: no answer is given as if nothing had happened in the room."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli

COMMANDS = {
    "check": ["check"],
    "plan": ["plan"],
    "what if": ["plan", "--if", "reading ward ammonia 0.2 mg/L"],
    "day": ["day"],
    "trace": ["trace", "reef"],
    "fallow": ["fallow", "reef"],
    "shelf": ["shelf"],
    "book": ["book", "--animals", "2 ocellaris clownfish"],
    "signs": ["signs", "reef", "dust"],
    "release": ["release", "spring tangs"],
    "risk": ["risk", "spring tangs"],
    "list": ["log"],
    "write": ["log", "reading ward ammonia 0.2 mg/L"],
    "dose": ["dose", "ward", "copper-chelated", "--off", "uv"],
    "water": ["water", "reef"],
    "dip": ["dip", "freshwater-dip", "--for", "sixline wrasse"],
}


@pytest.fixture
def room(tmp_path: Path) -> Path:
    room = tmp_path / "fishroom.yaml"
    assert CliRunner().invoke(cli, ["start", "--demo", str(room)]).exit_code == 0
    return room


def asked(room: Path, words: list[str]) -> Result:
    return CliRunner().invoke(cli, [*words, "--room", str(room), "--at", "2026-03-05T18:00"])


@pytest.mark.parametrize("name", COMMANDS)
def test_no_answer_without_the_log(name: str, room: Path) -> None:
    assert asked(room, COMMANDS[name]).stdout  # with an empty log there is an answer
    room.with_suffix(".log.jsonl").unlink(missing_ok=True)
    room.with_suffix(".log.jsonl").mkdir()
    refused = asked(room, COMMANDS[name])
    assert refused.exit_code == 1
    assert refused.stdout == ""
    assert "error[L720]: `" in refused.stderr
    assert "is a folder, not a file" in refused.stderr
    said = json.loads(asked(room, [*COMMANDS[name], "--json"]).stdout)
    assert said["result"] is None
    assert "L720" in [problem["code"] for problem in said["problems"]]


def test_one_that_may_not_be_read_says_so(room: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    log, real = room.with_suffix(".log.jsonl"), Path.open
    log.write_text("", "utf-8")

    def guarded(path: Path, *how: str, **more: str) -> object:
        if path == log:
            raise PermissionError(13, "Permission denied", str(path))
        return real(path, *how, **more)

    monkeypatch.setattr(Path, "open", guarded)
    refused = asked(room, ["dose", "ward", "copper-chelated", "--off", "uv"])
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert "cannot be read: its permissions forbid it" in refused.stderr
