"""`pratique log` as its user meets it: what is written, what is shown back, and what is refused without a trace."""

from __future__ import annotations

import datetime as dt
import errno
import json
import os
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from pratique.cli import log_write
from pratique.cli.main import cli
from pratique.knowledge import store
from pratique.logbook.entry import KINDS
from pratique.logbook.file import LogError, read_log
from pratique.problem import Problem

TOP = Path(__file__).parents[2]
HARBOUR = TOP / "examples/harbour-lane/fishroom.yaml"
NOW = dt.datetime(2027, 3, 8, 18, 30, 7, tzinfo=dt.UTC)
SCREENS = Path(__file__).parents[1] / "terminal" / "screens"


class Desk:
    """A folder with the room of Harbour Lane, and the hour at which things are written there."""

    def __init__(self, folder: Path) -> None:
        self.room = folder / "fishroom.yaml"
        self.room.write_text(HARBOUR.read_text("utf-8"), "utf-8")
        self.file = folder / "fishroom.log.jsonl"

    def log(self, *words: str, at: str = "2027-03-08T18:30", typed: str | None = None, width: str = "") -> Result:
        options = ["--room", str(self.room), "--at", at]
        return CliRunner().invoke(cli, ["log", *options, *words], input=typed, env={"COLUMNS": width, "NO_COLOR": "1"})

    def saved(self, *words: str, **more: Any) -> list[dict[str, Any]]:
        """The entries that were written."""
        result = self.log(*words, "--json", **more)
        assert result.exit_code == 0, result.output
        answer = json.loads(result.stdout)["result"]
        assert answer["written"] is True
        return answer["entries"]

    def lines(self) -> list[dict[str, Any]]:
        return [json.loads(line) for line in self.file.read_text("utf-8").splitlines()] if self.file.exists() else []


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    monkeypatch.setattr(log_write, "now", lambda zone: NOW.astimezone(zone))
    return Desk(tmp_path)


def deny_writing(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The log of this desk may be read and not be opened for writing."""
    real = os.open

    def guarded(path: Any, flags: int, *more: Any, **others: Any) -> int:
        if str(path) == str(desk.file):
            raise PermissionError(errno.EACCES, "Permission denied", str(path))
        return real(path, flags, *more, **others)

    monkeypatch.setattr(os, "open", guarded)


OF_EACH_KIND = {
    "reading": "reading ward copper 2.1 mg/L",
    "dose": "dose ward copper-chelated 3.2 mL of copper bottle",
    "change": "change ward 25 %",
    "top-off": "top-off reef 3 L",
    "move": "move Lemon from reef to ward",
    "arrival": "arrived spring tangs in blue tub",
    "death": "death reef cleaner shrimp",
    "found": "found reef 2 damselfish",
    "sign": "sign reef Lemon dust",
    "fed": "fed reef with pellets",
    "look": "look reef 6 heads eating 80 breaths",
    "dip": "dip Lemon from reef freshwater-dip for 5 min",
    "done": "done 3",
    "skipped": "skipped 4 because the tub leaks",
    "gear": "gear red set in ward",
    "cleaned": "cleaned green tub",
    "dried": "dried red set",
    "opened": "opened formalin",
    "bought": "bought fluke powder 25 g",
    "spoiled": "spoiled formalin 20 mL",
    "note": "note ward the light flickers",
}


def test_every_kind_is_tried() -> None:
    assert {*OF_EACH_KIND, "out", "correction"} == set(KINDS)


@pytest.mark.parametrize("kind", OF_EACH_KIND)
def test_each_kind_is_written_and_shown_back(kind: str, desk: Desk) -> None:
    result = desk.log(*OF_EACH_KIND[kind].split())
    assert result.exit_code == 0, result.output
    assert re.findall(r"\[([A-Z]\d+)\]", result.stderr) == (["S530"] if kind == "sign" else [])
    (line,) = desk.lines()
    assert line["kind"] == kind
    assert result.stdout.startswith("Log · Harbour Lane · saved\n")
    assert line["id"] in result.stdout
    assert f"pratique log withdraw {line['id']} because" in result.stdout
    said = "done" if kind == "done" else OF_EACH_KIND[kind].split(" because")[0].replace(" 4", "")
    assert said.split(" ")[0] in result.stdout


def test_several_on_one_line_get_ids_of_their_own(desk: Desk) -> None:
    found = desk.saved("reading", "ward", "copper", "2.1", "mg/L,", "ammonia", "0.25", "mg/L;", "fed", "reef")
    assert [entry["kind"] for entry in found] == ["reading", "reading", "fed"]
    assert len({entry["id"] for entry in found}) == 3
    assert desk.lines() == [{key: value for key, value in entry.items() if key != "words"} for entry in found]


def test_from_a_file_and_from_standard_input(desk: Desk, tmp_path: Path) -> None:
    text = "# Sunday, from paper\n\n2027-03-07 08:30 fed reef\n2027-03-07T20:00 reading ward copper 2 mg/L\n"
    paper = tmp_path / "paper.txt"
    paper.write_text(text, "utf-8-sig")
    assert [entry["at"] for entry in desk.saved("--file", str(paper))] == [
        "2027-03-07T08:30:00+00:00",
        "2027-03-07T20:00:00+00:00",
    ]
    assert len(desk.saved("--file", "-", typed="fed ward\n")) == 1
    assert len(desk.saved("-", typed="fed blue tub; fed green tub\n")) == 2
    assert len(desk.lines()) == 5


def test_a_mistake_in_a_file_is_shown_at_its_line_and_nothing_is_written(desk: Desk, tmp_path: Path) -> None:
    paper = tmp_path / "paper.txt"
    paper.write_text("fed reef\nfed raef\n", "utf-8")
    result = desk.log("--file", str(paper))
    assert result.exit_code == 1
    assert "error[L732]: unknown tank `raef`" in result.stderr
    assert f"{paper}:2:5" in result.stderr
    assert "did you mean `reef`" in result.stderr
    assert "nothing was written" in result.stderr
    assert result.stdout == ""
    assert not desk.file.exists()


def test_when_and_by_whom(desk: Desk) -> None:
    (entry,) = desk.saved("fed", "reef", "--by", "Kim", at="2027-03-07T09:00")
    assert (entry["at"], entry["by"]) == ("2027-03-07T09:00:00+00:00", "Kim")
    assert entry["written"] == NOW.isoformat()
    (entry,) = desk.saved("fed", "ward", "at", "yesterday", "20:00")
    assert entry["at"] == "2027-03-07T20:00:00+00:00"


@pytest.mark.parametrize("file", [[], ["--json"]])
def test_try_writes_nothing(file: list[str], desk: Desk) -> None:
    result = desk.log("dose", "ward", "3", "mL", "of", "copper", "bottle", "--try", *file)
    assert result.exit_code == 0
    assert not desk.file.exists()
    assert "saved" not in result.stdout
    assert "withdraw" not in result.stdout
    if file:
        assert json.loads(result.stdout)["result"]["written"] is False


def test_what_has_not_happened_can_be_tried_and_not_written(desk: Desk) -> None:
    words = ["arrived", "late", "angel", "in", "ward"]
    tried = desk.log(*words, "--try", at="2027-10-20T19:00")
    assert tried.exit_code == 0
    assert "coral beauty angelfish of late angel: 1 in ward" in " ".join(tried.stdout.split())
    refused = desk.log(*words, at="2027-10-20T19:00")
    assert refused.exit_code == 1
    assert "error[L734]" in refused.stderr
    assert not desk.file.exists()


REFUSED = {
    "L730": "feed-me reef",
    "L731": "dose ward copper-chelated",
    "L732": "reading wrad copper 2.1 mg/L",
    "L733": "sign reef yellow tang dust",
    "L734": "fed reef at 23:00",
    "L735": "fed reef twice",
    "L736": "dose ward copper-ionic 3.2 mL of copper bottle",
    "L737": "withdraw 2222223 because typed twice",
    "L738": "done 42",
    "U206": "reading ward copper 2.1",
    "U208": "reading ward alkalinity 8 dKH",
}


@pytest.mark.parametrize("code", REFUSED)
def test_a_refusal_writes_nothing_not_even_what_was_understood(code: str, desk: Desk) -> None:
    lime = "  - {species: yellow tang, name: Lime, size: 12 cm, tank: reef, since: 2025-05-11}\n"
    desk.room.write_text(desk.room.read_text("utf-8").replace("animals:\n", f"animals:\n{lime}", 1), "utf-8")
    result = desk.log("fed", "reef;", *REFUSED[code].split())
    assert result.exit_code == 1
    assert f"error[{code}]" in result.stderr
    assert "hint:" in result.stderr
    assert "nothing was written" in result.stderr
    assert result.stdout == ""
    assert not desk.file.exists()
    answer = json.loads(desk.log(*REFUSED[code].split(), "--json").stdout)
    assert (answer["result"], answer["refusal"]["code"]) == (None, code)
    assert not desk.file.exists()


@pytest.mark.parametrize(
    "code", ["L730", "L731", "L732", "L734", "L735", "L736", "L737", "L738", "L740", "L741", "L742", "L745"]
)
def test_the_example_of_a_page_is_answered_with_its_code(code: str, desk: Desk) -> None:
    words = store.codes()[code].example.split("   #")[0].removeprefix("pratique log ").split()
    result = desk.log(*words)
    found = re.findall(r"\[([A-Z]\d+)\]", result.stderr)
    assert found == ([code, "L748"] if code == "L740" else [code])  # a dose larger than the bottle is too large as well
    assert desk.file.exists() is (store.codes()[code].severity == "warning")


@pytest.mark.parametrize("code", ["L702", "L706", "L707", "L730", "L731", "L732", "L733", "L735", "L736"])
def test_what_a_page_says_to_write_instead_can_be_written(code: str, desk: Desk) -> None:
    advice = store.codes()[code].instead.split("\n")[0]
    words = advice.removeprefix("pratique log ").split()
    assert desk.log(*words, "--try").exit_code == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("reading reef alkalinity 8 dKH", "`mg/L` of calcium carbonate: 17.85 mg/L"),
        ("reading reef alkalinity 2.5 meq/L", "`mg/L` of calcium carbonate: 50.04 mg/L"),
        ("reading reef oxygen 98 %", "switch the meter to `mg/L`"),
        ("reading reef temperature 25 C", "write `degC`"),
    ],
)
def test_units_that_are_not_read_are_named_with_what_to_write(words: str, said: str, desk: Desk) -> None:
    result = desk.log(*words.split())
    assert "error[U208]" in result.stderr
    assert said in result.stderr
    assert not desk.file.exists()


KEPT = {
    "L740": ["dose ward 400 mL of copper bottle"],
    "L741": ["death ward Lemon"],
    "L742": ["death reef 3 cleaner shrimp"],
    "L743": ["arrived spring tangs in blue tub", "arrived spring tangs in green tub"],
    "L744": ["fed reef", "fed reef at 18:20"],
    "L745": ["change ward 200 L"],
}


@pytest.mark.parametrize("code", KEPT)
def test_what_only_looks_odd_is_written_with_a_warning(code: str, desk: Desk) -> None:
    *before, last = KEPT[code]
    for words in before:
        assert desk.log(*words.split()).stderr == ""
    result = desk.log(*last.split())
    assert result.exit_code == 0
    assert f"warning[{code}]" in result.stderr
    assert "· saved" in result.stdout
    assert len(desk.lines()) == len(KEPT[code])


def test_what_is_typed_together_counts_together(desk: Desk) -> None:
    twice = desk.log("dose ward 200 mL of copper bottle at 08:00; dose ward 200 mL of copper bottle at 12:00")
    assert twice.stderr.count("warning[L740]: 200 mL is more than the 150 mL left") == 1
    assert "copper bottle: 0 mL left, 350 mL before" in twice.stdout
    same = desk.log("fed ward; fed ward")
    assert same.stderr.count("warning[L744]") == 1


def test_a_correction_takes_the_place_and_a_withdrawal_takes_it_away(desk: Desk) -> None:
    (dose,) = desk.saved("dose", "ward", "32", "mL", "of", "copper", "bottle", at="2027-03-08T08:00")
    result = desk.log("correct", dose["id"], "dose", "ward", "3.2", "mL", "of", "copper", "bottle", "because", "a slip")
    assert result.exit_code == 0, result.output
    assert "copper bottle: 347 mL left, 318 mL before" in result.stdout
    log, problems = read_log(desk.file)
    assert problems == []
    assert [(entry.id, entry.at.hour) for entry in log.entries] == [(dose["id"], 8)]
    assert "set right" in desk.log().stdout

    assert desk.log("withdraw", dose["id"].upper(), "because", "it was water").exit_code == 0
    log, _ = read_log(desk.file)
    assert log.entries == ()
    assert len(log.written) == 3
    assert "nothing of that is written down" in desk.log().stdout
    listed = desk.log("--kind", "correction").stdout
    assert "withdraw" in listed and "it was water" in listed


class TestDone:
    def printed(self, desk: Desk, date: str) -> dict[int, str]:
        """Line of the printed sheet to the act on it."""
        day = CliRunner().invoke(
            cli, ["day", date, "--room", str(desk.room), "--at", "2027-03-08T18:30"], env={"COLUMNS": ""}
        )
        rows = re.findall(r"^ *☐ (\d+) +(\d\d:\d\d) +(.+?)  .*?([a-z][a-z -]+?):", day.stdout, re.M)
        return {int(line): f"{time} {tank}" for line, time, tank, _ in rows}

    @pytest.mark.parametrize("date", ["2027-03-08", "2027-03-06"])
    def test_a_number_is_the_line_of_the_printed_sheet(self, date: str, desk: Desk) -> None:
        printed = self.printed(desk, date)
        options = ["--room", str(desk.room), "--at", "2027-03-08T18:30", "--json"]
        day = json.loads(CliRunner().invoke(cli, ["day", date, *options]).stdout)
        tasks = day["result"]["days"][0]["tasks"]
        assert len(tasks) >= len(printed) >= 3
        for line, task in enumerate(tasks, 1):
            entry, *moved = desk.saved("done", str(line), at=f"{date}T18:30")
            assert entry["task"] == task["id"]
            assert [more["kind"] for more in moved] == ["move"] * (task["act"] == "transfer")
            if line in printed:
                assert printed[line] == f"{task['at'][11:16]} {task['tank']}"

    def test_several_lines_and_a_reason(self, desk: Desk) -> None:
        ids = [entry["task"] for entry in desk.saved("done", "3", "4", "7")]
        assert len(set(ids)) == 3
        (entry,) = desk.saved("skipped", "5", "because", "the net is wet")
        assert entry["why"] == "the net is wet"
        assert entry["task"] not in ids

    def test_a_line_of_another_day_is_one_of_the_sheet_of_that_day(self, desk: Desk) -> None:
        (then,) = desk.saved("done", "2", at="2027-03-06T20:00")
        (now,) = desk.saved("2027-03-06", "20:00", "done", "2")
        assert now["task"] == then["task"]
        (today,) = desk.saved("done", "2")
        assert today["task"] != then["task"]
        assert "today's sheet has no line `99`" in desk.log("done", "99").stderr
        missing = desk.log("2027-03-06 20:00 done 99")
        assert "the sheet of 2027-03-06 has no line `99`" in missing.stderr
        assert "pratique day 2027-03-06" in missing.stderr

    def test_by_the_id_of_a_task(self, desk: Desk) -> None:
        for task in (
            "spring-tangs/transfers/transfer/1",
            "spring-tangs/transfers/test/2/2027-03-08",
            "reef-system/feed/2027-03-08",
        ):
            entry, *moved = desk.saved("done", task)
            assert entry["task"] == task
            assert [more["kind"] for more in moved] == ["move"] * ("/transfer/" in task)
        result = desk.log("done", "spring-tangs/transfers/transfer/99")
        assert "error[L738]" in result.stderr

    def test_a_transfer_that_is_ticked_moves_the_fish(self, desk: Desk) -> None:
        """A tick that did not move them would let bleach into the tank they are in."""
        desk.saved("arrived", "spring", "tangs", "blue", "tub", at="2027-03-05T18:40")
        _, move = desk.saved("done", "spring-tangs/transfers/transfer/1")
        assert (move["batch"], move["to"]) == ("spring tangs", "green tub")
        words = ["dose", "green tub", "chlorine-disinfection", "--room", str(desk.room), "--at", "2027-03-08T19:00"]
        refused = CliRunner().invoke(cli, words)
        assert "error[D491]" in refused.stderr

    def test_a_move_that_is_written_as_well_is_not_written_twice(self, desk: Desk) -> None:
        text = "done spring-tangs/transfers/transfer/1, moved spring tangs from blue tub to green tub"
        desk.saved("arrived", "spring", "tangs", "blue", "tub", at="2027-03-05T18:40")
        kinds = [entry["kind"] for entry in desk.saved(text)]
        assert kinds == ["done", "move"]

    def test_what_was_done_is_named(self, desk: Desk) -> None:
        assert "done: test, blue tub, Mon 8 Mar 07:00" in desk.log("done", "3").stdout


class TestTheFile:
    def test_a_file_that_may_not_be_written_to(self, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
        """As `test_a_read_only_folder`, for those whom no permission stops."""
        deny_writing(desk, monkeypatch)
        result = desk.log("fed", "reef")
        self.refused(result, "L720")
        assert "its permissions forbid it" in result.stderr

    @pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may write anywhere")
    def test_a_read_only_folder(self, desk: Desk) -> None:
        desk.room.parent.chmod(0o500)
        try:
            result = desk.log("fed", "reef")
        finally:
            desk.room.parent.chmod(0o700)
        self.refused(result, "L720")

    def test_a_folder_that_is_not_there(self, desk: Desk, tmp_path: Path) -> None:
        self.refused(desk.log("fed", "reef", "--log", str(tmp_path / "none" / "x.jsonl")), "L720")
        self.refused(desk.log("fed", "reef", "--log", str(tmp_path)), "L720")

    @pytest.mark.parametrize("code", ["L720", "L721", "L722", "L723"])
    def test_saved_is_said_only_of_what_was_acknowledged(
        self, code: str, desk: Desk, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def fails(path: Path, entries: object) -> tuple[str, ...]:
            raise LogError(Problem(code=code, message="it did not go", hint="try again"))

        monkeypatch.setattr(log_write, "append", fails)
        self.refused(desk.log("fed", "reef"), code)
        answer = json.loads(desk.log("fed", "reef", "--json").stdout)
        assert (answer["result"], answer["refusal"]["code"]) == (None, code)

    def refused(self, result: Result, code: str) -> None:
        assert result.exit_code == 1
        assert f"error[{code}]" in result.stderr
        assert result.stdout == ""

    def test_the_id_shown_is_the_one_in_the_file(self, desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
        """Another writer may take it in the meantime."""
        real = log_write.append

        def late(path: Path, entries: Any) -> tuple[str, ...]:
            real(path, entries)
            return real(path, entries)

        monkeypatch.setattr(log_write, "append", late)
        (entry,) = desk.saved("fed", "reef")
        assert [line["id"] for line in desk.lines()][1] == entry["id"] != desk.lines()[0]["id"]

    def test_lines_that_cannot_be_read_stop_nothing_and_are_listed(self, desk: Desk) -> None:
        desk.log("fed", "reef")
        with desk.file.open("a", encoding="utf-8") as file:
            file.write('nonsense\n{"id":"2222222","kind":"fed","at":"2027-0')
        result = desk.log("fed", "ward")
        assert result.exit_code == 0
        assert "2 lines of the log do not read as entries" in " ".join(result.stdout.split())
        listed = desk.log()
        assert listed.exit_code == 1
        assert "error[L702]" in listed.stderr
        assert "warning[L701]" in listed.stderr
        assert "fed reef" in listed.stdout and "fed ward" in listed.stdout
        assert "nonsense\n" in desk.file.read_text("utf-8")

    def test_a_room_file_with_errors_writes_nothing(self, desk: Desk) -> None:
        desk.room.write_text("room: {}\n", "utf-8")
        result = desk.log("fed", "reef")
        assert result.exit_code == 1
        assert "nothing was written" in result.stderr
        assert not desk.file.exists()


class TestTheList:
    def test_of_nothing(self, desk: Desk) -> None:
        result = desk.log()
        assert result.exit_code == 0
        assert "nothing is written down yet" in result.stdout
        assert not desk.file.exists()

    def test_the_last_entries_in_the_order_in_which_things_happened(self, desk: Desk) -> None:
        for hour in (12, 9, 15):
            desk.log("fed", "reef", at=f"2027-03-08T{hour:02}:00")
        desk.log("reading", "ward", "ph", "8.1", at="2027-03-08T10:00")
        hours = re.findall(r"Mar (\d\d):00", desk.log().stdout)
        assert hours == ["09", "10", "12", "15"]
        assert re.findall(r"Mar (\d\d):00", desk.log("--tail", "2").stdout) == ["12", "15"]
        assert "the last 2 of 4 entries" in desk.log("--tail", "2").stdout
        assert re.findall(r"Mar (\d\d):00", desk.log("--kind", "read").stdout) == ["10"]
        assert re.findall(r"Mar (\d\d):00", desk.log("--tank", "reef").stdout) == ["09", "12", "15"]
        assert re.findall(r"Mar (\d\d):00", desk.log(at="2027-03-08T11:00").stdout) == ["09", "10"]

    def test_as_json(self, desk: Desk) -> None:
        desk.log("fed reef; fed ward")
        answer = json.loads(desk.log("--json").stdout)
        assert answer["command"] == "log"
        assert answer["result"]["count"] == 2
        assert [entry["words"] for entry in answer["result"]["entries"]] == ["fed reef", "fed ward"]

    def test_names_that_the_room_file_lost(self, desk: Desk) -> None:
        desk.log("fed", "long", "tank")
        desk.room.write_text(desk.room.read_text("utf-8").replace("  long tank:", "  tall tank:"), "utf-8")
        result = desk.log()
        assert result.exit_code == 0
        assert "warning[L746]" in result.stderr
        assert "fed long tank" in desk.log("--tank", "long tank").stdout


@pytest.mark.parametrize(
    "words",
    [
        ["fed", "reef", "--tail", "3"],
        ["fed", "reef", "--file", "paper.txt"],
        ["--try"],
        ["--by", "Kim"],
        ["--kind", "redaing"],
        ["--tank", "raef"],
        ["--file", "not-there.txt"],
        ["fed", "reef", "--tyr"],
    ],
)
def test_a_wrong_command_line(words: list[str], desk: Desk) -> None:
    assert desk.log(*words).exit_code == 2
    assert not desk.file.exists()


@pytest.mark.parametrize("at", ["1989-12-31T12:00", "2150-01-01T12:00"])
def test_years_that_no_entry_can_have(at: str, desk: Desk) -> None:
    assert desk.log("fed", "reef", "--try", at=at).exit_code == 2


def test_a_log_of_another_name(desk: Desk, tmp_path: Path) -> None:
    other = tmp_path / "other.jsonl"
    desk.log("fed", "reef", "--log", str(other))
    assert len(other.read_text("utf-8").splitlines()) == 1
    assert not desk.file.exists()


def test_whole_screens(desk: Desk, golden) -> None:
    """One evening, from the first entry to the list."""
    shown = []
    for words in (
        ["arrived spring tangs in blue tub at 2027-03-05T18:30"],
        ["reading ward copper 2.1 mg/L, ammonia 0.25 mg/L; dose ward copper-chelated 3.2 mL of copper bottle"],
        ["done 3 4", "--by", "Kim"],
        ["death", "reef", "3", "cleaner", "shrimp", "--try"],
        ["reading", "wrad", "copper", "2.1", "mg/L"],
        [],
    ):
        result = desk.log(*words, width="80")
        command = " ".join(f"'{word}'" if " " in word else word for word in words)
        shown.append(f"$ pratique log {command}".rstrip() + f"\n{result.stdout}{result.stderr}")
    golden(SCREENS / "log-evening-80.txt", "\n".join(shown))


def test_what_an_entry_changes_is_judged_at_the_moment_asked_for(desk: Desk) -> None:
    """Written long after, with `--at`: the next step is the one of that evening, not of the day of writing."""
    words = "arrived spring tangs in blue tub at 2027-03-05T18:30"
    late = desk.log(words, "--try", at="2027-04-20T18:30")
    assert "release moves from" in late.stdout
    then = desk.log(words, at="2027-03-05T18:30")
    assert "spring tangs, next step: transfer, Mon 8 Mar 08:30, green tub" in then.stdout
    assert "release moves" not in then.stdout


class TestOverrides:
    """An interlock set aside with a reason is written down by itself."""

    WORDS = ("dose", "ward", "copper-chelated", "--at", "2027-03-01T18:30", "--because", "D412: behind a shut valve")

    def dose(self, desk: Desk) -> Result:
        return CliRunner().invoke(cli, [*self.WORDS, "--room", str(desk.room)])

    def test_it_stands_in_the_log_once_a_day(self, desk: Desk) -> None:
        assert self.dose(desk).exit_code == 0
        assert self.dose(desk).exit_code == 0
        (line,) = desk.lines()
        assert (line["kind"], line["tank"]) == ("note", "ward")
        assert line["note"].startswith("overrode D412: ")
        assert line["note"].endswith("because: behind a shut valve")

    def test_where_it_cannot_be_written_the_dose_is_given_and_that_is_said(
        self, desk: Desk, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        deny_writing(desk, monkeypatch)
        result = self.dose(desk)
        assert "Dose · ward" in result.stdout
        assert "L720" in result.stderr


def test_a_dose_against_an_interlock_is_kept_and_said(desk: Desk) -> None:
    """It happened, so it is not refused; copper over a shrimp is said all the same."""
    result = desk.log("dose reef copper-chelated 10 mL of copper bottle")
    assert result.exit_code == 0, result.output
    assert "warning[D402]" in result.stderr
    assert [line["kind"] for line in desk.lines()] == ["dose"]
    assert "warning[D4" not in desk.log("fed reef").stderr
