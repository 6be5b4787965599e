"""Every kind of sheet on paper, from the examples: its name and the command that makes it."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from pratique.cli.main import cli

TOP = Path(__file__).parents[2]
ROOM = ["--room", str(TOP / "examples/harbour-lane/fishroom.yaml"), "--at", "2027-03-08T06:30"]
WISH = ["--animals", "sixline wrasse", "--trust", "untrusted", "--earliest", "2027-06-01", "--latest", "2027-09-30"]

COMMANDS = {
    "plan": ["plan", *ROOM],
    "plan with its working": ["plan", "spring tangs", "--working", *ROOM],
    "labels": ["plan", "--labels", *ROOM],
    "day": ["day", "2027-03-08", *ROOM],
    "week": ["day", "2027-03-08", "--days", "7", *ROOM],
    "deputy": ["day", "2027-04-17", "--deputy", *ROOM],
    "dose": ["dose", "ward", "copper-chelated", "--off", "uv", *ROOM],
    "dose with its working": ["dose", "ward", "copper-chelated", "--off", "uv", "--working", *ROOM],
    "dip": ["dip", "formalin-bath", "--for", "Lemon", *ROOM],
    "water": ["water", "reef", *ROOM],
    "signs": ["signs", "reef", "dust", "fast breathing", *ROOM],
    "emergency card": ["signs", "reef", "--card", *ROOM],
    "release": ["release", "spring tangs", *ROOM],
    "certificate": ["release", "spring tangs", "--certificate", *ROOM],
    "shelf": ["shelf", *ROOM],
    "fallow": ["fallow", "reef", *ROOM],
    "book": ["book", *WISH, *ROOM],
    "risk": ["risk", "spring tangs", "--compare", *ROOM],
    "check": ["check", *ROOM],
}


def page_by(words: list[str]) -> str:
    """The page that a command writes to standard output."""
    result = CliRunner().invoke(cli, [*words, "--paper", "-"], env={"COLUMNS": "100", "NO_COLOR": "1"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert result.stdout.startswith("<!doctype html>"), result.stderr
    return result.stdout
