"""The published JSON Schemas: as they are made now, and held against answers and room files by the jsonschema library.

`python -m pytest tests/docs/test_schemas.py --golden` writes them anew.
"""

from __future__ import annotations

import copy
import json
import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml
from click.testing import CliRunner
from test_screens import SCREENS

from pratique.cli.main import COMMANDS, cli
from pratique.export.room_schema import room_schema
from pratique.export.schemas import answer_schema, commands, every_schema, published, schema_text
from pratique.room.describe import describe_key, key_names
from pratique.room.shape import every_key

TOP = Path(__file__).parents[2]
PACKAGE, DOCS = TOP / "src/pratique/export/schemas", TOP / "docs/reference/schemas"
HARBOUR = "examples/harbour-lane/fishroom.yaml"
KEPT = f"--room {HARBOUR} --log tests/terminal/logs/harbour-lane.jsonl --at 2027-03-08T06:30"
ROOM = f"--room {HARBOUR} --at 2027-03-08T06:30"

MORE = {
    "dip-fresh": f"dip freshwater-dip --for Lemon {ROOM}",
    "dip-bath": f"dip formalin-bath --for 'late angel' --oxygen '7 mg/L' --temperature '24 degC' {ROOM}",
    "dip-refused": f"dip formalin-bath --for Lemon {ROOM}",
    "release": f"release 'spring tangs' {KEPT}",
    "release-nothing-known": f"release 'late angel' {ROOM}",
    "log-list": f"log {KEPT}",
    "log-try": f"log reading ward copper 2.1 mg/L --try {ROOM}",
    "log-not-understood": f"log readnig ward {ROOM}",
    "plan-all": f"plan {KEPT}",
    "day-week": f"day 2027-03-08 --days 7 {KEPT}",
    "dose-drug": f"dose ward praziquantel-bath --off uv {ROOM}",
    "no-room": "check --room tests/cases/none.yaml",
    "bad-room": f"plan --room {next(iter(sorted((TOP / 'tests/cases/bad').glob('F104*.yaml'))))}",
    "trace": f"trace reef {KEPT}",
    "trace-tub": f"trace 'blue tub' {KEPT}",
    "risk": f"risk 'spring tangs' --compare {KEPT}",
    "risk-simulated": "risk 'first fish' --simulate 100 --at 2027-03-05T06:00 --room examples/first-tank/fishroom.yaml",
    "book": f"book --animals 'sixline wrasse' --earliest 2027-06-01 --latest 2027-09-30 {ROOM}",
    "book-broken": f"book --animals 'sixline wrasse' --earliest 2027-03-09 --latest 2027-03-12 {ROOM}",
    "risk-fallow": f"risk --fallow reef --days 60 {ROOM}",
    "fallow-log": f"fallow 'blue tub' --of uronema {KEPT}",
    "shelf-log": f"shelf {KEPT}",
    "signs": f"signs reef dust fast-breathing {ROOM}",
    "signs-kept": f"signs 'blue tub' white-spots scratching {KEPT}",
}


def calls() -> Iterator[tuple[str, list[str]]]:
    for name, words in SCREENS.items():
        fixed = words[0] == "why" or "--at" in words
        yield name, [*words, *([] if fixed else ["--at", "2027-03-08T06:30"])]
    for name, line in MORE.items():
        yield name, shlex.split(line)


def answer(words: list[str]) -> dict[str, Any]:
    result = CliRunner().invoke(cli, [*words, "--json"])
    assert result.exit_code in (0, 1), result.output
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def complaints(schema: dict[str, Any], data: Any) -> list[str]:
    """What the library finds, at the deepest places first: of several shapes, the one that fits best."""
    validator = jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())
    error = jsonschema.exceptions.best_match(validator.iter_errors(data))
    return [] if error is None else [f"{error.json_path}: {error.message[:200]}"]


@pytest.mark.parametrize("folder", [PACKAGE, DOCS], ids=["package", "docs"])
def test_published_schemas_are_those_of_now(folder: Path, golden: Callable[[Path, str], None]) -> None:
    made = dict(every_schema())
    for name, schema in made.items():
        golden(folder / name, schema_text(schema))
    assert {file.name for file in folder.iterdir()} == set(made)


def test_they_are_sound_schemas_and_the_program_has_them() -> None:
    for name, schema in every_schema():
        jsonschema.Draft202012Validator.check_schema(schema)
        assert json.loads(published(name)) == schema


def test_every_command_that_answers_in_json_has_one() -> None:
    with_json = {name for name in COMMANDS if "--json" in CliRunner().invoke(cli, [name, "--help"]).stdout}
    assert set(commands()) == with_json


@pytest.mark.parametrize(("name", "words"), list(calls()), ids=[name for name, _ in calls()])
def test_every_answer_is_as_its_schema_says(name: str, words: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    assert complaints(answer_schema(words[0]), answer(words)) == []


def test_a_schema_refuses_what_is_not_an_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    schema = answer_schema("day")
    good = answer(["day", "2027-03-08", *shlex.split(ROOM)])
    assert complaints(schema, good) == []
    for change in (
        lambda found: found.pop("problems"),
        lambda found: found.update(more=1),
        lambda found: found.update(command="plan"),
        lambda found: found["result"]["days"][0]["tasks"][0].update(at="yesterday evening", deadline="no"),
        lambda found: found["result"]["days"][0]["tasks"][0].update(amount=3.2),
        lambda found: found["problems"].append({"code": "D404"}),
        lambda found: found["cautions"].append(7),
    ):
        bad = copy.deepcopy(good)
        change(bad)
        assert complaints(schema, bad), change


def read(path: Path) -> Any:
    return yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader)


GOOD = [*sorted((TOP / "tests/cases/good").glob("*.yaml")), *sorted((TOP / "examples").glob("*/*.yaml"))]


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_sound_room_files_pass(path: Path) -> None:
    assert complaints(room_schema(), read(path)) == []


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_as_an_editor_reads_them_they_pass_too(path: Path) -> None:
    """Editors know numbers, and yes and no; moments are text to them, as JSON has none."""
    loaded = yaml.safe_load(path.read_text("utf-8"))
    assert complaints(room_schema(), json.loads(json.dumps(loaded, default=str))) == []


CAUGHT = ("F105", "F109", "F110", "F111")
"""Codes of what stands where it does not belong: keys nobody knows, a list for a map. `check` says the rest."""

BAD = [path for path in sorted((TOP / "tests/cases/bad").glob("*.yaml")) if path.name[:4] in CAUGHT]


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_keys_that_do_not_belong_are_underlined(path: Path) -> None:
    assert complaints(room_schema(), read(path))


def test_every_key_says_in_the_editor_what_it_says_in_why() -> None:
    text = json.dumps(room_schema(), ensure_ascii=False)
    for name in key_names():
        for row in describe_key(name):
            assert json.dumps(row.meaning, ensure_ascii=False)[1:-1] in text, name
    properties = {key for part in [room_schema(), *room_schema()["$defs"].values()] for key in part["properties"]}
    assert properties == {home.key for home in every_key()}


def test_start_writes_a_schema_and_the_line_that_names_it(tmp_path: Path) -> None:
    room, schema = tmp_path / "my room" / "fish.yaml", tmp_path / "schemas of mine" / "room.json"
    room.parent.mkdir()
    schema.parent.mkdir()
    result = CliRunner().invoke(cli, ["start", str(room), "--schema", str(schema)])
    assert result.exit_code == 0, result.output
    first = room.read_text("utf-8").splitlines()[0]
    found = re.fullmatch(r"# yaml-language-server: \$schema=(\S+)", first)
    assert found is not None
    named = (room.parent / found[1].replace("%20", " ")).resolve()
    assert named == schema
    assert complaints(json.loads(schema.read_text("utf-8")), read(room)) == []
    assert CliRunner().invoke(cli, ["check", "--room", str(room)]).exit_code == 0


def test_start_writes_no_schema_over_another_file(tmp_path: Path) -> None:
    room, schema = tmp_path / "fish.yaml", tmp_path / "room.json"
    schema.write_text("{}", "utf-8")
    for named in (schema, room, tmp_path / "none" / "room.json"):
        result = CliRunner().invoke(cli, ["start", str(room), "--schema", str(named)])
        assert result.exit_code == 1
        assert "F127" in result.stderr
        assert not room.exists()
    assert schema.read_text("utf-8") == "{}"
    schema.unlink()
    for name in ("one.yaml", "two.yaml"):
        assert CliRunner().invoke(cli, ["start", str(tmp_path / name), "--schema", str(schema)]).exit_code == 0
