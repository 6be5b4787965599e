"""What `pratique log` says at once of an entry that does harm, and that an entry is never lost for a bug in that."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from history.kept import typed
from pratique.cli import log_write, log_written
from pratique.cli.main import cli
from pratique.knowledge import store
from pratique.logbook.file import read_log
from pratique.logbook.line import to_line
from pratique.room.load import load_room

HARBOUR = Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml"
NOW = dt.datetime(2027, 3, 8, 18, 30, tzinfo=dt.UTC)
CAME = "2027-03-05T19:05 arrived spring tangs in blue tub\n"


class Room:
    def __init__(self, folder: Path) -> None:
        self.path = folder / "fishroom.yaml"
        self.path.write_bytes(HARBOUR.read_bytes())
        self.file = folder / "fishroom.log.jsonl"

    def write(self, lines: str) -> None:
        room, _ = load_room(self.path)
        assert room is not None
        self.file.write_bytes(b"".join(to_line(entry) + b"\n" for entry in typed(room, lines)))

    def call(self, *words: str, at: str = "2027-03-08T18:30") -> Result:
        options = ["--room", str(self.path), "--at", at]
        return CliRunner().invoke(cli, [*words, *options], env={"COLUMNS": "", "NO_COLOR": "1"})

    def log(self, words: str, *more: str) -> Result:
        return self.call("log", words, *more)

    def problem(self, code: str, words: str) -> dict[str, str]:
        """The one problem of that code which the words are answered with."""
        answer = json.loads(self.log(words, "--json").stdout)
        (found,) = [problem for problem in answer["problems"] if problem["code"] == code]
        assert found["severity"] == store.codes()[code].severity
        return found


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Room:
    monkeypatch.setattr(log_write, "now", lambda zone: NOW.astimezone(zone))
    return Room(tmp_path)


def test_ten_times_the_dose(room: Room) -> None:
    """160 mL of 10 mg/mL in 75.2 L (60 x 38 x 33 cm) are 21.3 mg/L."""
    found = room.problem("L748", "dose ward copper-chelated 160 mL of copper bottle")
    assert "`ward` holds 21.3 mg/L of copper, above the ceiling of 2.50 mg/L" in found["message"]
    assert " L, 4 times, with water that holds none" in found["hint"]
    assert "add no other drug" in found["hint"]


def test_a_dose_as_it_should_be_is_not_warned_of(room: Room) -> None:
    assert "L748" not in room.log("dose ward copper-chelated 15 mL of copper bottle").stderr


def test_straight_into_the_display(room: Room) -> None:
    """Six live there by the room file, and two came."""
    found = room.problem("L749", "arrived spring tangs in reef")
    assert found["message"] == "`spring tangs` went straight into `reef`, without any quarantine"
    assert "`pratique trace reef`" in found["hint"]
    assert "`pratique signs reef …`" in found["hint"]
    assert "8 animals" in room.log("arrived spring tangs in reef", "--try").stderr
    day = room.call("day")
    assert "count heads (5, without the 3 that are no fish)" in day.stdout
    assert "trace: spring tangs went straight into reef" in day.stdout


def test_the_last_of_a_batch(room: Room) -> None:
    room.write(CAME)
    assert "L751" not in room.log("death blue tub kole tang").stderr
    found = room.problem("L751", "death blue tub sixline wrasse")
    assert "the batch is closed" in found["message"]


def test_a_death_at_home_asks_for_the_others(room: Room) -> None:
    """Six live in the reef by the room file."""
    found = room.problem("L759", "death reef Lemon")
    assert found["message"] == "a fish that lived in `reef` is dead, and 5 animals live on in its water"
    assert "read ammonia, oxygen and temperature; `pratique signs reef …`" in found["hint"]
    assert "L759" not in room.log("death reef cleaner shrimp", "--try").stderr
    room.write(CAME)
    assert "L759" not in room.log("death blue tub kole tang").stderr


@pytest.mark.parametrize(
    ("words", "hint"), [("look blue tub 1 heads", "behind the pump"), ("look blue tub 3 heads", "count again")]
)
def test_heads_that_do_not_agree(room: Room, words: str, hint: str) -> None:
    room.write(CAME)
    found = room.problem("L752", words)
    assert "alive there by the log: 2" in found["message"]
    assert hint in found["hint"]
    assert "L752" not in room.log("look blue tub 2 heads eating").stderr


def test_a_sign_names_the_command_that_answers_it(room: Room) -> None:
    room.write(CAME)
    found = room.problem("S530", "sign blue tub kole tang dust")
    assert "`pratique signs 'blue tub' dust`" in found["hint"]
    assert "may no longer be the answer" in room.call("plan", "spring tangs").stderr


def test_an_entry_is_saved_whatever_becomes_of_its_effects(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object, **__: object) -> None:
        raise RuntimeError("a bug")

    for name in ("doubts", "consequences_of", "effects"):
        monkeypatch.setattr(log_written, name, breaks)
    result = room.log("reading ward copper 2.1 mg/L")
    assert result.exit_code == 0
    assert "saved" in result.stdout
    assert "warning[L750]" in result.stderr
    assert len(read_log(room.file)[0].entries) == 1
    tried = room.log("reading ward copper 2.1 mg/L", "--try")
    assert isinstance(tried.exception, RuntimeError)
    assert len(read_log(room.file)[0].entries) == 1


def test_what_moves_no_date_makes_no_plan(room: Room, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object, **__: object) -> None:
        raise RuntimeError("a plan was made")

    monkeypatch.setattr("pratique.checks.entries.day_sheets.make_plan", breaks)
    for words in ("note all is well", "fed reef with pellets", "bought formalin 20 mL", "top-off reef 3 L"):
        assert room.log(words).stderr == ""


@pytest.mark.parametrize(
    ("words", "code"),
    [("fed reef at tomorrow", "L734"), ("fed reef at tomorrow 08:00", "L734"), ("fed reef at yesterday", "L731")],
)
def test_days_by_name(room: Room, words: str, code: str) -> None:
    assert f"error[{code}]" in room.log(words).stderr


@pytest.mark.parametrize("at", ["yesterday 20:00", "yesterday", "today", "08:30", "tomorrow", "2027-03-05"])
@pytest.mark.parametrize("words", [["day"], ["plan"], ["dose", "ward", "copper-chelated", "--off", "uv"]])
def test_at_takes_what_a_log_takes(room: Room, words: list[str], at: str) -> None:
    found = json.loads(room.call(*words, "--json", at=at).stdout)
    today = dt.datetime.now(dt.UTC).date()
    wanted = {"yesterday": -1, "tomorrow": 1}.get(at.split()[0], 0)
    if not at.startswith("2027"):
        assert abs((dt.datetime.fromisoformat(found["at"]).date() - today).days - wanted) <= 1
    assert found["at"][11:16] == {"yesterday 20:00": "20:00", "08:30": "08:30"}.get(at, "00:00")


def test_plan_if_takes_a_tick_for_the_move_it_is(room: Room) -> None:
    room.write(CAME)
    lines = json.loads(room.call("day", "--json", at="2027-03-08T07:10").stdout)["result"]["days"][0]["tasks"]
    number = next(index for index, task in enumerate(lines, 1) if task["act"] == "transfer")
    tried = room.call("plan", "spring tangs", "--if", f"done {number}", at="2027-03-08T07:10")
    assert "move 1 of 4" in tried.stdout
    assert "If this were written" in tried.stdout


def test_a_try_is_as_of_the_moment_asked_for(room: Room) -> None:
    """A fish into the water of a batch on day 18 of its watch: the 18 days are what it costs."""
    room.write("2027-07-10T18:30 arrived pair from the club in long tank\n" + CAME)
    found = room.call("log", "arrived late angel in long tank", "--try", at="2027-07-28T18:30")
    said = " ".join(found.stdout.split())
    assert "release moves from Sat 2 Oct to Wed 20 Oct, 18 days later" in said


COPPER = CAME + "2027-03-06T19:00 dose ward copper-chelated 15 mL of copper bottle\n"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("reading ward copper 34 mg/L", "never used above 2.50 mg/L"),
        ("reading ward copper 0.4 mg/L", "by the doses in the log 1.99 mg/L"),
        ("reading blue tub ammonia 25 mg/L", "at this level fish die"),
        ("reading blue tub oxygen 70 mg/L", "water like this holds about"),
    ],
)
def test_a_reading_that_is_hard_to_believe(room: Room, words: str, said: str) -> None:
    room.write(COPPER)
    found = room.problem("L753", words)
    assert said in found["message"]
    assert "read again" in found["hint"]


@pytest.mark.parametrize(
    "words",
    ["ward copper 1.5 mg/L", "ward copper 2.2 mg/L", "blue tub ammonia 1 mg/L", "blue tub oxygen 6.5 mg/L"],
)
def test_a_reading_as_it_may_well_be_is_not_doubted(room: Room, words: str) -> None:
    room.write(COPPER)
    assert "L753" not in room.log(f"reading {words}").stderr


def test_a_kit_that_cannot_read_what_is_in_the_water(room: Room) -> None:
    text = room.path.read_text("utf-8")
    free = "kits:\n  free kit: {measures: copper, forms: [ionic], resolution: 0.05 mg/L}\n"
    room.path.write_text(text.replace("kits:\n", free, 1), "utf-8")
    room.write(COPPER)
    assert "`free kit` cannot measure" in room.problem("L754", "reading ward copper 1.9 mg/L with free kit")["message"]
    assert "no kit is named" in room.problem("L754", "reading ward copper 1.9 mg/L at 18:20")["message"]
    assert "L754" not in room.log("reading ward copper 1.9 mg/L with copper meter at 18:10").stderr


def test_a_year_that_is_probably_wrong(room: Room) -> None:
    room.write(CAME)
    result = room.call("log", "reading ward copper 2 mg/L", at="2026-03-08T18:30")
    assert "warning[L755]" in result.stderr
    assert "the next is of Fri 5 Mar 2027" in " ".join(result.stderr.split())
    assert "L755" not in room.call("log", "reading ward copper 2 mg/L", at="2027-02-08T18:30").stderr


def test_a_batch_of_which_none_is_left_does_not_arrive_again(room: Room) -> None:
    room.write(CAME + "2027-03-06T08:00 death blue tub kole tang\n2027-03-06T08:00 death blue tub sixline wrasse\n")
    assert "none of it is left" in room.problem("L743", "arrived spring tangs in green tub")["message"]
