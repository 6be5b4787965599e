"""The emergency card hangs for weeks: no amount on it rests on a level of the day it was printed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from history.kept import typed
from pratique.cli.main import cli
from pratique.logbook.line import to_line
from pratique.room.load import load_room

ROOM = """\
room: {time_zone: Europe/London}
tanks:
  q: {use: ward, volume: {measured: 60 L ± 1 L}, salinity: 35 g/kg, temperature: 25 degC, lid: yes}
animals: [{species: ocellaris clownfish, size: 4 cm, tank: q}]
shelf:
  c: {active: copper, form: chelated, strength: 10 mg/mL as Cu, left: 250 mL}
kits:
  kit: {measures: copper, forms: [chelated], resolution: 0.1 mg/L, error: 5 %}
"""
HELD = """
    2026-10-05T19:00 dose q copper-chelated 12 mL of c
    2026-10-07T18:10 reading q copper 2.0 mg/L
"""


def copper_line(folder: Path, log: str, at: str, *words: str) -> str:
    path = folder / "fishroom.yaml"
    path.write_text(ROOM, "utf-8")
    room, _ = load_room(path)
    assert room is not None
    path.with_suffix(".log.jsonl").write_bytes(b"".join(to_line(entry) + b"\n" for entry in typed(room, log)))
    command = ["signs", "q", *words, "--at", at, "--room", str(path), "--json"]
    found = json.loads(CliRunner().invoke(cli, command).stdout)["result"]
    acts = (found.get("response") or found)["acts"]
    return next(act["text"] for act in acts if act["act"] == "copper-chelated")


@pytest.mark.parametrize("at", ["2026-10-07T20:00", "2026-10-20T20:00"])
def test_over_copper_it_says_to_read_first(tmp_path: Path, at: str) -> None:
    """2.0 was read, and 1.5 mL would take it to 2.25: today, and on no other day."""
    said = copper_line(tmp_path, HELD, at, "--card")
    assert "READ IT FIRST" in said
    assert "1.50 mL" not in said
    assert "to water that holds none: 12.0 mL of c" in said


def test_where_none_was_given_the_amount_stands_alone(tmp_path: Path) -> None:
    said = copper_line(tmp_path, "2026-10-05T19:00 note a beginning", "2026-10-07T20:00", "--card")
    assert "READ IT FIRST" not in said
    assert "12.0 mL of c" in said


def test_on_the_evening_itself_the_level_counts(tmp_path: Path) -> None:
    assert "1.50 mL" in copper_line(tmp_path, HELD, "2026-10-07T20:00", "dust", "gasping")
