"""Writing a file that the keeper named: whole or not at all, and never over one that is not ours."""

from __future__ import annotations

import contextlib
import errno
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from pratique.problem import Problem, system_says

_LOOKED_AT = 4096


def write_own(path: Path, text: str, *, is_ours: Callable[[str], bool], what: str) -> Problem | None:
    """Puts `text` into `path`, by way of a file beside it. F140: it is not ours; F141: it cannot be written.

    `is_ours` judges the first 4 kB of a file that is already there; an empty file may be written over.
    """
    try:
        if path.exists():
            if not path.is_file():
                return _not_written(path, "it is no file", what)
            with path.open("rb") as file:
                begins = file.read(_LOOKED_AT).decode("utf-8", "replace")
            if begins.strip() and not is_ours(begins):
                return Problem(
                    code="F140",
                    message=f"`{path}` is not {what} that pratique made, and was not written over",
                    hint="name another file, or move that one away first",
                )
        _replace(path, text)
    except (OSError, ValueError) as error:
        return _not_written(path, system_says(error), what)
    return None


def _replace(path: Path, text: str) -> None:
    target = Path(os.path.realpath(path))
    if target.is_symlink():
        raise OSError(errno.ELOOP, "its links lead in a circle")
    mode = target.stat().st_mode & 0o777 if target.exists() else 0o666 & ~_umask()
    handle, name = tempfile.mkstemp(prefix=f".{target.name[:40]}-", dir=target.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, mode)
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _not_written(path: Path, why: str, what: str) -> Problem:
    return Problem(
        code="F141",
        message=f"{what} was not written to `{path}`: {why}",
        hint="name a file in a folder that is yours and has room",
    )
