"""Files meant to crash, hang or fill memory, given to the program as its user would give them.

Each run is a process of its own with a limit on memory and time, far above what a good file needs.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from fuzz.laws import steering
from fuzz.limited import Loaded
from logbook.typed import demo

_MEMORY = 1_500_000_000
_SECONDS = 60
AT = ["--at", "2027-03-08T18:00"]


_LOADED: list[Loaded] = []


@pytest.fixture(scope="module", autouse=True)
def loaded() -> Iterator[None]:
    _LOADED.append(Loaded())
    yield
    _LOADED.pop().close()


def run(*words: str | Path, cwd: Path, **env: str) -> subprocess.CompletedProcess[str]:
    """`pratique` with these words; the end of the test where it needs too much memory or time, or has a bug."""
    settings = {"COLUMNS": "100", "TMPDIR": str(cwd), **env}
    done = _LOADED[-1].run([str(word) for word in words], cwd=cwd, memory=_MEMORY, seconds=_SECONDS, env=settings)
    assert done.returncode in (0, 1, 2), done.stderr[-2000:]
    assert "Traceback" not in done.stderr
    for text in (done.stdout, done.stderr):
        assert not steering(text), steering(text)
    assert len(done.stdout) < 2_000_000
    assert len(done.stderr) < 200_000
    return done


@pytest.fixture
def room(tmp_path: Path) -> Path:
    path = tmp_path / "fishroom.yaml"
    path.write_text(demo(), "utf-8")
    return path


def _nested(opens: str, closes: str, depth: int) -> Callable[[], bytes]:
    return lambda: f"a: {opens * depth}{closes * depth}\n".encode()


def _aliases() -> bytes:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 40)]
    return "\n".join(lines).encode()


def _merges() -> bytes:
    lines = ["m0: &m0 {k: v}"]
    lines += [f"m{n}: &m{n}\n  <<: [*m{n - 1}, *m{n - 1}]\n  k{n}: v" for n in range(1, 3000)]
    return "\n".join(lines).encode()


ROOMS: dict[str, tuple[Callable[[], bytes], str]] = {
    "aliases of aliases": (_aliases, "F108"),
    "merges of merges": (_merges, "F108"),
    "an entity bomb of another language": (
        lambda: b'<!DOCTYPE l [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]><l>&b;</l>\n',
        "F110",
    ),
    "one line of 100 MB": (lambda: b"room: " + b"x" * 100_000_000, "F106"),
    "one line of 0.9 MB": (lambda: b"room: " + b"x" * 900_000, "F110"),
    "0.9 MB of spaces": (lambda: b" " * 900_000 + b"a: b", "F111"),
    "0.9 MB of line ends": (lambda: b"\n" * 900_000, "F105"),
    "a million keys": (lambda: b"".join(b"%d:\n" % n for n in range(10**6)), "F106"),
    "2,000 keys": (lambda: b"".join(b"k%d: v\n" % n for n in range(2000)), "F111"),
    "2,000 keys in one tank": (lambda: b"tanks:\n  q1:\n" + b"".join(b"    k%d: v\n" % n for n in range(2000)), "F111"),
    "10,000 tanks of nothing": (lambda: b"tanks:\n" + b"".join(b"  t%d: {}\n" % n for n in range(10**4)), "F112"),
    "100,000 brackets": (_nested("[", "]", 10**5), "F109"),
    "100,000 braces": (_nested("{a: ", "}", 10**5), "F109"),
    "100,000 dashes": (lambda: b"- " * 10**5, "F109"),
    "100,000 question marks": (lambda: b"? " * 10**5, "F109"),
    "the same key 10,000 times": (lambda: b"room: x\n" * 10**4, "F107"),
    "NUL": (lambda: b"room:\n  name: a\0b\n", "F121"),
    "only NUL": (lambda: b"\0" * 10**6, "F102"),
    "an escape that clears the screen": (lambda: b"room:\n  name: \x1b[2Jx\n", "F121"),
    "an escape written as a code": (lambda: b'room:\n  name: "\\e]0;x\\a"\n', "F121"),
    "letters turned round": (lambda: "room:\n  name: a\u202eb\n".encode(), "F121"),
    "bytes that are not UTF-8": (lambda: b"room:\n  name: \xff\xfe\xfa\n", "F102"),
    "UTF-16": (lambda: demo().encode("utf-16"), "F102"),
    "a program": (lambda: Path(sys.executable).read_bytes()[:1_000_000], "F102"),
    "a tag that calls": (lambda: b"room: !!python/object/apply:os.system ['touch pwned']\n", "F123"),
    "a key of 0.1 MB": (lambda: b"k" * 10**5 + b": v\n", "F1"),
    "a number of 100,000 digits": (
        lambda: f"tanks:\n  q1: {{use: ward, volume: {{measured: {'9' * 10**5} L}}}}\n".encode(),
        "U201",
    ),
    "huge numbers": (lambda: b"tanks:\n  q1:\n    use: ward\n    volume: {measured: 1e400 L}\n", "U204"),
}


@pytest.mark.parametrize("what", ROOMS)
def test_a_hostile_room_file_is_refused(what: str, tmp_path: Path) -> None:
    make, code = ROOMS[what]
    path = tmp_path / "fishroom.yaml"
    path.write_bytes(make())
    done = run("check", "--room", path, cwd=tmp_path)
    assert done.returncode == 1
    assert f"error[{code}" in done.stderr, done.stderr[:1500]
    assert [found.name for found in tmp_path.iterdir()] == ["fishroom.yaml"]


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_other_line_ends_and_a_byte_order_mark_change_nothing(end: str, room: Path, tmp_path: Path) -> None:
    before = run("plan", *AT, "--json", "--room", room, cwd=tmp_path)
    room.write_bytes(b"\xef\xbb\xbf" + demo().replace("\n", end).encode())
    after = run("plan", *AT, "--json", "--room", room, cwd=tmp_path)
    assert before.returncode == after.returncode == 0, after.stderr
    assert after.stdout == before.stdout


LOGS: dict[str, tuple[Callable[[], bytes], str]] = {
    "one line of 100 MB": (lambda: b'{"id":"' + b"x" * 100_000_000, "L703"),
    "one line of 100 MB of brackets": (lambda: b"[" * 100_000_000, "L703"),
    "brackets in a short line": (lambda: b"[" * 60_000 + b"\n", "L702"),
    "a line that breaks off": (lambda: b'{"id":"abcdefg","at":"2027-03', "L701"),
    "bytes": (lambda: bytes(range(256)) * 4000, "L70"),
    "UTF-16": (lambda: '{"id": 1}\n'.encode("utf-16"), "L702"),
    "100,000 empty objects": (lambda: b"{}\n" * 10**5, "L713"),
    "a million empty lines": (lambda: b"\n" * 10**6, ""),
    "NUL": (lambda: b"\0" * 10**6, "L70"),
    "a number with a million digits": (lambda: b'{"kind":"note","n":' + b"9" * 60_000 + b"}\n", "L70"),
    "escapes": (lambda: b'{"id":"\x1b[2J","kind":"\x1b]0;x\x07"}\n', "L70"),
    "escapes written as codes": (lambda: b'{"id":"\\u001b[2J","kind":"\\u001b]0;x\\u202e"}\n', "L70"),
    "not a number": (lambda: b'{"id":NaN,"at":Infinity}\n', "L702"),
    "a key twice": (lambda: b'{"id":"a","id":"b"}\n', "L702"),
}


@pytest.mark.parametrize("what", LOGS)
@pytest.mark.parametrize("command", [("log",), ("day", "2027-03-08")], ids=lambda words: words[0])
def test_a_hostile_log_is_set_aside_line_by_line(
    what: str, command: tuple[str, ...], room: Path, tmp_path: Path
) -> None:
    make, code = LOGS[what]
    log = room.with_suffix(".log.jsonl")
    log.write_bytes(make())
    size = log.stat().st_size
    done = run(*command, *AT, "--room", room, cwd=tmp_path)
    if code:
        assert f"[{code}" in done.stderr, done.stderr[:1500]
    assert log.stat().st_size == size


def test_an_entry_after_a_torn_line_stands_on_a_line_of_its_own(room: Path, tmp_path: Path) -> None:
    log = room.with_suffix(".log.jsonl")
    log.write_bytes(b"\xff\xfe{torn")
    assert run("log", "note", "ward", "still", "here", "--room", room, cwd=tmp_path).returncode in (0, 1)
    lines = log.read_bytes().split(b"\n")
    assert lines[0] == b"\xff\xfe{torn"
    assert b"still here" in lines[1]


SPECIAL: dict[str, Callable[[Path], str]] = {
    "folder": lambda at: str(at / "folder"),
    "pipe": lambda at: str(at / "pipe"),
    "endless device": lambda _: "/dev/zero",
    "full device": lambda _: "/dev/full",
    "a link to a device": lambda at: str(at / "link to zero"),
    "a path through a file": lambda at: str(at / "fishroom.yaml" / "x"),
    "a folder that is not there": lambda at: str(at / "none" / "x"),
    "too long a name": lambda _: "n" * 5000,
    "empty": lambda _: "",
}
USES: dict[str, tuple[str, ...]] = {
    "--room": ("check",),
    "--log": ("day", "2027-03-08"),
    "--log of an entry": ("log", "note", "ward", "x"),
    "--paper": ("plan", *AT),
    "--csv": ("plan", *AT),
    "--calendar": ("plan", *AT),
    "--file": ("log",),
    "--readings": ("dose", "ward", "copper-chelated", "--off", "uv"),
    "--schema": ("start", "new.yaml"),
}


CROSSED = [(use, special) for n, use in enumerate(USES) for m, special in enumerate(SPECIAL) if (n + m) % 3 == 0]
"""Every use and every special file, a third of all pairs: each is a process of its own."""


@pytest.mark.parametrize(("use", "special"), CROSSED)
def test_special_files_are_named_and_left_alone(use: str, special: str, room: Path, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "link to zero").symlink_to("/dev/zero")
    name = SPECIAL[special](tmp_path)
    words = list(USES[use])
    option = use.split()[0]
    if option not in ("--room", "--schema"):
        words += ["--room", str(room)]
    before = sorted(path.name for path in tmp_path.iterdir())
    done = run(*words, option, name, cwd=tmp_path)
    silent = special == "empty"  # an empty name is no name: the option is as good as not given
    missing_log = use == "--log" and special in ("a folder that is not there", "a path through a file")
    assert silent or missing_log or done.returncode in (1, 2), done.stdout[:500]
    assert silent or done.stderr
    made = {path.name for path in tmp_path.iterdir()} - set(before)
    assert silent or not made, made
    assert room.read_text("utf-8") == demo()


@pytest.mark.parametrize("option", ["--paper", "--csv", "--calendar", "--log"])
def test_a_link_is_followed_only_to_a_file_of_ours(option: str, room: Path, tmp_path: Path) -> None:
    """A link that leads to another file cannot make the program write over it."""
    other = tmp_path / "letter.txt"
    other.write_text("dear friend\n", "utf-8")
    link = tmp_path / "link"
    link.symlink_to(other)
    run("plan", *AT, option, link, "--room", room, cwd=tmp_path)
    assert other.read_text("utf-8") == "dear friend\n"
    assert link.is_symlink()


def test_a_path_that_climbs_is_written_where_it_leads_and_nowhere_else(room: Path, tmp_path: Path) -> None:
    (tmp_path / "in").mkdir()
    done = run("plan", *AT, "--csv", "../plan.csv", "--room", room, cwd=tmp_path / "in")
    assert done.returncode == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["fishroom.yaml", "in", "plan.csv"]
    assert list((tmp_path / "in").iterdir()) == []


def test_the_room_file_cannot_be_its_own_page(room: Path, tmp_path: Path) -> None:
    for option in ("--paper", "--csv", "--calendar"):
        done = run("plan", *AT, option, room, "--room", room, cwd=tmp_path)
        assert done.returncode == 1
        assert "F140" in done.stderr
        assert room.read_text("utf-8") == demo()
