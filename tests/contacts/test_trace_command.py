"""`pratique trace` as it is called: names, codes, JSON, pages of every width, the picture."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from history.kept import batch, moment, tank, tanks, typed
from pratique.cli.main import cli
from pratique.contacts.trace import Request, make_trace
from pratique.export.pictures.contacts import contacts_svg
from pratique.history.fold import fold
from pratique.logbook.file import append, read_log
from pratique.problem import Refusal
from pratique.room.load import load_room, load_room_text
from schedule_rooms import as_yaml, room_data

AT = "2027-03-21T08:00"
LINES = """
2027-03-05 18:30 arrived first in long
2027-03-05 18:40 gear red set in long
2027-03-08 18:30 moved Ember from reef to ward
2027-03-08 18:40 gear white set in ward
2027-03-08 20:00 gear white set in long
2027-03-09 08:00 moved rock from reef to nook
2027-03-10 18:40 sign ward dust
2027-03-20 18:40 fed ward
2027-03-20 18:50 fed tub a
2027-03-20 19:10 gear red set in ward
"""


def data(**more: Any) -> dict[str, Any]:
    names = {"reef <b>&": tank("display")} if more.pop("odd", False) else {}
    return room_data(
        **{
            "tanks": {**tanks(), "nook": tank("display"), **names},
            "animals": [
                {"species": "flame angelfish", "name": "Ember", "tank": "reef"},
                {"species": "torch coral", "tank": "reef"},
            ],
            "batches": {"first": batch("2027-03-05T18:30", "trusted", "royal gramma")},
            "room": {"distances": [{"between": ["ward", "tub b"], "gap": "1 m"}]},
            **more,
        }
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "fishroom.yaml").write_text(as_yaml(data()), "utf-8")
    room, _ = load_room(tmp_path / "fishroom.yaml")
    assert room is not None
    append(tmp_path / "fishroom.log.jsonl", typed(room, LINES))
    return tmp_path


def ask(folder: Path, *words: str, width: int = 100, at: str = AT) -> Result:
    line = ["trace", *words, "--room", str(folder / "fishroom.yaml"), "--at", at]
    return CliRunner().invoke(cli, line, env={"COLUMNS": str(width), "NO_COLOR": "1"})


def result(folder: Path, *words: str) -> dict[str, Any]:
    found = ask(folder, *words, "--json")
    assert found.exit_code == 0, found.output
    whole: dict[str, Any] = json.loads(found.stdout)
    assert whole["command"] == "trace"
    assert whole["refusal"] is None
    answer: dict[str, Any] = whole["result"]
    return answer


def by_water(entries: Iterable[dict[str, Any]]) -> dict[str, dict[str, Any]]:
    return {entry["water"]: entry for entry in entries}


def test_json_has_each_water_once_and_no_other(folder: Path) -> None:
    answer = result(folder, "ward")
    exposed, spared = by_water(answer["exposed"]), by_water(answer["not_exposed"])
    assert not set(exposed) & set(spared)
    assert set(exposed) | set(spared) == {"reef", "tub a", "tub b", "ward", "long", "nook"}
    assert {name: entry["strength"] for name, entry in exposed.items()} == {
        "ward": "direct", "reef": "direct", "long": "wet", "nook": "wet", "tub a": "possible", "tub b": "possible",
    }  # fmt: skip
    assert exposed["ward"]["asked"]
    path = exposed["nook"]["path"]
    hops = [(hop["from"], hop["to"], hop["by"]) for hop in path]
    assert hops == [("ward", "reef", "fish"), ("reef", "nook", "thing")]
    assert path[1]["entry"] is not None
    assert exposed["tub b"]["goes_on"]
    assert [entry["what"] for entry in answer["to_disinfect"] if entry["kind"] == "gear"] == ["red set"]
    (cost,) = [clock["cost"] for clock in exposed["long"]["clocks"] if clock["clock"] == "watch"]
    assert cost == {"value": pytest.approx(3.0625), "unit": "d"}


def test_a_day_and_an_agent_change_the_answer(folder: Path) -> None:
    assert "long" not in by_water(result(folder, "ward", "--from", "2027-03-10")["exposed"])
    answer = result(folder, "ward", "--of", "white spot")
    assert answer["agent"] == "cryptocaryon"


@pytest.mark.parametrize("words", [["Ember"], ["first"], ["red set"], ["ward", "--as", "tank"]])
def test_whatever_has_a_name_can_be_asked_about(folder: Path, words: list[str]) -> None:
    assert result(folder, *words)["asked"]["name"] == words[0]


def test_a_wrong_name_gets_near_ones(folder: Path) -> None:
    found = ask(folder, "wrad")
    assert found.exit_code == 2
    assert "did you mean `ward`?" in found.stderr
    assert ask(folder, "ward", "--of", "velvt").exit_code == 2
    assert "after the moment" in ask(folder, "ward", "--from", "2028-01-01").stderr


def test_a_name_of_two_things_is_refused(folder: Path) -> None:
    (folder / "fishroom.yaml").write_text(as_yaml(data(gear={"Ember": {"for": "all"}})), "utf-8")
    found = ask(folder, "Ember", "--json")
    assert found.exit_code == 1
    assert json.loads(found.stdout)["refusal"]["code"] == "X610"
    assert ask(folder, "Ember", "--as", "animal").exit_code == 0


def test_no_log_is_a_warning_and_an_answer(tmp_path: Path) -> None:
    (tmp_path / "fishroom.yaml").write_text(as_yaml(data()), "utf-8")
    found = ask(tmp_path, "ward")
    assert found.exit_code == 0
    assert "X611" in found.stderr
    assert "nothing is on record" in found.stdout


def test_what_was_nowhere_is_refused(tmp_path: Path) -> None:
    (tmp_path / "fishroom.yaml").write_text(as_yaml(data()), "utf-8")
    found = ask(tmp_path, "first", at="2027-01-01T08:00")
    assert found.exit_code == 1
    assert "X613" in found.stderr


@pytest.mark.parametrize("width", [120, 80, 40])
def test_no_line_is_longer_than_the_screen_and_the_tree_keeps_its_shape(folder: Path, width: int) -> None:
    found = ask(folder, "ward", width=width)
    assert found.exit_code == 0
    assert max(map(len, found.stdout.splitlines())) <= width
    for line in ("  |== reef", "  |   `-- nook", "  `.. tub b"):
        assert any(shown.startswith(line) for shown in found.stdout.splitlines()), (line, found.stdout)


def test_the_picture_is_sound_and_escaped(tmp_path: Path) -> None:
    room, problems = load_room_text(as_yaml(data(odd=True)))
    assert room is not None, problems
    log_file = tmp_path / "fishroom.log.jsonl"
    append(log_file, typed(room, LINES + "2027-03-11 08:00 moved rock from ward to reef <b>&\n"))
    told = fold(room, read_log(log_file)[0], moment(AT))
    trace = make_trace(room, told, Request(kind="tank", name="ward"))
    assert not isinstance(trace, Refusal)
    svg = contacts_svg(trace)
    root = ElementTree.fromstring(svg)
    texts = ["".join(node.itertext()) for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert "reef <b>&" in texts
    for found in trace.reached:
        assert found.water in texts
    assert {node.tag.rpartition("}")[2] for node in root.iter()} <= {"svg", "line", "rect", "text", "circle"}
    drawn = {node.get("stroke") or node.get("fill") for node in root.iter()} - {None}
    assert all(colour in ("#000", "#fff", "none", "#999", "#e4e4e4") for colour in drawn)
    assert 'stroke-dasharray="6 3"' in svg
    assert 'stroke-dasharray="1.5 3"' in svg


@pytest.mark.parametrize(
    ("distances", "code"),
    [
        ([{"between": ["reef", "reef"], "gap": "1 m"}], "X620"),
        ([{"between": ["reef", "ward"], "gap": "1 m"}, {"between": ["ward", "reef"], "gap": "2 m"}], "X621"),
        ([{"between": ["reef", "wrad"], "gap": "1 m"}], "F113"),
        ([{"between": ["reef", "ward"], "gap": "0 m"}], "U212"),
    ],
)
def test_distances_that_cannot_be(distances: list[dict[str, Any]], code: str) -> None:
    room, problems = load_room_text(as_yaml(data(room={"distances": distances})))
    assert room is None
    assert {problem.code for problem in problems} == {code}
    assert all(problem.place is not None for problem in problems)
