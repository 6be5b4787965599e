"""One room file, laid out in another way (order of sections and keys, quotes, JSON, remarks): the same answers."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner

from pratique.cli.main import cli

TOP = Path(__file__).parents[2]
ROOM = TOP / "examples/harbour-lane/fishroom.yaml"
LOG = TOP / "tests/terminal/logs/harbour-lane.jsonl"
AT = ["--at", "2027-03-08T06:30"]
QUESTIONS = (["plan", *AT], ["day", "2027-03-09", *AT], ["shelf", *AT])
BY_NAME = ("tanks", "waters", "batches", "wishes", "shelf", "kits", "gear", "vessels", "syringes", "regimens", "values")
"""Sections whose entries stay in their order: of two tanks that fit alike, the first is taken."""


PLACE = ("file", "line", "column")


def answers(text: str, folder: Path) -> list[str]:
    """What the room says, without the name of the file."""
    room = folder / "fishroom.yaml"
    room.write_text(text, "utf-8")
    found = []
    for words in QUESTIONS:
        result = CliRunner().invoke(cli, [*words, "--json", "--room", str(room), "--log", str(LOG)])
        assert result.exit_code == 0, result.output
        found.append(_without_places(json.loads(result.stdout)))
    return found


def _without_places(data: Any) -> Any:
    """Where a problem stands and the order of problems move with the layout; nothing else does."""
    if isinstance(data, list):
        return [_without_places(value) for value in data]
    if not isinstance(data, dict):
        return data
    found = {key: _without_places(value) for key, value in data.items() if key not in PLACE}
    if isinstance(found.get("problems"), list):
        found["problems"].sort(key=json.dumps)
    return found


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    return answers(ROOM.read_text("utf-8"), tmp_path_factory.mktemp("plain"))


def tree() -> dict[str, Any]:
    found: dict[str, Any] = yaml.load(ROOM.read_text("utf-8"), Loader=yaml.BaseLoader)
    return found


WAYS = {
    "as JSON": lambda: json.dumps(tree(), ensure_ascii=False, indent=1),
    "as JSON on one line": lambda: json.dumps(tree()),
    "every text in double quotes": lambda: yaml.safe_dump(tree(), default_style='"', sort_keys=False),
    "every text in single quotes": lambda: yaml.safe_dump(tree(), default_style="'", sort_keys=False),
    "in braces": lambda: yaml.safe_dump(tree(), default_flow_style=True, sort_keys=False, width=70),
    "with remarks and empty lines": lambda: ROOM.read_text("utf-8").replace(
        "\n\n", "\n\n# a remark: {of: no matter}\n\n"
    ),
    "without remarks": lambda: "\n".join(
        line.split(" #")[0] for line in ROOM.read_text("utf-8").splitlines() if not line.lstrip().startswith("#")
    ),
}


@pytest.mark.parametrize("way", WAYS)
def test_how_the_file_is_laid_out_changes_nothing(way: str, plain: list[str], tmp_path: Path) -> None:
    assert answers(WAYS[way](), tmp_path) == plain


def shuffled(data: Any, chance: random.Random, path: tuple[str, ...] = ()) -> Any:
    """Keys in another order, but for the entries of a section and for lists."""
    if isinstance(data, list):
        return [shuffled(value, chance, (*path, "-")) for value in data]
    if not isinstance(data, dict):
        return data
    keys = list(data)
    if len(path) != 1 or path[0] not in BY_NAME:
        chance.shuffle(keys)
    return {key: shuffled(data[key], chance, (*path, key)) for key in keys}


@pytest.mark.parametrize("seed", range(3))
def test_sections_and_keys_in_any_order_change_nothing(seed: int, plain: list[str], tmp_path: Path) -> None:
    text = json.dumps(shuffled(tree(), random.Random(seed)), ensure_ascii=False, indent=1)
    assert answers(text, tmp_path) == plain
