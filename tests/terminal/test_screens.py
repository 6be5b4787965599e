"""Whole screens of the example rooms at 120, 80 and 40 columns and piped, as they are printed."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from pratique.cli.main import cli

TOP = Path(__file__).parents[2]
HARBOUR = "examples/harbour-lane/fishroom.yaml"
FIRST = "examples/first-tank/fishroom.yaml"
KEPT = ["--room", HARBOUR, "--log", "tests/terminal/logs/harbour-lane.jsonl"]

WARD = ["dose", "ward", "copper-chelated", "--off", "uv"]
FALLING = "2027-03-05T08:00 2.3 mg/L ± 1 %, 2027-03-06T08:00 2.24 mg/L ± 1 %, 2027-03-07T20:00 2.12 mg/L ± 1 %"
SLIPPED = "2027-03-05T08:00 2.3 mg/L, 2027-03-06T08:00 0.23 mg/L, 2027-03-07T08:00 2.2 mg/L"
POURED = "15 mL of copper bottle at 2027-03-05T08:00"
BEFORE = "2027-03-05T07:00 0 mg/L"

SCREENS = {
    "check": ["check", "--room", HARBOUR],
    "plan": ["plan", "late angel", "--room", HARBOUR],
    "plan-working": ["plan", "pair from the club", "--working", "--room", HARBOUR],
    "plan-first": ["plan", "--room", FIRST],
    "plan-followed": ["plan", "spring tangs", "--working", *KEPT],
    "plan-if": ["plan", "spring tangs", "--if", "moved spring tangs green tub", *KEPT],
    "book": ["book", "--at", "2027-03-01T08:00", "--room", "examples/cellar/fishroom.yaml"],
    "day": ["day", "2027-03-08", "--room", HARBOUR],
    "day-followed": ["day", *KEPT],
    "day-deputy": ["day", "2027-03-09", "--days", "2", "--deputy", *KEPT],
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
    "signs-general": ["signs", "reef", "not eating", *KEPT],
    "trace": ["trace", "blue tub", *KEPT],
    "trace-room": ["trace", "blue tub", "--of", "velvet", "--at", "2027-03-12T06:30", "--room", HARBOUR],
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
    "dose-readings": [*WARD, "--readings", FALLING, "--room", HARBOUR],
    "dose-readings-models": [
        "dose",
        "ward",
        "formalin-bath",
        "--off",
        "uv",
        "--readings",
        "2027-03-08T01:00 150 uL/L ± 5 %, 2027-03-08T05:00 118 uL/L ± 5 %",
        "--room",
        HARBOUR,
    ],
    "dose-readings-published": [
        "dose",
        "ward",
        "praziquantel-bath",
        "--off",
        "uv",
        "--readings",
        "2027-03-04T18:30 2 mg/L ± 10 %",
        "--room",
        HARBOUR,
    ],
    "dose-readings-contradict": [*WARD, "--readings", SLIPPED, "--room", HARBOUR],
    "dose-added": [*WARD, "--added", POURED, "--readings", f"{BEFORE}, 2027-03-06T08:00 1.7 mg/L", "--room", HARBOUR],
    "dose-added-loss": [
        *WARD,
        "--added",
        POURED,
        "--readings",
        f"{BEFORE}, 2027-03-05T20:00 1.65 mg/L, 2027-03-06T08:00 1.4 mg/L",
        "--room",
        HARBOUR,
    ],
    "dose-claim": [*WARD, "--claim", "1 mL per 10 gal_us gives 1 mg/L", "--room", HARBOUR],
    "dose-claim-drops": [*WARD, "--claim", "20 drops per 10 L gives 0.15 mg/L", "--room", HARBOUR],
    "dose-wide": [*WARD, "--reading", "1.6 mg/L ± 0.4 mg/L", "--room", HARBOUR],
    "dose-because": [*WARD[:3], "--because", "the lamp is behind a shut valve", "--room", HARBOUR],
    "dose-because-refused": ["dose", "reef", "copper-chelated", "--because", "the corals are old", "--room", HARBOUR],
    "dose-stock": [*WARD, "--stock", "1:10", "--room", HARBOUR],
    "dose-prescribed-food": ["dose", "reef", "metronidazole-food", "--working", "--room", HARBOUR],
    "dose-prescribed-bath": [
        *("dose", "ward", "antibiotic-course", "--off", "uv", "--room", HARBOUR, "--at", "2027-11-05T19:00"),
        *("--because", "Dr. Example knows of the copper"),
    ],
    "dose-prescribed-refused": ["dose", "ward", "antibiotic-course", "--room", HARBOUR],
    "clean-tank": ["dose", "ward", "chlorine-disinfection", "--working", "--room", HARBOUR],
    "clean-refused": ["dose", "reef", "chlorine-disinfection", "--room", HARBOUR],
    "clean-neutralise": ["dose", "ward", "thiosulfate-neutralising", "--reading", "30 mg/L", "--room", HARBOUR],
    "clean-gear": ["dip", "chlorine-disinfection", "--for", "red set", "--room", HARBOUR],
    "clean-drying": ["dip", "drying", "--for", "red set", "--room", HARBOUR],
    "fallow": ["fallow", "reef", "--room", HARBOUR],
    "fallow-velvet": ["fallow", "reef", "--from", "2027-02-01", "--of", "velvet", "--room", HARBOUR],
    "shelf": ["shelf", "--room", HARBOUR],
    "shelf-first": ["shelf", "--room", FIRST],
    "why-code": ["why", "D404"],
    "why-figure": ["why", "tank-transfer.interval"],
    "why-key": ["why", "volume"],
}


@pytest.mark.parametrize("width", [120, 80, 40, None])
@pytest.mark.parametrize("name", SCREENS)
def test_screen(name: str, width: int | None, golden, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    fixed = name.startswith("why") or "--at" in SCREENS[name]
    words = SCREENS[name] + ([] if fixed else ["--at", "2027-03-08T06:30"])
    result = CliRunner().invoke(cli, words, env={"COLUMNS": str(width) if width else "", "NO_COLOR": "1"})
    assert result.exit_code in (0, 1), result.output
    assert result.exception is None or isinstance(result.exception, SystemExit), "a bug leaves no screen to keep"
    shown = result.stdout + (f"--- problems ---\n{result.stderr}" if result.stderr else "")
    golden(Path(__file__).parent / "screens" / f"{name}-{width or 'piped'}.txt", shown)
    if width:
        long = [line for line in result.stdout.splitlines() if len(line) > width]
        assert not long
