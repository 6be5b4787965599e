"""Tests run in forks of a process that has collected them all, and what each of them executes."""

from __future__ import annotations

import contextlib
import hashlib
import json
import math
import os
import resource
import signal
import sys
import traceback
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

MEMORY = 6 * 2**30
"""Bytes of address space a fork may take: an endless loop that gathers things ends here."""

PATIENCE = 20
"""How many times its limit of processor time a fork may take by the clock, on a machine that is busy."""


class Kept:
    """What each test executes, and how long it takes; measured again when its file changes, or one that it executes."""

    def __init__(self, path: Path, top: Path, packages: Sequence[Path]) -> None:
        self.path, self.top, self.packages = path, top, packages
        self.digests: dict[Path, str] = {}
        self.rows: dict[str, dict[str, Any]] = json.loads(path.read_text("utf-8")) if path.exists() else {}

    def measure(self, items: Sequence[Any], longest: float) -> None:
        """Runs each test not known yet alone under `coverage`; one that fails or takes too long is never asked."""
        todo = [item for item in items if not self._is_known(item)]
        for number, item in enumerate(todo):
            if number % 200 == 0:
                print(f"measuring {number}/{len(todo)}", file=sys.__stderr__, flush=True)
                self.path.write_text(json.dumps(self.rows), "utf-8")
            found = in_fork(partial(self._executed, item), longest)
            row = found if isinstance(found, dict) else {"seconds": None, "lines": {}}
            self.rows[item.nodeid] = {**row, "mark": self._mark(item.path, row["lines"])}
        self.path.write_text(json.dumps(self.rows), "utf-8")

    def _is_known(self, item: Any) -> bool:
        row = self.rows.get(item.nodeid)
        return row is not None and row["mark"] == self._mark(item.path, row["lines"])

    def _mark(self, test: Path, executed: Iterable[str]) -> str:
        """Changes when the file of the test does, or one that it executed."""
        return "".join(self._digest(path) for path in [test, *(self.top / name for name in sorted(executed))])

    def _digest(self, path: Path) -> str:
        if path not in self.digests:
            self.digests[path] = hashlib.sha256(path.read_bytes()).hexdigest()[:8] if path.exists() else "none"
        return self.digests[path]

    def _executed(self, item: Any) -> dict[str, Any]:
        import coverage

        places = [str(package / "*") for package in self.packages]
        seen = coverage.Coverage(data_file=None, include=places, config_file=False)
        seen.set_option("run:disable_warnings", ["no-data-collected"])
        begun = _processor_seconds()
        seen.start()
        failed = first_failure([item])
        seen.stop()
        seconds = _processor_seconds() - begun
        data = seen.get_data()
        files = {Path(file).relative_to(self.top).as_posix(): file for file in data.measured_files()}
        lines = {name: sorted(data.lines(file) or ()) for name, file in files.items()}
        return {"seconds": None if failed else round(seconds, 3), "lines": lines}


def _processor_seconds() -> float:
    """Of this process and the children it waited for: what else the machine does has no part in it."""
    return sum(os.times()[:4])


def first_failure(items: Sequence[Any]) -> str:
    """The id of the first test that fails; an empty text where all pass."""
    from _pytest.runner import runtestprotocol

    for item, after in zip(items, [*items[1:], None], strict=True):
        if any(report.failed for report in runtestprotocol(item, nextitem=after, log=False)):
            return str(item.nodeid)
    return ""


def in_fork(work: Callable[[], Any], seconds: float) -> Any:
    """What the work gives in a child; None where it takes more processor time, its end in words where it dies."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)
        _answer(work, writing, seconds)
    os.close(writing)

    def too_long(*_: object) -> None:
        with contextlib.suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)

    signal.signal(signal.SIGALRM, too_long)
    signal.setitimer(signal.ITIMER_REAL, PATIENCE * seconds)
    with os.fdopen(reading) as pipe:
        text = pipe.read()
    _, status = os.waitpid(child, 0)
    signal.setitimer(signal.ITIMER_REAL, 0)
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) in (signal.SIGKILL, signal.SIGXCPU):
        return None
    return json.loads(text) if text else "died"


def set_limits(seconds: float) -> None:
    """This process ends with SIGXCPU after so much processor time, and cannot take all memory."""
    limit = math.ceil(seconds)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _answer(work: Callable[[], Any], writing: int, seconds: float) -> None:
    set_limits(seconds)
    try:
        text = json.dumps(work())
    except BaseException:  # a change may raise anything, also what ends pytest
        text = json.dumps(traceback.format_exc()[-300:])
    with contextlib.suppress(BaseException), os.fdopen(writing, "w") as pipe:
        pipe.write(text)
    os._exit(0)
