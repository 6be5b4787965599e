"""Nothing is written but the files a keeper names, no connection is made, and no home is needed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

AT = ["--at", "2026-03-05T18:00"]
ASKING = [
    ["check", *AT],
    ["plan", "--working", *AT],
    ["plan", "--json", *AT],
    ["day", "--days", "3", *AT],
    ["trace", "reef", *AT],
    ["fallow", "reef", *AT],
    ["shelf", *AT],
    ["book", "--animals", "2 ocellaris clownfish", *AT],
    ["signs", "reef", "dust", *AT],
    ["release", "spring tangs", *AT],
    ["risk", "spring tangs", *AT],
    ["log", *AT],
    ["log", "--try", "reading", "ward", "ammonia", "0.2 mg/L", *AT],
    ["dose", "ward", "copper-chelated", "--off", "uv", *AT],
    ["water", "reef", *AT],
    ["dip", "freshwater-dip", "--for", "sixline wrasse", *AT],
    ["why", "D404"],
    ["why", "copper-chelated"],
]


def watched(folder: Path, calls: list[list[str]]) -> dict[str, Any]:
    """What these calls left behind, in a process without a home that may keep no byte code."""
    environment = {key: value for key, value in os.environ.items() if key not in ("HOME", "USERPROFILE")}
    done = subprocess.run(
        [sys.executable, "-B", str(Path(__file__).with_name("watched.py"))],
        cwd=folder, env=environment, input=json.dumps(calls), capture_output=True, text=True, check=True,
    )  # fmt: skip
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_asking_leaves_no_trace(tmp_path: Path) -> None:
    watched(tmp_path, [["start", "--demo"]])
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    found = watched(tmp_path, ASKING)
    for words, status, text in zip(ASKING, found["statuses"], found["printed"], strict=True):
        assert status in (0, 1), (words, text)
        assert len(text) > 50, (words, text)
    assert found["seen"] == []
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_only_the_named_files_are_written(tmp_path: Path) -> None:
    named = {"fishroom.yaml", "fishroom.log.jsonl", "sheet.html", "tasks.csv", "plan.ics"}
    calls = [
        ["start", "--demo"],
        ["log", "reading", "ward", "ammonia", "0.2 mg/L"],
        ["day", "--paper", "sheet.html"],
        ["plan", "--csv", "tasks.csv"],
        ["plan", "--calendar", "plan.ics"],
    ]
    found = watched(tmp_path, calls)
    assert {path.name for path in tmp_path.iterdir()} == named, found["printed"]
    for event, path, *rest in found["seen"]:
        assert event in ("open", "os.rename", "os.remove"), (event, path)
        for written in (path, *rest):
            place = tmp_path / written  # an absolute path stays what it is
            assert place.parent == tmp_path, written
            assert place.name in named or any(name in place.name for name in named), written
