"""`pratique book` at the command line: typed wishes, wishes of the file, what cannot come and what would help."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from schedule_rooms import as_yaml, room_data

WISH = {
    "source": "a shop", "trust": "untrusted", "earliest": "2027-03-20", "latest": "2027-10-20",
    "animals": [{"species": "yellow tang"}],
}  # fmt: skip


@pytest.fixture
def room(tmp_path: Path) -> Path:
    path = tmp_path / "fishroom.yaml"
    path.write_text(as_yaml({**room_data(), "wishes": {"a tang": WISH}}), encoding="utf-8")
    return path


def call(room: Path, *words: str, width: int = 100) -> Result:
    args = ["book", *words, "--room", str(room), "--at", "2027-03-01T12:00"]
    result = CliRunner().invoke(cli, args, env={"COLUMNS": str(width), "NO_COLOR": "1"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def test_a_wish_of_the_file_is_booked_and_the_file_is_left_alone(room: Path) -> None:
    before = room.read_bytes()
    result = call(room)
    assert result.exit_code == 0
    assert "1 of 1 wish" in result.stdout and "proven" in result.stdout
    assert "arrives: 2027-" in result.stdout and "regimen: " in result.stdout and "booked: {" in result.stdout
    assert room.read_bytes() == before


def test_a_typed_wish_stands_beside_those_of_the_file(room: Path) -> None:
    result = call(room, "--animals", "2 ocellaris clownfish, royal gramma", "--trust", "trusted", "--json")
    answer = json.loads(result.stdout)["result"]
    assert {entry["wish"] for entry in answer["booked"] + answer["broken"]} == {"a tang", "asked now"}


def test_what_cannot_come_is_told_with_what_would_help(room: Path) -> None:
    data = {**room_data(), "wishes": {"a tang": {**WISH, "earliest": "2027-03-06", "latest": "2027-03-08"}}}
    room.write_text(as_yaml(data), encoding="utf-8")
    answer = json.loads(call(room, "--json").stdout)["result"]
    (broken,) = answer["broken"]
    assert broken["wish"] == "a tang"
    later = [other for other in broken["instead"] if other["sort"] == "later"]
    assert later and later[0]["booked"]["arrives"] > "2027-03-08"
    assert "cannot come" in call(room).stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--animals", "yellow tnag"], "yellow tang"),
        (["--animals", "yellow tang", "--earliest", "next week"], "next week"),
        (["--animals", "yellow tang", "--earliest", "2027-05-01", "--latest", "2027-04-01"], "before the earliest"),
        (["--animals", "yellow tang", "--regimen", "no-such"], "no-such"),
        (["--animals", "yellow tang,,"], "animal"),
    ],
)
def test_a_wish_that_cannot_be_read_is_no_booking(room: Path, words: list[str], said: str) -> None:
    result = call(room, *words)
    assert result.exit_code == 2
    assert said in result.stderr


def test_without_a_wish_it_says_how_to_write_one(room: Path) -> None:
    room.write_text(as_yaml(room_data()), encoding="utf-8")
    result = call(room)
    assert result.exit_code == 2 and "wishes" in result.stderr


@pytest.mark.parametrize("width", [40, 80, 120])
def test_the_picture_is_never_cut(room: Path, width: int) -> None:
    shown = call(room, width=width).stdout
    rows = [line for line in shown.splitlines() if "╎" in line and "today" not in line]
    assert len(rows) >= 4
    assert len({len(line.partition("╎")[2].rstrip()) for line in rows}) == 1


def test_the_same_question_has_the_same_answer(room: Path) -> None:
    assert call(room, "--json").stdout == call(room, "--json").stdout


def test_what_helps_leaves_the_other_bookings_alone_or_names_them() -> None:
    """One tank more for the wrasses of the cellar: the three that can come stay on their days."""
    room = Path(__file__).parents[2] / "examples/cellar/fishroom.yaml"
    answer = json.loads(call(room, "--json").stdout)["result"]
    (broken,) = answer["broken"]
    assert broken["wish"] == "wrasses" and len(answer["booked"]) == 3
    tanks = [other for other in broken["instead"] if other["sort"] == "tank"]
    assert tanks and all(other["others_moved"] == [] for other in tanks)
    assert all("2027-03-05" <= other["booked"]["arrives"] < "2027-03-26" for other in tanks)


def test_a_kept_booking_is_a_plan_with_the_same_days_and_tanks(tmp_path: Path) -> None:
    """The lines under "To keep a booking", pasted: the tanks of the plan are those of the booking."""
    import yaml

    source = Path(__file__).parents[2] / "examples/cellar/fishroom.yaml"
    data = yaml.load(source.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    printed = call(source, width=200).stdout
    keep = printed[printed.index("\ntangs:") :].split("\n\n")[0]
    wish = data["wishes"].pop("tangs")
    for key in ("earliest", "latest", "priority"):
        del wish[key]
    data["batches"] = {"tangs": wish | yaml.load(keep, Loader=yaml.BaseLoader)["tangs"]}
    del data["wishes"]
    kept = tmp_path / "fishroom.yaml"
    kept.write_text(as_yaml(data), encoding="utf-8")
    args = ["plan", "tangs", "--room", str(kept), "--at", "2027-03-01T12:00", "--json"]
    (plan,) = json.loads(CliRunner().invoke(cli, args).stdout)["result"]["batches"]
    assert [(stage["name"], sorted(set(stage["tanks"]))) for stage in plan["stages"]] == [
        ("transfers", ["tub a", "tub b"]), ("anthelmintic", ["sick bay"]), ("observation", ["sick bay"])
    ]  # fmt: skip
    assert plan["stages"][0]["start"].startswith("2027-03-05T17:30")
