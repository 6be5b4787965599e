"""The log on disk: read line by line, added to whole lines at a time, and never rewritten.

A line is acknowledged only when it is on the disk. A line that breaks off stays in the file as it is: the
next entry begins on a line of its own, and every reader says that the broken one is there.
"""

from __future__ import annotations

import datetime as dt
import gc
import os
import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from io import BufferedReader
from pathlib import Path

from pratique.logbook.book import Log, build_log
from pratique.logbook.disk import LogError, add, cannot_open, ends_whole, locked
from pratique.logbook.entry import Common, Correction
from pratique.logbook.faults import Fault
from pratique.logbook.ids import LENGTH, LETTERS, Ids
from pratique.logbook.line import MOST_BYTES, find_part, read_line, to_line
from pratique.logbook.lock import unlock, wait_for_lock
from pratique.problem import Place, Problem, quoted

__all__ = ["LogError", "append", "read_log"]

_MOST_PROBLEMS = 100
_BROKEN_OFF = "L701"
"""A line that was still being written when the power or the program stopped."""
_KIND = re.compile(rb'"kind": ?"(\w+)"')
_MEDICATES = (b"dose", b"change", b"done", b"correction")
"""Kinds that can tell of a medicine in a water."""
_LONGEST_SHOWN = 4000
_CHUNK = 1 << 20
_SECONDS_FOR_READERS = 2.0
_ANY_ID = re.compile(rb'"([%s]{%d})"' % (LETTERS.encode(), LENGTH))


def append(path: Path, entries: Sequence[Common]) -> tuple[str, ...]:
    """Add `entries` to the log at `path`, one line each, and return their ids once all of it is on the disk.

    An id that another writer took in the meantime is replaced by the next free one; the ids returned are
    those in the file. Raises LogError (L720 to L723), after which nothing of it is acknowledged. A line that
    was broken off before is left on a line of its own.
    """
    if not entries:
        return ()
    with locked(path) as descriptor:
        entries = _with_free_ids(entries, _ids_in(descriptor))
        lines = [_checked_line(entry) for entry in entries]
        begin = b"" if ends_whole(descriptor) else b"\n"
        add(descriptor, path, begin + b"\n".join(lines) + b"\n")
    return tuple(entry.id for entry in entries)


def _checked_line(entry: Common) -> bytes:
    """The line, after making sure that it reads as the entry: what is acknowledged can be read."""
    line = to_line(entry)
    if b"\n" in line or read_line(line) != entry:
        raise ValueError(f"this {entry.kind} would not be read as it was written: {line[:200]!r}")
    return line


def _ids_in(descriptor: int) -> set[bytes]:
    found: set[bytes] = set()
    os.lseek(descriptor, 0, os.SEEK_SET)
    kept = b""
    while piece := os.read(descriptor, _CHUNK):
        found.update(_ANY_ID.findall(kept + piece))
        kept = piece[-LENGTH - 2 :]
    return found


def _with_free_ids(entries: Sequence[Common], taken: set[bytes]) -> list[Common]:
    """The entries, each under an id that is its own; corrections among them follow what they correct."""
    used = {word.decode() for word in taken}
    free, out = Ids(used), []
    renamed: dict[str, str] = {}
    for entry in entries:
        update: dict[str, object] = {}
        if isinstance(entry, Correction) and entry.of in renamed:
            of = renamed[entry.of]
            update |= {"of": of, "instead": entry.instead and entry.instead.model_copy(update={"id": of})}
        if entry.id in used:
            update["id"] = renamed[entry.id] = free.new(entry.written)
        out.append(entry.model_copy(update=update) if update else entry)
        used.add(out[-1].id)
    return out


def read_log(path: Path) -> tuple[Log, list[Problem]]:
    """The log at `path` and everything in it that could not be read, by line.

    A log that is not there yet is an empty one. One that cannot be read is empty too, and L720 says why.
    """
    reading = _Reading(str(path))
    try:
        try:
            path.stat()
        except FileNotFoundError:
            return Log(file=reading.name), []
        if not path.is_file():
            kind = "a folder" if path.is_dir() else "a pipe or a device"
            hint = "name the log itself with `--log FILE`"
            return Log(), [Problem(code="L720", message=f"{quoted(path)} is {kind}, not a file", hint=hint)]
        with path.open("rb") as file, collector_paused():
            reading.take(file, _size_when_quiet(file))
            return reading.log()
    except (OSError, ValueError) as error:
        return Log(), [cannot_open(path, error, act="read").problem]


def _size_when_quiet(file: BufferedReader) -> int:
    """How far the file goes while nobody is in the middle of a line; where that cannot be told, all of it."""
    with suppress(OSError):
        wait_for_lock(file.fileno(), seconds=_SECONDS_FOR_READERS, shared=True)
    size = os.fstat(file.fileno()).st_size
    unlock(file.fileno())
    return size


@contextmanager
def collector_paused() -> Iterator[None]:
    """Entries hold no cycles, and looking for some among 100,000 of them takes longer than reading them."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


def _may_medicate(line: bytes) -> bool:
    """True where what is left of a line does not show that no medicine was given: it may have been."""
    kind = _KIND.search(line)
    return kind is None or kind[1] in _MEDICATES


@dataclass(slots=True)
class _Reading:
    """The lines read so far; of the problems no more than can be shown are kept."""

    name: str
    entries: list[Common] = field(default_factory=list)
    numbers: list[int] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    unread: list[int] = field(default_factory=list)
    more: int = 0

    def take(self, file: BufferedReader, size: int) -> None:
        number = 0
        while size > 0 and (raw := file.readline(min(size, MOST_BYTES + 2))):
            size, number = size - len(raw), number + 1
            line = raw.rstrip(b"\r\n")
            while not raw.endswith(b"\n") and size > 0 and (raw := file.readline(min(size, MOST_BYTES))):
                size -= len(raw)
                line = line if len(line) > MOST_BYTES else line + raw.rstrip(b"\r\n")
            self._take_line(number, line)

    def _take_line(self, number: int, line: bytes) -> None:
        if number == 1:
            if line.startswith((b"\xff\xfe", b"\xfe\xff")):
                self._report(number, line, Fault("L702", "the file looks like UTF-16", "save it as UTF-8"))
                return
            line = line.removeprefix(b"\xef\xbb\xbf")
        if not line or line.isspace():
            return
        found = read_line(line)
        if isinstance(found, Common):
            self.entries.append(found)
            self.numbers.append(number)
        else:
            for fault in found:
                self._report(number, line, fault)

    def _report(self, number: int, line: bytes, fault: Fault) -> None:
        if fault.severity == "error" or (fault.code == _BROKEN_OFF and _may_medicate(line)):
            self.unread.append(number)
        if len(self.problems) >= _MOST_PROBLEMS:
            self.more += 1
            return
        text = line.decode("utf-8", "replace") if len(line) <= _LONGEST_SHOWN else ""
        column, width = find_part(text, fault) if text else (1, 1)
        place = Place(file=self.name, line=number, column=column, width=width, text=text)
        self.problems.append(
            Problem(
                code=fault.code,
                message=fault.message,
                severity=fault.severity,
                places=(place,),
                note=fault.note,
                hint=fault.hint,
            )
        )

    def log(self) -> tuple[Log, list[Problem]]:
        log, findings = build_log(self.entries)
        for index, fault in findings:
            self._report(self.numbers[index], to_line(self.entries[index]), fault)
        self.problems.sort(key=lambda problem: problem.places[0].line)
        if self.more:
            message = f"{self.more:,} more things are wrong in {quoted(self.name)}"
            hint = "set right what is listed first; is it the right file?"
            self.problems.append(Problem(code="L713", message=message, hint=hint))
        lines = dict(zip((entry.id for entry in reversed(self.entries)), reversed(self.numbers), strict=True))
        unread = tuple(map(self._written_by, sorted(set(self.unread))))
        return replace(log, file=self.name, lines=lines, unread=unread), self.problems

    def _written_by(self, number: int) -> dt.datetime | None:
        """When the line after this one was written."""
        after = bisect_right(self.numbers, number)
        return self.entries[after].written if after < len(self.entries) else None
