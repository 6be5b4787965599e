"""A reading is acted on only if its kit can see the medicine, and if the log would allow the dose."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from history.kept import typed
from pratique.cli.main import cli
from pratique.logbook.line import to_line
from pratique.room.load import load_room

ROOM = """\
room: {time_zone: Europe/London}
tanks:
  q: {use: ward, volume: {measured: 60 L ± 1 L}, salinity: 35 g/kg, temperature: 25 degC, lid: yes}
shelf:
  c: {active: copper, form: chelated, strength: 10 mg/mL as Cu, left: 250 mL}
kits:
  total kit: {measures: copper, forms: [chelated], resolution: 0.1 mg/L, error: 5 %}
  free kit: {measures: copper, forms: [ionic], resolution: 0.05 mg/L}
"""
POURED = "2026-10-05T19:00 dose q copper-chelated 12 mL of c\n"
AT = ("--at", "2026-10-10T20:00")


@pytest.fixture
def room(tmp_path: Path) -> Path:
    path = tmp_path / "fishroom.yaml"
    path.write_text(ROOM, "utf-8")
    return path


def write(path: Path, lines: str) -> None:
    room, _ = load_room(path)
    assert room is not None
    log = path.parent / "fishroom.log.jsonl"
    log.write_bytes(b"".join(to_line(entry) + b"\n" for entry in typed(room, lines)))


def dose(path: Path, *words: str) -> Result:
    words = ("dose", "q", "copper-chelated", *words, *AT, "--room", str(path))
    return CliRunner().invoke(cli, words, env={"COLUMNS": "100", "NO_COLOR": "1"})


def refused(path: Path, *words: str) -> dict[str, str]:
    result = dose(path, *words, "--json")
    assert result.exit_code == 1
    found = json.loads(result.stdout)
    assert found["result"] is None
    return found["refusal"]


def test_which_kit_is_asked_where_one_on_file_cannot_read_the_form(room: Path) -> None:
    write(room, POURED)
    found = refused(room, "--reading", "0.5 mg/L")
    assert found["code"] == "D442"
    assert "--kit 'total kit'" in found["hint"]
    assert "the level is 2.00 mg/L" in dose(room, "--reading", "0.5 mg/L").stderr


def test_of_several_readings_it_is_asked_too(room: Path) -> None:
    readings = ("--readings", "2026-10-09T08:00 2.1 mg/L, 2026-10-10T08:00 2.0 mg/L")
    assert refused(room, *readings)["code"] == "D442"
    assert dose(room, *readings, "--kit", "total kit").exit_code == 0


def test_a_kit_for_another_form_gives_no_level(room: Path) -> None:
    found = refused(room, "--reading", "0.5 mg/L", "--kit", "free kit")
    assert found["code"] == "D444"
    assert found["hint"] == "read with `total kit`"


def test_a_dose_that_the_log_would_bring_over_the_ceiling_is_refused(room: Path) -> None:
    """0.5 read + 1.5 to the first step; 2.0 by the log + 1.5 is 3.5, over 2.5."""
    write(room, POURED)
    assert refused(room, "--reading", "0.5 mg/L", "--kit", "total kit")["code"] == "D443"
    assert "bring it to 3.50 mg/L, above 2.50 mg/L" in " ".join(
        dose(room, "--reading", "0.5 mg/L", "--kit", "total kit").stderr.split()
    )


@pytest.mark.parametrize("level", ["1.7 mg/L", "2.0 mg/L", "2.2 mg/L"])
def test_an_ordinary_loss_is_taken_at_its_word(room: Path, level: str) -> None:
    write(room, POURED)
    assert dose(room, "--reading", level, "--kit", "total kit").exit_code == 0


def test_a_second_reading_that_is_written_down_decides(room: Path) -> None:
    write(room, POURED + "2026-10-10T19:55 reading q copper 0.5 mg/L with total kit\n")
    result = dose(room)
    assert result.exit_code == 0, result.stderr
    assert "9.00 mL" in result.stdout


def test_where_every_kit_reads_the_form_nothing_is_asked(room: Path) -> None:
    room.write_text(ROOM.replace("forms: [ionic]", "forms: [ionic, chelated]"), "utf-8")
    assert dose(room, "--reading", "0.5 mg/L").exit_code == 0


def test_a_kit_without_a_reading_is_no_command(room: Path) -> None:
    assert dose(room, "--kit", "total kit").exit_code == 2
