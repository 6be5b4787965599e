"""Writers killed, crowded and starved: everything acknowledged is in the file, and nothing else is garbled."""

from __future__ import annotations

import os
import resource
import sys
import time
from pathlib import Path
from typing import NoReturn

import pytest

from logbook.writers import Tally, fill, gather, inspect, kill_one, note, side_by_side, start
from pratique.logbook.file import LogError, append, read_log
from pratique.logbook.line import to_line
from pratique.logbook.lock import try_lock

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs fork and signals")


@pytest.mark.parametrize("cuts", [False, True], ids=["at random", "inside of a write"])
def test_nothing_acknowledged_is_lost_when_writers_are_killed(tmp_path: Path, cuts: bool) -> None:
    total = 0
    for batch in range(6):
        path, tally = tmp_path / f"{batch}.log.jsonl", Tally()
        for number in range(25):
            kill_one(path, tally, 1000 * batch + number, cuts=cuts)
        inspect(path, tally)
        assert tally.clean, (tally.lost[:3], tally.garbled[:3])
        total += len(tally.acknowledged)
    assert total > 150


ENOUGH = 20
"""Lines; a busy machine needs more rounds for them."""


def test_writers_side_by_side_lose_and_garble_nothing(tmp_path: Path) -> None:
    for number in range(3):
        path, tally = tmp_path / f"{number}.log.jsonl", Tally()
        for again in range(100):
            side_by_side(path, tally, 100 * number + again, writers=6, kill=2, seconds=0.15)
            if len(tally.acknowledged) > ENOUGH:
                break
        inspect(path, tally)
        assert tally.clean, (tally.lost[:3], tally.garbled[:3])
        assert len(tally.acknowledged) > ENOUGH
        assert not tally.torn


def test_readers_beside_a_writer_never_see_a_broken_line(tmp_path: Path) -> None:
    path, tally = tmp_path / "room.log.jsonl", Tally()

    def act(acks: int) -> NoReturn:
        for number in range(300):
            append(path, [note(f"{number} {'x' * 900}.", number) for _ in range(3)])
        os._exit(0)

    child, acks = start(act)
    seen = 0
    while os.waitpid(child, os.WNOHANG) == (0, 0):
        log, problems = read_log(path)
        assert not problems
        assert len(log.written) % 3 == 0
        assert len(log.written) >= seen
        seen = len(log.written)
    gather(acks, tally)
    assert len(read_log(path)[0].written) == 900


def test_a_file_that_may_not_grow_keeps_all_that_was_acknowledged(tmp_path: Path) -> None:
    path, tally = tmp_path / "room.log.jsonl", Tally()

    def act(acks: int) -> NoReturn:
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_001, 20_001))
        told = Tally()
        error = fill(path, told)
        for id_, text in told.acknowledged.items():
            os.write(acks, f"{id_} {text}\n".encode())
        os._exit(0 if error is not None and error.problem.code == "L721" else 1)

    child, acks = start(act)
    gather(acks, tally)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    inspect(path, tally)
    assert tally.clean
    assert not tally.torn
    assert not tally.unacknowledged
    assert path.stat().st_size <= 20_001
    assert path.read_bytes().endswith(b"\n")
    assert append(path, [note("there is room again.")])


def test_a_lock_held_too_long_is_an_error_and_ends_with_its_holder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("pratique.logbook.disk.PATIENCE", 0.05)
    path = tmp_path / "room.log.jsonl"
    append(path, [note("first.")])

    def act(acks: int) -> NoReturn:
        held = os.open(path, os.O_RDWR)
        assert try_lock(held)
        os.write(acks, b"held\n")
        time.sleep(60)
        os._exit(0)

    child, acks = start(act)
    assert os.read(acks, 10) == b"held\n"
    with pytest.raises(LogError) as caught:
        append(path, [note("second.")])
    assert caught.value.problem.code == "L722"
    assert path.read_bytes() == to_line(note("first.")) + b"\n"
    os.kill(child, 9)
    os.waitpid(child, 0)
    os.close(acks)
    assert append(path, [note("second.")])


def _as_nobody(act: str, path: Path) -> str:
    """What `act` (append or read) says of `path` to somebody who may not write there."""

    def inside(answer: int) -> NoReturn:
        try:
            if os.getuid() == 0:
                os.setgroups([])
                os.setgid(65534)
                os.setuid(65534)
            if act == "append":
                append(path, [note("never.")])
                os.write(answer, b"written")
            else:
                os.write(answer, " ".join(problem.code + problem.message for problem in read_log(path)[1]).encode())
        except LogError as error:
            os.write(answer, f"{error.problem.code} {error.problem.message}".encode())
        finally:
            os._exit(0)

    child, answer = start(inside)
    said = os.read(answer, 10_000).decode()
    os.close(answer)
    os.waitpid(child, 0)
    return said


@pytest.fixture
def open_folder(tmp_path: Path) -> Path:
    """A folder that everybody can enter."""
    for folder in (tmp_path, *tmp_path.parents[:3]):
        if folder.stat().st_uid == os.getuid() and not folder.stat().st_mode & 0o001:
            folder.chmod(folder.stat().st_mode | 0o011)
    return tmp_path


def test_a_read_only_file_is_an_error(open_folder: Path) -> None:
    path = open_folder / "room.log.jsonl"
    append(path, [note("first.")])
    path.chmod(0o444)
    before = path.read_bytes()
    said = _as_nobody("append", path)
    assert said.startswith("L720")
    assert "its permissions forbid it" in said
    assert path.read_bytes() == before
    assert _as_nobody("read", path) == ""


def test_a_folder_that_may_not_be_written_to_is_an_error(open_folder: Path) -> None:
    folder = open_folder / "shut"
    folder.mkdir(mode=0o555)
    assert _as_nobody("append", folder / "room.log.jsonl").startswith("L720")
    assert not list(folder.iterdir())


def test_a_file_that_may_not_be_read_is_an_error(open_folder: Path) -> None:
    path = open_folder / "room.log.jsonl"
    append(path, [note("first.")])
    path.chmod(0o000)
    assert _as_nobody("read", path).startswith("L720")
