"""The questions of `pratique signs`, answered by keys in a pseudo-terminal, as over a plain remote line."""

from __future__ import annotations

import fcntl
import json
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

from pratique.knowledge import store
from schedule_rooms import as_yaml, batch, room_data, tank

AT = "2025-03-08T18:00"
_PATIENCE = 60.0
_PROMPT = re.compile(r"\[([a-z0-9?/]+)\] $")


class Talk(NamedTuple):
    """What stood on the terminal, the questions that were put, and how it ended."""

    shown: str
    questions: tuple[str, ...]
    status: int
    out: str


@pytest.fixture
def room(tmp_path: Path) -> Path:
    file = tmp_path / "fishroom.yaml"
    tanks = {"reef": tank("display", cycled="yes"), "ward": tank("ward")}
    batches = {"pair": batch("2025-03-05T18:30", "untrusted", "kole tang")}
    file.write_text(as_yaml(room_data(tanks=tanks, batches=batches)), "utf-8")
    return file


def talk(room: Path, answers: dict[str, str], *words: str, otherwise: str = "n", most: int = 40) -> Talk:
    """Run the command at a terminal and press for each question the key in `answers` (by a word of it)."""
    controller, terminal = pty.openpty()
    output = room.with_suffix(".out")
    with output.open("wb") as file:
        child = subprocess.Popen(
            [sys.executable, "-m", "pratique", "signs", "ward", *words, "--room", str(room), "--at", AT],
            stdin=terminal, stdout=file, stderr=terminal, preexec_fn=_own_terminal,
            env={**os.environ, "TERM": "dumb", "NO_COLOR": "1", "COLUMNS": "80", "PYTHONIOENCODING": "utf-8"},
        )  # fmt: skip
        os.close(terminal)
        shown, asked = "", []
        try:
            while len(asked) < most:
                shown, ended = _until_prompt(controller, child, shown)
                if ended:
                    break
                question = re.findall(r"^ *\d+\. (.+\?)$", shown.replace("\r", ""), re.M)[-1]
                asked.append(question)
                key = next((key for word, key in answers.items() if word in question), otherwise)
                if key == "n" and "[y/n" not in shown[-20:]:
                    key = "s"  # one of several answers is wanted, and none was prepared
                os.write(controller, key.encode())
            else:
                os.write(controller, b"q")
            status = child.wait(_PATIENCE)
        finally:
            if child.poll() is None:
                os.killpg(child.pid, signal.SIGKILL)
                child.wait()
            os.close(controller)
    return Talk(shown.replace("\r", ""), tuple(asked), status, output.read_text("utf-8"))


def _own_terminal() -> None:
    """The terminal is that of the program, so that Ctrl-C in it reaches the program."""
    os.setsid()
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


def _until_prompt(controller: int, child: subprocess.Popen[bytes], shown: str) -> tuple[str, bool]:
    """The text so far, once it asks for a key again; true where the program ended instead."""
    start, new = time.monotonic(), ""
    while time.monotonic() - start < _PATIENCE:
        ready, _, _ = select.select([controller], [], [], 0.1)
        if ready:
            try:
                data = os.read(controller, 4096)
            except OSError:
                return shown + new, True
            if not data:
                return shown + new, True
            new += data.decode("utf-8", "replace")
            if _PROMPT.search(new):
                return shown + new, False
        elif child.poll() is not None:
            return shown + new, True
    raise AssertionError(f"nothing more came: {shown + new}")


def test_dust_is_found_by_keys_and_asking_stops_early(room: Path) -> None:
    done = talk(room, {"powder or velvet": "y", "breathe faster": "y", "scratch": "y", "spasms": "y"}, "--json")
    assert done.status == 2, "--json is for programs: nobody is asked"
    done = talk(room, {"powder or velvet": "y", "breathe faster": "y", "scratch": "y", "spasms": "y"})
    assert done.status == 0
    assert 0 < len(done.questions) <= store.scoring().points("ask_most")
    assert len(set(done.questions)) == len(done.questions)
    assert "it may be velvet, and that does not wait" in done.shown
    assert "Now, in the first 15 minutes" in done.out
    assert "\x1b" not in done.shown, "no colour and no control sequence is needed"


def test_the_questions_are_kept_apart_from_the_answer(room: Path) -> None:
    done = talk(room, {"pin-head": "y"})
    assert done.out.startswith("Signs · test room · ward")
    assert "One key each" in done.shown
    assert "One key each" not in done.out
    assert "dark pin-head spots" in done.out


def test_not_known_changes_nothing_and_q_ends(room: Path) -> None:
    done = talk(room, {"powder or velvet": "y"}, otherwise="s")
    assert done.status == 0
    assert re.search(r"^ +seen +fine coat like dust$", done.out, re.M), done.out
    assert "not there" not in done.out
    ended = talk(room, {}, otherwise="q")
    assert (ended.status, len(ended.questions)) == (0, 1)
    assert "no sign was seen, so nothing was ranked" in ended.shown


def test_a_circumstance_is_answered_by_a_number(room: Path) -> None:
    answers = {"How fast": "1", "Who is": "1", "faster than usual": "y", "surface": "y", "pump": "2", "filter": "1"}
    done = talk(room, answers, "gasping", "--ask", otherwise="s")
    assert done.status == 0
    assert "How fast did it come?" in done.questions or "Who is affected?" in done.questions
    assert "1 all at once" in done.shown or "1 within hours" in done.shown
    assert "look first" in done.out


def test_other_keys_are_not_taken_for_an_answer(room: Path) -> None:
    done = talk(room, {}, otherwise="x", most=3)
    assert done.shown.count("[y/n/s/q]") + done.shown.count("/s/q]") >= 3
    assert len(set(done.questions)) == 1, "the same question stays"
    assert "`x`: no key here; 1 to " in done.shown


def test_a_question_mark_shows_the_keys_and_answers_nothing(room: Path) -> None:
    done = talk(room, {}, otherwise="?", most=3)
    assert len(set(done.questions)) == 1
    assert "no key here" not in done.shown
    assert done.shown.count("s skip, not known") >= 2


def test_a_terminal_that_closes_ends_it(room: Path) -> None:
    done = talk(room, {}, otherwise="\x04")
    assert done.status == 0
    assert "no sign was seen, so nothing was ranked" in done.shown


def test_ctrl_c_ends_it_without_an_answer(room: Path) -> None:
    done = talk(room, {}, otherwise="\x03")
    assert done.status == 1
    assert done.out == ""


def test_every_question_is_short_enough_for_a_narrow_terminal() -> None:
    questions = [sign.ask for sign in store.signs().values()] + [c.ask for c in store.circumstances().values()]
    assert max(map(len, questions)) <= 110
    assert all(len(choice.title) <= 40 for c in store.circumstances().values() for choice in c.choices)


def test_signs_typed_are_not_asked_about_again(room: Path) -> None:
    done = talk(room, {}, "dust", "--ask", otherwise="n")
    assert not any("powder or velvet" in question for question in done.questions)
    json_out = subprocess.run(
        [sys.executable, "-m", "pratique", "signs", "ward", "dust", "--json", "--room", str(room), "--at", AT],
        stdin=subprocess.DEVNULL, capture_output=True, check=True, text=True,
    )  # fmt: skip
    assert json.loads(json_out.stdout)["result"]["seen"] == ["dust"]
