"""Bytes at the end of a file, whole and on the disk, or not there at all.

Nothing here knows what a log says. The file is only ever added to; what is taken back is a part of the
addition that is being made, never anything older.
"""

from __future__ import annotations

import errno
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from pratique.logbook.lock import wait_for_lock
from pratique.problem import Problem, quoted, system_says

if sys.platform == "darwin":
    import fcntl

PATIENCE = 20.0
"""Seconds a writer waits for another."""

_BINARY: int = getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
_REPLACED_AT_MOST = 100
_FULL = {errno.ENOSPC, errno.EFBIG, getattr(errno, "EDQUOT", errno.ENOSPC)}
_CANNOT_SYNC = {errno.EINVAL, getattr(errno, "ENOTSUP", errno.EINVAL), errno.EBADF}
_ELSEWHERE = "name another place with `--log FILE`"
_PERMIT = f"change the permissions of the file and its folder, or {_ELSEWHERE}"
_HINTS = {
    errno.ENOENT: f"make the folder first, or {_ELSEWHERE}",
    errno.EISDIR: "name the log itself with `--log FILE`",
    errno.EACCES: _PERMIT,
    errno.EPERM: _PERMIT,
}


class LogError(Exception):
    """The log could not be written; `problem` says why, with a code from L720. Nothing was acknowledged."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.message)
        self.problem = problem


@contextmanager
def locked(path: Path) -> Iterator[int]:
    """The file at `path`, made where it is not there, open for adding and locked against every other writer.

    Raises LogError (L720 cannot be opened, L722 another program holds it).
    """
    for _ in range(_REPLACED_AT_MOST):
        descriptor = _open(path)
        try:
            if not _lock(descriptor, path):
                hint = "see whether another `pratique log` hangs, then write the entry again"
                raise _error("L722", f"another program has been writing to {quoted(path)} for too long", hint)
            if _is_still(path, descriptor):
                yield descriptor
                return
        finally:
            os.close(descriptor)
    hint = "stop the program that does so, then write the entry again"
    raise _error("L722", f"{quoted(path)} is being replaced again and again by another program", hint)


def _open(path: Path) -> int:
    try:
        if path.exists() and not path.is_file():  # opening a pipe or a device could wait for ever
            kind = "a folder" if path.is_dir() else "a pipe or a device"
            raise _error("L720", f"{quoted(path)} is {kind}, not a file", "name the log itself with `--log FILE`")
        descriptor = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | _BINARY, 0o666)
    except (OSError, ValueError) as error:
        raise cannot_open(path, error) from None
    return descriptor


def cannot_open(path: Path, error: OSError | ValueError, *, act: str = "written to") -> LogError:
    """The error for a log that cannot be opened (L720), or for a disk too full to hold it (L721)."""
    number = getattr(error, "errno", None) or 0
    if number in _FULL:
        return _full(path, "nothing was written")
    return _error("L720", f"{quoted(path)} cannot be {act}: {system_says(error)}", _HINTS.get(number, _ELSEWHERE))


def _lock(descriptor: int, path: Path) -> bool:
    try:
        return wait_for_lock(descriptor, seconds=PATIENCE)
    except OSError as error:
        hint = "keep the log on a disk of this computer: without a lock two writers could spoil each other's lines"
        raise _error("L720", f"{quoted(path)} cannot be locked: {system_says(error)}", hint) from None


def _is_still(path: Path, descriptor: int) -> bool:
    """False where the file was replaced by another of that name while we waited."""
    held = os.fstat(descriptor)
    if not stat.S_ISREG(held.st_mode):
        raise _error("L720", f"{quoted(path)} is not a file", "name the log itself with `--log FILE`")
    try:
        return os.path.samestat(held, os.stat(path))
    except OSError:
        return False


def ends_whole(descriptor: int) -> bool:
    """True where the file is empty or its last line is ended."""
    size = os.fstat(descriptor).st_size
    return size == 0 or _read_at(descriptor, size - 1, 1) == b"\n"


def _read_at(descriptor: int, start: int, length: int) -> bytes:
    os.lseek(descriptor, start, os.SEEK_SET)
    found = b""
    while len(found) < length and (piece := os.read(descriptor, length - len(found))):
        found += piece
    return found


def add(descriptor: int, path: Path, data: bytes) -> None:
    """Put `data` at the end of the locked file; when this returns it is on the disk.

    Raises LogError (L721 the disk is full, L723 any other failure) after taking back what was written of it.
    """
    start = os.fstat(descriptor).st_size
    try:
        done = os.write(descriptor, data)
        while done < len(data):
            done += os.write(descriptor, data[done:])
        _sync(descriptor)
        _sync_folder(path)
    except OSError as error:
        left = "nothing was written" if _take_back(descriptor, start, data) else _LEFT
        if error.errno in _FULL:
            raise _full(path, left) from None
        hint = "see to the disk first, then write the entry again"
        raise _error("L723", f"{quoted(path)} could not be written to: {system_says(error)}", hint, left) from None
    except BaseException:  # Ctrl-C: what was not acknowledged had better not be there
        _take_back(descriptor, start, data)
        raise


_LEFT = "part of the entry may stand at the end of the log; the next entry sets it aside, and nothing else is touched"


def _take_back(descriptor: int, start: int, data: bytes) -> bool:
    """Cut the file where it ended before, if nothing but a part of `data` stands there; True where that was done."""
    with suppress(OSError):
        added = os.fstat(descriptor).st_size - start
        if 0 <= added <= len(data) and _read_at(descriptor, start, added) == data[:added]:
            os.ftruncate(descriptor, start)
            with suppress(OSError):
                os.fsync(descriptor)
            return True
    return False


def _sync(descriptor: int) -> None:
    if sys.platform == "darwin":
        fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)  # fsync there stops at the drive's own memory
    else:
        os.fsync(descriptor)


def _sync_folder(path: Path) -> None:
    """The name of the file, too: also where another writer made it and was stopped before it got so far."""
    if sys.platform == "win32":
        return  # a folder cannot be opened there
    folder = os.open(os.path.dirname(os.path.realpath(path)), os.O_RDONLY | os.O_DIRECTORY | _BINARY)
    try:
        os.fsync(folder)
    except OSError as error:
        if error.errno not in _CANNOT_SYNC:
            raise
    finally:
        os.close(folder)


def _full(path: Path, left: str) -> LogError:
    hint = "make room on the disk, then write the entry again"
    return _error("L721", f"there is no room for {quoted(path)}: the disk is full", hint, left)


def _error(code: str, message: str, hint: str, note: str = "") -> LogError:
    return LogError(Problem(code=code, message=message, hint=hint, note=note))
