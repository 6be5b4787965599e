"""A drug in food is for those who are in the tank by the log: not for who died, or stands in another tank by now."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from dosing_rooms import keys
from pratique.cli.main import cli
from prescribed_rooms import DRUG, FOOD

FISH = [
    {"species": "royal gramma", "tank": "q1", "weight": "200 g"},
    {"species": "yellow tang", "tank": "q1", "weight": "100 g"},
]
OTHER = {"use": "reserve", "volume": {"measured": "50 L"}}


@pytest.fixture
def room(tmp_path: Path) -> Path:
    more: dict[str, Any] = {"shelf__drug": DRUG, "animals": FISH, "prescriptions": {"sheet": FOOD}, "tanks__q2": OTHER}
    path = tmp_path / "fishroom.yaml"
    path.write_text(yaml.safe_dump(json.loads(json.dumps(keys(**more))), sort_keys=False), "utf-8")
    return path


def called(room: Path, *words: str) -> dict[str, Any]:
    found = CliRunner().invoke(cli, [*words, "--room", str(room), "--at", "2026-03-05T18:00", "--json"])
    assert found.exit_code == 0, found.stdout + found.stderr
    return json.loads(found.stdout)  # type: ignore[no-any-return]


def amount(room: Path) -> tuple[float, float]:
    """g of fish, and mg of the drug for a day."""
    result = called(room, "dose", "q1", "antibiotic-course")["result"]
    return result["mass"]["value"], result["active"]["value"]


def test_all_are_there_while_nothing_else_is_written(room: Path) -> None:
    """75 mg for a kg: 300 g take 22.5 mg."""
    assert amount(room) == pytest.approx((300, 22.5))


@pytest.mark.parametrize("entry", ["died q1 yellow tang", "move yellow tang to q2"])
def test_who_is_gone_by_the_log_is_not_counted(room: Path, entry: str) -> None:
    """200 g are left, and take 15 mg."""
    called(room, "log", entry)
    assert amount(room) == pytest.approx((200, 15.0))


def test_who_is_there_by_the_log_alone_is_counted(room: Path) -> None:
    text = room.read_text("utf-8").replace("species: yellow tang\n  tank: q1", "species: yellow tang\n  tank: q2")
    room.write_text(text, "utf-8")
    assert amount(room) == pytest.approx((200, 15.0))
    called(room, "log", "move yellow tang to q1")
    assert amount(room) == pytest.approx((300, 22.5))
