"""Whole screens of the example rooms at 120, 80 and 40 columns and piped, as they are printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from pratique.cli.main import cli

TOP = Path(__file__).parents[2]
HARBOUR = "examples/harbour-lane/fishroom.yaml"
FIRST = "examples/first-tank/fishroom.yaml"

SCREENS = {
    "check": ["check", "--room", HARBOUR],
    "plan": ["plan", "late angel", "--room", HARBOUR],
    "plan-working": ["plan", "pair from the club", "--working", "--room", HARBOUR],
    "plan-first": ["plan", "--room", FIRST],
    "day": ["day", "2027-03-08", "--room", HARBOUR],
    "day-copper": ["day", "2027-11-10", "--room", HARBOUR],
    "dose": ["dose", "ward", "copper-chelated", "--off", "uv", "--room", HARBOUR],
    "dose-reading": [
        "dose",
        "ward",
        "copper-chelated",
        "--off",
        "uv",
        "--reading",
        "1.6 mg/L",
        "--working",
        "--room",
        HARBOUR,
    ],
    "dose-too-high": ["dose", "ward", "copper-chelated", "--off", "uv", "--reading", "3.4 mg/L", "--room", HARBOUR],
    "dose-change": ["dose", "ward", "copper-chelated", "--off", "uv", "--change", "25 %", "--room", HARBOUR],
    "dose-refused": ["dose", "reef", "copper-chelated", "--room", HARBOUR],
    "dose-hyposalinity": ["dose", "ward", "hyposalinity", "--room", HARBOUR],
    "water": ["water", "blue tub", "--room", HARBOUR],
    "water-food": ["water", "ward", "--food", "0.2 g", "--working", "--room", HARBOUR],
    "water-ammonia": ["water", "blue tub", "--ammonia", "0.5 mg/L", "--room", HARBOUR],
    "water-ammonia-working": ["water", "ward", "--ammonia", "1 mg/L", "--as", "NH3", "--working", "--room", HARBOUR],
    "water-nitrite": ["water", "ward", "--nitrite", "1 mg/L", "--as", "NO2", "--room", HARBOUR],
    "water-down": ["water", "ward", "--to", "12 g/kg", "--room", HARBOUR],
    "water-up": [
        "water",
        "ward",
        "--salinity",
        "28 g/kg",
        "--to",
        "34 g/kg",
        "--with",
        "12 L at 38 g/kg",
        "--working",
        "--room",
        HARBOUR,
    ],
    "water-mix": ["water", "ward", "--mix", "20 L at 30 g/kg, 22 degC", "--room", HARBOUR],
    "water-salt": ["water", "ward", "--salt", "60 L at 35 g/kg", "--working", "--room", HARBOUR],
    "water-bag": ["water", "ward", "--bag", "1.019 sg at 24 degC", "--room", HARBOUR],
    "water-refused": ["water", "reef", "--to", "12 g/kg", "--room", HARBOUR],
    "why-code": ["why", "D404"],
    "why-figure": ["why", "tank-transfer.interval"],
}


@pytest.mark.parametrize("width", [120, 80, 40, None])
@pytest.mark.parametrize("name", SCREENS)
def test_screen(name: str, width: int | None, golden, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    words = SCREENS[name] + ([] if name.startswith("why") else ["--at", "2027-03-08T06:30"])
    result = CliRunner().invoke(cli, words, env={"COLUMNS": str(width) if width else "", "NO_COLOR": "1"})
    assert result.exit_code in (0, 1), result.output
    shown = result.stdout + (f"--- problems ---\n{result.stderr}" if result.stderr else "")
    golden(Path(__file__).parent / "screens" / f"{name}-{width or 'piped'}.txt", shown)
    if width:
        long = [line for line in result.stdout.splitlines() if len(line) > width]
        assert not long
