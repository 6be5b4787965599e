"""The log on disk: what is added, in which order it reaches the disk, and what a bad file does to reading."""

from __future__ import annotations

import datetime as dt
import errno
import os
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import pytest

from pratique.logbook import disk
from pratique.logbook.amount import read_quantity
from pratique.logbook.entry import Common, Correction, Note, Reading
from pratique.logbook.file import LogError, append, read_log
from pratique.logbook.ids import Ids
from pratique.logbook.line import MOST_BYTES, to_line
from pratique.problem import Problem

AT = dt.datetime(2027, 3, 8, 18, 30, tzinfo=dt.timezone(dt.timedelta(hours=1)))
IDS = Ids()


def reading(**fields: object) -> Reading:
    value = read_quantity("2.1 mg/L", "copper")
    common = {"id": IDS.new(AT), "at": AT, "written": AT, "tank": "wärd", "what": "copper", "value": value}
    return Reading.model_validate({**common, **fields})


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "fishroom.log.jsonl"


def codes(problems: list[Problem]) -> list[tuple[str, int]]:
    return [(problem.code, problem.places[0].line if problem.places else 0) for problem in problems]


def test_a_log_that_is_not_there_yet_is_empty(path: Path) -> None:
    log, problems = read_log(path)
    assert log.entries == ()
    assert problems == []


def test_entries_are_added_and_nothing_before_them_changes(path: Path) -> None:
    made: list[Common] = []
    before = b""
    for size in (1, 3, 2):
        new = [reading() for _ in range(size)]
        assert append(path, new) == tuple(entry.id for entry in new)
        made += new
        now = path.read_bytes()
        assert now.startswith(before)
        before = now
    log, problems = read_log(path)
    assert problems == []
    assert list(log.written) == made
    assert log.place(made[3]) is not None
    assert [log.lines[entry.id] for entry in made] == [1, 2, 3, 4, 5, 6]


def test_nothing_to_add_touches_nothing(path: Path) -> None:
    assert append(path, []) == ()
    assert not path.exists()


def test_an_id_taken_by_another_writer_is_replaced(path: Path) -> None:
    first = reading()
    append(path, [first])
    second = reading(id=first.id, tank="reef")
    (given,) = append(path, [second])
    assert given != first.id
    log, problems = read_log(path)
    assert problems == []
    assert {entry.id for entry in log.entries} == {first.id, given}


def test_a_correction_follows_the_new_id_of_what_it_corrects(path: Path) -> None:
    first = reading()
    append(path, [first])
    second = reading(id=first.id, tank="reef")
    instead = second.model_copy(update={"tank": "long tank"})
    correction = Correction(id=IDS.new(AT), at=AT, written=AT, of=second.id, instead=instead)
    given = append(path, [second, correction])
    log, problems = read_log(path)
    assert problems == []
    assert {entry.id: entry.__dict__["tank"] for entry in log.entries} == {first.id: "wärd", given[0]: "long tank"}


def test_an_entry_that_would_not_be_read_back_is_a_bug_and_is_not_written(path: Path) -> None:
    good = reading()
    bad = good.model_copy(update={"value": good.value.model_copy(update={"value": 3.0})})
    with pytest.raises(ValueError, match="would not be read"):
        append(path, [reading(), bad])
    assert path.read_bytes() == b""


def test_the_longest_entry_there_can_be_is_read(path: Path) -> None:
    words, name = "\U0001f420" * 1000, "\U0001f420" * 60
    note = Note(id=IDS.new(AT), at=AT, written=AT, tank=name, by=name, note=words)
    quoted = Note(id=note.id, at=AT, written=AT, tank=name, by=name, note='"' * 1000)
    correction = Correction(
        id=IDS.new(AT), at=AT, written=AT, of=note.id, instead=quoted, by=name, note=words, why=words
    )
    append(path, [note, correction])
    assert read_log(path)[1] == []
    assert max(map(len, path.read_bytes().split(b"\n"))) < MOST_BYTES / 2


class TestTornLines:
    def test_every_length_of_a_last_line(self, path: Path) -> None:
        first, last, after = reading(), reading(note='with "marks" \\ and 水'), reading()
        whole, torn = to_line(first) + b"\n", to_line(last)
        for length in range(len(torn) + 1):
            path.write_bytes(whole + torn[:length])
            log, problems = read_log(path)
            expected = [first, last] if length == len(torn) else [first]
            assert list(log.written) == expected
            assert codes(problems) == ([("L701", 2)] if 0 < length < len(torn) else [])

            append(path, [after])
            assert path.read_bytes().startswith(whole + torn[:length])
            log, problems = read_log(path)
            assert list(log.written) == [*expected, after]
            assert codes(problems) == ([("L701", 2)] if 0 < length < len(torn) else [])

    def test_a_torn_line_is_a_warning_that_says_what_to_do(self, path: Path) -> None:
        path.write_bytes(to_line(reading())[:50])
        (problem,) = read_log(path)[1]
        assert problem.severity == "warning"
        assert "write it again" in problem.hint
        assert problem.places[0].text.startswith('{"id"')

    @pytest.mark.parametrize("left", [b"\0" * 500, b'{"id":"k7' + b"\0" * 100])
    def test_what_a_power_cut_left_as_zeros_is_torn_too(self, path: Path, left: bytes) -> None:
        first, after = reading(), reading()
        path.write_bytes(to_line(first) + b"\n" + left)
        append(path, [after])
        log, problems = read_log(path)
        assert list(log.written) == [first, after]
        assert codes(problems) == [("L701", 2)]

    def test_several_entries_torn_in_the_last(self, path: Path) -> None:
        made = [reading() for _ in range(3)]
        data = b"".join(to_line(entry) + b"\n" for entry in made)
        path.write_bytes(data[:-20])
        log, problems = read_log(path)
        assert list(log.written) == made[:2]
        assert codes(problems) == [("L701", 3)]


class TestReachingTheDisk:
    """What stands in `durable` is on the disk: only a sync puts it there."""

    def test_saved_is_said_only_after_everything_is_on_the_disk(
        self, path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        calls: list[str] = []
        durable: dict[str, bytes] = {}
        write, sync = os.write, os.fsync

        def seen_write(descriptor: int, data: bytes) -> int:
            calls.append("write")
            return write(descriptor, data)

        def seen_sync(descriptor: int) -> None:
            sync(descriptor)
            is_folder = os.path.samestat(os.fstat(descriptor), os.stat(path.parent))
            calls.append("sync folder" if is_folder else "sync file")
            durable["folder" if is_folder else "file"] = path.read_bytes()

        monkeypatch.setattr(disk.os, "write", seen_write)
        monkeypatch.setattr(disk.os, "fsync", seen_sync)
        for size in (1, 3):
            calls.clear()
            new = [reading() for _ in range(size)]
            for id_ in append(path, new):
                assert id_.encode() in durable["file"]
            assert calls == ["write", "sync file", "sync folder"]

    @pytest.mark.parametrize(("number", "code"), [(errno.ENOSPC, "L721"), (errno.EDQUOT, "L721"), (errno.EIO, "L723")])
    def test_a_failing_sync_acknowledges_nothing_and_is_taken_back(
        self, path: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str
    ) -> None:
        append(path, [reading()])
        before = path.read_bytes()
        monkeypatch.setattr(disk.os, "fsync", _failing(number))
        with pytest.raises(LogError) as caught:
            append(path, [reading(), reading()])
        assert caught.value.problem.code == code
        assert "nothing was written" in caught.value.problem.note
        assert path.read_bytes() == before

    @pytest.mark.parametrize("kept", [0, 1, 40])
    def test_a_write_cut_short_is_taken_back(self, path: Path, monkeypatch: pytest.MonkeyPatch, kept: int) -> None:
        append(path, [reading()])
        path.write_bytes(path.read_bytes() + b'{"torn')
        before = path.read_bytes()
        monkeypatch.setattr(disk.os, "write", _short(kept))
        with pytest.raises(LogError) as caught:
            append(path, [reading()])
        assert caught.value.problem.code == "L721"
        assert path.read_bytes() == before

    def test_a_write_in_two_pieces_is_whole(self, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        real = os.write
        monkeypatch.setattr(disk.os, "write", lambda descriptor, data: real(descriptor, data[:33]))
        entry = reading()
        append(path, [entry])
        assert list(read_log(path)[0].written) == [entry]

    def test_what_cannot_be_taken_back_is_set_aside(self, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        first, after = reading(), reading()
        append(path, [first])
        with monkeypatch.context() as patch:
            patch.setattr(disk.os, "write", _short(40))
            patch.setattr(disk.os, "ftruncate", _failing(errno.EIO))
            with pytest.raises(LogError) as caught:
                append(path, [reading()])
        assert "sets it aside" in caught.value.problem.note
        append(path, [after])
        log, problems = read_log(path)
        assert list(log.written) == [first, after]
        assert codes(problems) == [("L701", 2)]

    def test_what_another_program_added_meanwhile_is_never_cut_off(
        self, path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        append(path, [reading()])
        other = to_line(reading())
        real = os.write

        def write(descriptor: int, data: bytes) -> int:
            real(descriptor, data[:30])
            with path.open("ab") as file:  # it heeds no lock
                file.write(b"\n" + other + b"\n")
            raise OSError(errno.ENOSPC, "no space")

        monkeypatch.setattr(disk.os, "write", write)
        with pytest.raises(LogError):
            append(path, [reading()])
        assert path.read_bytes().endswith(other + b"\n")

    def test_stopping_by_hand_leaves_nothing_behind(self, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        append(path, [reading()])
        before = path.read_bytes()
        real = os.write

        def write(descriptor: int, data: bytes) -> int:
            real(descriptor, data[:25])
            raise KeyboardInterrupt

        monkeypatch.setattr(disk.os, "write", write)
        with pytest.raises(KeyboardInterrupt):
            append(path, [reading()])
        assert path.read_bytes() == before

    def test_a_folder_that_cannot_be_synced_by_its_file_system_is_no_error(
        self, path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        real = os.fsync

        def sync(descriptor: int) -> None:
            if os.path.samestat(os.fstat(descriptor), os.stat(path.parent)):
                raise OSError(errno.EINVAL, "no such thing here")
            real(descriptor)

        monkeypatch.setattr(disk.os, "fsync", sync)
        assert append(path, [reading()])


def _failing(number: int) -> Callable[..., None]:
    def fail(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    return fail


def _short(kept: int) -> Callable[[int, bytes], int]:
    """The first write takes `kept` bytes, the next finds the disk full."""
    real, calls = os.write, iter(range(100))

    def write(descriptor: int, data: bytes) -> int:
        if next(calls) or not kept:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return real(descriptor, data[:kept])

    return write


class TestPlacesThatCannotBe:
    def test_a_missing_folder(self, tmp_path: Path) -> None:
        self._refused(tmp_path / "nowhere" / "room.log.jsonl", "its folder does not exist")

    def test_a_folder_in_place_of_the_file(self, tmp_path: Path) -> None:
        self._refused(tmp_path, "is a folder, not a file")
        log, problems = read_log(tmp_path)
        assert log.entries == ()
        assert codes(problems) == [("L720", 0)]

    def test_a_file_in_place_of_the_folder(self, path: Path) -> None:
        path.write_bytes(b"")
        self._refused(path / "room.log.jsonl", "a part of its path is not a folder")

    def test_a_pipe(self, path: Path) -> None:
        os.mkfifo(path)
        self._refused(path, "is a pipe or a device")
        assert codes(read_log(path)[1]) == [("L720", 0)]

    def test_links_in_a_circle(self, path: Path) -> None:
        path.symlink_to(path)
        self._refused(path, "its links lead in a circle")

    def test_names_no_file_can_have(self, tmp_path: Path) -> None:
        self._refused(tmp_path / ("x" * 300), "its name is too long")
        self._refused(tmp_path / "nul\0", "cannot be written to")
        assert codes(read_log(tmp_path / "nul\0")[1]) in ([("L720", 0)], [])

    @pytest.mark.parametrize(
        ("number", "code", "words"),
        [
            (errno.EROFS, "L720", "nothing can be written"),
            (errno.EACCES, "L720", "its permissions forbid it"),
            (errno.ENOSPC, "L721", "the disk is full"),
            (errno.EMFILE, "L720", "too many open files"),
        ],
    )
    def test_what_the_system_says(
        self, path: Path, monkeypatch: pytest.MonkeyPatch, number: int, code: str, words: str
    ) -> None:
        monkeypatch.setattr(disk.os, "open", _failing(number))
        self._refused(path, words, code)

    def test_a_file_system_without_locks(self, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setattr("pratique.logbook.lock.fcntl.flock", _failing(errno.ENOLCK))
        self._refused(path, "cannot be locked")

    @staticmethod
    def _refused(path: Path, words: str, code: str = "L720") -> None:
        with pytest.raises(LogError) as caught:
            append(path, [reading()])
        problem = caught.value.problem
        assert problem.code == code
        assert words in problem.message
        assert problem.hint

    def test_a_log_behind_a_link_is_the_log(self, path: Path, tmp_path: Path) -> None:
        real = tmp_path / "elsewhere" / "real.jsonl"
        real.parent.mkdir()
        path.symlink_to(real)
        entry = reading()
        append(path, [entry])
        assert path.is_symlink()
        assert list(read_log(real)[0].written) == [entry]

    def test_a_log_replaced_while_waiting_is_not_written_to(
        self, path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        append(path, [reading()])
        real, waits = disk.wait_for_lock, iter(range(10))

        def wait(descriptor: int, *, seconds: float) -> bool:
            if next(waits) == 0:  # another program saves the file anew under its name
                path.rename(tmp_path / "old")
                path.write_bytes(b"")
            return real(descriptor, seconds=seconds)

        monkeypatch.setattr(disk, "wait_for_lock", wait)
        entry = reading()
        append(path, [entry])
        assert list(read_log(path)[0].written) == [entry]


class TestBadLines:
    def _read(self, path: Path, *lines: bytes) -> list[Problem]:
        """Each line between two good ones, which are read whatever stands between them."""
        first, last = reading(), reading()
        path.write_bytes(b"\n".join([to_line(first), *lines, to_line(last)]) + b"\n")
        log, problems = read_log(path)
        assert list(log.written) == [first, last]
        assert all(problem.places[0].line == 2 for problem in problems)
        return problems

    @pytest.mark.parametrize(
        ("line", "code", "words"),
        [
            (b"bought some salt", "L702", "cannot be read as JSON"),
            (b'{"id" "x"}', "L702", "cannot be read as JSON"),
            (b"[1, 2]", "L702", "no keys"),
            (b"7", "L702", "no keys"),
            (b'{"kind":"note","note":"\xff"}', "L702", "not UTF-8"),
            (b"\x80\x81", "L702", "not UTF-8"),
            (b"{" + b'"a":{' * 10_800 + b"}" * 10_801, "L702", "brackets inside each other"),  # newer Pythons read 9000
            (b"[" * 60_000 + b"]" * 60_000, "L703", "more than 64 kB"),
            (b"[" * 30_000 + b"]" * 30_000, "L702", "brackets inside each other"),
            (b'{"kind":"death","count":' + b"9" * 5000 + b"}", "L702", "too long a number"),
            (b'{"kind":"death","count":NaN}', "L702", "`NaN` is not a number"),
            (b'{"kind":"death","count":-Infinity}', "L702", "is not a number"),
            (to_line(reading()).replace(b'"value":2.1', b'"value":1e999'), "L708", "`value` cannot be read"),
            (b'{"kind":"note","note":"a\x07b"}', "L702", "cannot be read as JSON"),
            (b'{"kind":"note","note":"a\\u0007b"}', "L708", "`note` cannot be read"),
            (b'{"kind":"note","note":"a\\u202eb"}', "L708", "`note` cannot be read"),
            (b'{"kind":"note","note":"\\ud800"}', "L702", "cannot be read as JSON"),
            (b'{"kind":"note","kind":"fed"}', "L702", "`kind` stands twice"),
            (b'{"kind":"nap","for":"2 h"}', "L705", "unknown kind of entry `nap`"),
            (b'{"kind":["note"]}', "L705", "unknown kind of entry"),
            (b'{"note":"x"}', "L707", "`kind` is missing"),
        ],
    )
    def test_what_is_said(self, path: Path, line: bytes, code: str, words: str) -> None:
        problems = self._read(path, line)
        assert code in {problem.code for problem in problems}
        assert any(words in problem.message for problem in problems if problem.code == code), problems
        assert all(problem.places[0].column >= 1 and problem.hint for problem in problems)

    def test_a_line_of_100_megabytes_is_passed_by_in_little_memory(self, path: Path) -> None:
        first, last = reading(), reading()
        with path.open("wb") as file:
            file.write(to_line(first) + b"\n" + b'{"kind":"note","note":"')
            for _ in range(100):
                file.write(b"x" * 1_000_000)
            file.write(b'"}\n' + to_line(last) + b"\n")
        tracemalloc.start()
        log, problems = read_log(path)
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert list(log.written) == [first, last]
        assert codes(problems) == [("L703", 2)]
        assert peak < 2_000_000

    def test_so_many_bad_lines_that_only_some_are_listed(self, path: Path) -> None:
        last = reading()
        path.write_bytes(b"x\n" * 50_000 + to_line(last) + b"\n")
        log, problems = read_log(path)
        assert list(log.written) == [last]
        assert len(problems) == 101
        assert problems[-1].code == "L713"
        assert "49,900 more" in problems[-1].message

    def test_blank_lines_marks_and_other_line_ends_are_nothing_wrong(self, path: Path) -> None:
        made = [reading() for _ in range(3)]
        first, second, third = map(to_line, made)
        path.write_bytes(b"\xef\xbb\xbf" + first + b"\r\n\r\n  \n" + second + b"\r\n\n" + third)
        log, problems = read_log(path)
        assert problems == []
        assert list(log.written) == made
        assert [log.lines[entry.id] for entry in made] == [1, 4, 6]

    def test_utf_16_is_named(self, path: Path) -> None:
        path.write_bytes(to_line(reading()).decode().encode("utf-16"))
        problems = read_log(path)[1]
        assert "UTF-16" in problems[0].message

    def test_a_file_of_anything_at_all(self, path: Path) -> None:
        path.write_bytes(bytes(range(256)) * 400)
        _, problems = read_log(path)
        assert problems


class TestEntriesThatDoNotFitTogether:
    def test_the_same_line_twice_counts_once(self, path: Path) -> None:
        entry = reading()
        path.write_bytes((to_line(entry) + b"\n") * 2)
        log, problems = read_log(path)
        assert log.entries == (entry,)
        assert problems == []

    def test_one_id_for_two_entries(self, path: Path) -> None:
        entry = reading()
        other = entry.model_copy(update={"tank": "reef"})
        path.write_bytes(to_line(entry) + b"\n" + to_line(other) + b"\n")
        log, problems = read_log(path)
        assert len(log.entries) == 2
        assert codes(problems) == [("L710", 2)]
        assert problems[0].places[0].column == 8

    def test_corrections_of_nothing_and_in_a_circle(self, path: Path) -> None:
        a, b, c = IDS.new(AT), IDS.new(AT), IDS.new(AT)
        nowhere = Correction(id=a, at=AT, written=AT, of="2222222")
        ring = [Correction(id=b, at=AT, written=AT, of=c), Correction(id=c, at=AT, written=AT, of=b)]
        path.write_bytes(b"".join(to_line(entry) + b"\n" for entry in [nowhere, *ring]))
        log, problems = read_log(path)
        assert log.entries == ()
        assert codes(problems) == [("L711", 1), ("L712", 2), ("L712", 3)]


def test_the_collector_is_left_as_it_was(path: Path) -> None:
    import gc

    append(path, [reading()])
    gc.disable()
    try:
        read_log(path)
        assert not gc.isenabled()
    finally:
        gc.enable()
    read_log(path)
    assert gc.isenabled()
