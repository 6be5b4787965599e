"""The questions of `pratique start`, answered at a pseudo-terminal: what is asked, refused, and written."""

from __future__ import annotations

import datetime as dt
import fcntl
import os
import pty
import re
import select
import signal
import subprocess
import sys
import termios
import time
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from pratique.cli.main import cli
from pratique.cli.start_ask import TRUST, dated
from pratique.cli.start_asking import Asking
from pratique.room.first_file import Answers, Bottle, Comer, NewTank, first_file
from pratique.room.load import load_room, load_room_text
from pratique.water.volume import tank_volume

_PATIENCE = 60.0


class Talk(NamedTuple):
    """What stood on the terminal, the questions in their order, how it ended, and what was written."""

    shown: str
    questions: tuple[str, ...]
    status: int
    text: str


def talk(folder: Path, answers: dict[str, list[str]], *, interrupt_at: str = "") -> Talk:
    """Run it at a terminal; each question that holds a word gets the answers in turn, the last again and again."""
    controller, terminal = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-m", "pratique", "start"], cwd=folder, stdin=terminal, stdout=terminal, stderr=terminal,
        preexec_fn=_own_terminal,
        env={**os.environ, "TERM": "dumb", "NO_COLOR": "1", "TZ": "Europe/Lisbon", "PYTHONIOENCODING": "utf-8"},
    )  # fmt: skip
    os.close(terminal)
    left = {word: list(given) for word, given in answers.items()}
    shown, asked, heard = "", [], 0
    try:
        while True:
            shown, ended = _until_prompt(controller, child, shown, heard)
            if ended:
                break
            heard = len(shown)
            question = re.findall(r"^ *\d+\. (.+)$", shown.replace("\r", ""), re.M)[-1]
            if not asked or asked[-1] != question:
                asked.append(question)
            if interrupt_at and interrupt_at in question:
                os.write(controller, b"\x03")
                continue
            given = next((given for word, given in left.items() if word in question), [""])
            os.write(controller, (given.pop(0) if len(given) > 1 else given[0]).encode() + b"\n")
        status = child.wait(_PATIENCE)
    finally:
        if child.poll() is None:
            os.killpg(child.pid, signal.SIGKILL)
            child.wait()
        os.close(controller)
    file = folder / "fishroom.yaml"
    return Talk(shown.replace("\r", ""), tuple(asked), status, file.read_text("utf-8") if file.exists() else "")


def _own_terminal() -> None:
    os.setsid()
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def _until_prompt(controller: int, child: subprocess.Popen[bytes], shown: str, heard: int) -> tuple[str, bool]:
    """The text so far, once it waits for an answer; true where the program ended instead."""
    start = time.monotonic()
    while time.monotonic() - start < _PATIENCE:
        ready, _, _ = select.select([controller], [], [], 0.1)
        if ready:
            try:
                part = os.read(controller, 65536).decode("utf-8", "replace")
            except OSError:
                return shown, True
            shown += part
            if not part:
                return shown, True
        elif child.poll() is not None:
            return shown, True
        elif re.search(r"> $", shown[heard:]):
            return shown, False
    raise AssertionError(f"nothing was asked for {_PATIENCE} s:\n{shown[-800:]}")


PLAIN = {"How do you know": ["1"], "How much water": ["62 L ± 1 L"]}


def test_what_only_the_keeper_knows_and_enter_for_the_rest(tmp_path: Path) -> None:
    found = talk(tmp_path, PLAIN)
    assert found.status == 0, found.shown
    assert 10 <= len(found.questions) <= 14, found.questions
    room, problems = load_room(tmp_path / "fishroom.yaml")
    assert room is not None and not [problem for problem in problems if problem.is_error]
    assert tank_volume(room.tanks["quarantine"])[0].value == pytest.approx(62)
    assert not room.batches
    assert found.shown.rstrip().endswith("pratique plan") and "pratique check" in found.shown


def test_a_fish_that_came_today_and_a_city_alone(tmp_path: Path) -> None:
    """Bought yesterday and still in its bag: nobody looks the date up, nor the continent."""
    answers = {
        **PLAIN, "Which time zone": ["new york", "America/New_York"], "Who is coming": ["royal gramma"],
        "When do they arrive": ["now"],
    }  # fmt: skip
    before = dt.datetime.now(dt.UTC).replace(second=0, microsecond=0)
    found = talk(tmp_path, answers)
    assert found.status == 0, found.shown
    assert "did you mean `America/New_York`?" in found.shown
    room, _ = load_room(tmp_path / "fishroom.yaml")
    assert room is not None
    (batch,) = room.batches.values()
    assert before <= batch.arrives <= dt.datetime.now(dt.UTC)
    assert str(batch.arrives.tzinfo) == "America/New_York"


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ("now", "2027-02-28T23:50"),
        ("Today", "2027-02-28"),
        ("tomorrow", "2027-03-01"),
        ("yesterday", "2027-02-27"),
        ("2027-03-05T18:30", "2027-03-05T18:30"),
        ("soon", "soon"),
    ],
)
def test_days_in_words(typed: str, written: str) -> None:
    assert dated(typed, dt.datetime(2027, 2, 28, 23, 50, tzinfo=dt.UTC)) == written


@pytest.mark.parametrize("columns", [40, 80])
def test_no_line_is_wider_than_the_screen(
    columns: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    typed = iter("3")
    monkeypatch.setattr("pratique.cli.start_asking.click.prompt", lambda *_, **__: next(typed))
    Asking(Answers()).choice("How far do you trust the source?", "It decides.", [title for _, title in TRUST], 3)
    lines = capsys.readouterr().err.splitlines()
    assert max(map(len, lines)) < columns
    assert "3 untrusted: a shop, an importer, a tank with many comings and goings" in " ".join(" ".join(lines).split())


def test_a_whole_room_by_its_answers(tmp_path: Path) -> None:
    answers = {
        "call the room": ["The cellar: north"],
        "Which units": ["2"],
        "How do you know": ["2"],
        "How long is it inside": ["24 in"],
        "How wide": ["12 in"],
        "How high": ["14 in"],
        "Who is coming": ["royal gramma"],
        "Who comes with it": ["ocellaris clownfish", ""],
        "How many": ["1", "2"],
        "How long is each": ["6 cm", ""],
        "How far do you trust": ["1"],
        "When do they arrive": ["2027-03-05T18:30"],
        "stands on the shelf": ["copper", "praziquantel", ""],
        "Which form": ["3"],
        "How strong": ["10 mg/mL as Cu", "95 % w/w as praziquantel"],
        "How much is left": ["250 mL", ""],
        "Does your test read": ["0.1 mg/L"],
    }
    found = talk(tmp_path, answers)
    assert found.status == 0, found.shown
    room, _ = load_room(tmp_path / "fishroom.yaml")
    assert room is not None
    assert room.name == "The cellar: north"
    # by hand: 24 x 12 x 14 in is 60.96 x 30.48 x 35.56 cm, 66.07 L
    assert tank_volume(room.tanks["quarantine"])[0].value == pytest.approx(66.07, abs=0.01)
    (batch,) = room.batches.values()
    assert batch.head_count == 3 and batch.written.trust == "trusted"
    assert set(room.written.shelf) == {"copper", "praziquantel"}
    assert room.written.kits["copper test"].forms == ("chelated",)
    called = CliRunner().invoke(cli, ["check", "--room", str(tmp_path / "fishroom.yaml"), "--at", "2027-03-01"])
    assert called.exit_code == 0, called.stderr
    planned = CliRunner().invoke(cli, ["plan", "--room", str(tmp_path / "fishroom.yaml"), "--at", "2027-03-01"])
    assert planned.exit_code == 0, planned.stderr


MORE = {
    **PLAIN,
    "How do you know": ["1", "3", "1"],
    "How much water": ["62 L ± 1 L", "40 L ± 2 %"],
    "What does the label say": ["200 L"],
    "Which of these": ["1", "1, 2 3 4", ""],
    "another tank": ["reef"],
    "Another tank": ["tub", ""],
    "What is it for": ["", "2"],
    "How salty": ["35 g/kg", "1.0264 sg at 25 degC"],
    "How warm": ["25 degC", "26 degC"],
    "Who lives in reef already": ["yellow tang"],
    "Who else lives there": ["ocellaris clownfish", ""],
    "How many": ["1", "2", "1"],
    "Who is coming": ["royal gramma"],
    "How long is each": ["6 cm"],
    "When do they arrive": ["2027-03-05T18:30"],
    "stands on the shelf": ["praziquantel", "copper", ""],
    "Which form": ["3"],
    "How strong": ["95 % w/w as praziquantel", "10 mg/mL as Cu"],
    "Does your test read": ["0.1 mg/L"],
    "Which syringe": ["5 mL"],
    "Another syringe": ["20 mL", ""],
    "two of its marks": ["0.2 mL", "0.5 mL"],
    "dry salt": ["10 kg"],
}


def test_more_tanks_syringes_and_salt(tmp_path: Path) -> None:
    found = talk(tmp_path, MORE)
    assert found.status == 0, found.shown
    room, problems = load_room(tmp_path / "fishroom.yaml")
    assert room is not None, problems
    first, reef, tub = (room.tanks[name].written for name in ("quarantine", "reef", "tub"))
    assert (first.use, reef.use, tub.use) == ("ward", "display", "transfer")
    assert (first.lid, reef.lid, tub.lid) == (True, True, False)
    conditions = [room.waters[name].conditions for name in ("quarantine", "reef", "tub")]
    assert [bool(water.cycled) for water in conditions] == [False, True, False]
    assert (reef.substrate, reef.rock, first.rock) == ("calcareous", "calcareous", "none")
    temperatures = [water.temperature.value for water in conditions if water.temperature is not None]
    assert temperatures == [25, 26, 25]
    assert tank_volume(room.tanks["tub"])[0].value == pytest.approx(40)
    assert [(a.label, a.count, a.tank) for a in room.residents] == [
        ("yellow tang", 1, "reef"), ("ocellaris clownfish", 2, "reef"),
    ]  # fmt: skip
    assert room.batches["first arrival"].written.into == "reef"
    assert [(s.volume.value, s.step.value) for s in room.written.syringes.values()] == [(0.005, 0.0002), (0.02, 0.0005)]
    assert room.written.salt.left is not None and room.written.salt.left.text == "10 kg"
    for command in ("check", "plan"):
        said = CliRunner().invoke(cli, [command, "--room", str(tmp_path / "fishroom.yaml"), "--at", "2027-03-01"])
        assert said.exit_code == 0, said.stderr


def test_a_tank_has_a_name_of_its_own(tmp_path: Path) -> None:
    found = talk(tmp_path, {**PLAIN, "another tank": ["quarantine", ""], "Which of these": ["3", "1 9", "2"]})
    assert found.status == 0, found.shown
    assert found.text.count("quarantine:") == 1
    assert found.shown.count("numbers from 1 to 2") == 2
    assert "cycled: yes" in found.text and "\n    lid: yes" not in found.text


@pytest.mark.parametrize(
    ("question", "typed", "said"),
    [
        ("Which time zone", "Lisbon", "Europe/Lisbon"),
        ("When are you there", "25:00-26:00", "hour"),
        ("How much water", "62", "unit"),
        ("How salty", "1.026", "sg at"),
        ("How warm", "25 C", "degC"),
        ("Who is coming", "royal gramm", "royal gramma"),
    ],
)
def test_what_cannot_be_read_is_asked_again_with_the_way_out(
    tmp_path: Path, question: str, typed: str, said: str
) -> None:
    good = {"Which time zone": "Europe/Lisbon", "When are you there": "07:00-09:00", "How much water": "62 L",
            "How salty": "35 g/kg", "How warm": "25 degC", "Who is coming": "royal gramma"}  # fmt: skip
    found = talk(tmp_path, {**PLAIN, "Who is coming": [""], question: [typed, good[question]]})
    assert found.status == 0, found.shown
    after = found.shown.partition(f"> {typed}\n")[2]
    assert said in after.partition(">")[0], after[:300]
    assert load_room(tmp_path / "fishroom.yaml")[0] is not None


def test_enter_is_no_answer_to_what_only_the_keeper_knows(tmp_path: Path) -> None:
    found = talk(tmp_path, {"How do you know": ["", "7", "3"], "What does the label say": ["", "75 L"]})
    assert found.status == 0, found.shown
    assert found.shown.count("only you can say") == 2
    assert "nominal: 75 L" in found.text


def test_ctrl_c_leaves_nothing(tmp_path: Path) -> None:
    found = talk(tmp_path, PLAIN, interrupt_at="How salty")
    assert found.status == 1
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_said_before_anything_is_asked(tmp_path: Path) -> None:
    (tmp_path / "fishroom.yaml").write_text("mine")
    found = talk(tmp_path, PLAIN)
    assert found.status == 1 and found.questions == () and "F127" in found.shown
    assert found.text == "mine"


def test_without_a_terminal_nothing_is_asked(tmp_path: Path) -> None:
    for name, options in (("a.yaml", []), ("b.yaml", ["--example"])):
        result = CliRunner().invoke(cli, ["start", str(tmp_path / name), *options])
        assert result.exit_code == 0 and "?" not in result.stderr
    assert (tmp_path / "a.yaml").read_text("utf-8") == (tmp_path / "b.yaml").read_text("utf-8")
    assert CliRunner().invoke(cli, ["start", str(tmp_path / "c.yaml"), "--demo", "--example"]).exit_code == 2


@pytest.mark.parametrize(
    "word", ["no", "8:30", "a: b", 'say "so"', "# all", "{x}", "- x", "it's", "ward [upper]", "&a", "12"]
)
def test_words_are_kept_as_they_were_typed(word: str) -> None:
    """Whatever YAML would make of them."""
    tanks = (NewTank(name=word), NewTank(name=f"{word} 2", use="display"))
    answers = Answers(room=word, tanks=tanks, source=word, arrives="2027-03-05T18:30").with_comer(
        Comer(species="royal gramma")
    )
    room, problems = load_room_text(
        first_file(answers.with_bottle(Bottle(active="copper", form="ionic", strength="1 mg/mL as Cu")))
    )
    assert room is not None, problems
    assert room.name == word and list(room.tanks) == [word, f"{word} 2"]
    assert room.batches["first arrival"].written.source == word
    assert room.batches["first arrival"].written.into == f"{word} 2"


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), min_size=1, max_size=30))
def test_no_word_becomes_another(word: str) -> None:
    """Any text is refused, or is in the room as it was typed (as a terminal gives it: with single spaces)."""
    typed = " ".join(word.split())
    room, problems = load_room_text(first_file(Answers(room=typed)))
    assert (room is None and problems) or (room is not None and room.name == typed)
