"""`pratique` in a process of its own, with a limit on memory and time: a fork of one that has everything loaded.

A new interpreter for each of a hundred hostile files would spend its time on imports.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

_PAUSE = 0.003


class Loaded:
    """One process that waits for words; each answer is that of a child which ends."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, str(Path(__file__).resolve())],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env={**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONUTF8": "1"},
        )  # fmt: skip

    def run(
        self, words: list[str], *, cwd: Path, memory: int, seconds: float, env: dict[str, str]
    ) -> subprocess.CompletedProcess[str]:
        """The end of the child: TimeoutError where it had to be stopped, else its status and what it wrote."""
        process = self._process
        assert process.stdin is not None
        assert process.stdout is not None
        with tempfile.TemporaryDirectory() as folder:
            files = [str(Path(folder) / name) for name in ("out", "err")]
            asked = {"words": words, "cwd": str(cwd), "memory": memory, "seconds": seconds, "env": env, "files": files}
            print(json.dumps(asked), file=process.stdin, flush=True)
            code = json.loads(process.stdout.readline())
            if code is None:
                raise TimeoutError(words)
            out, err = (Path(file).read_text("utf-8", "replace") for file in files)
            return subprocess.CompletedProcess(words, code, out, err)

    def close(self) -> None:
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.close()
        self._process.wait()
        self._process.stdout.close()


def _load() -> None:
    import importlib
    import pkgutil

    import pratique

    for found in pkgutil.walk_packages(pratique.__path__, "pratique."):
        if not found.name.endswith("__main__"):
            importlib.import_module(found.name)
    for name in ("gsw", "icalendar", "jinja2", "rich.console", "yaml"):
        importlib.import_module(name)


def _child(asked: dict[str, Any]) -> None:
    for number, file in enumerate(asked["files"], 1):
        os.dup2(os.open(file, os.O_WRONLY | os.O_CREAT), number)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    os.chdir(asked["cwd"])
    os.environ.update(asked["env"])
    tempfile.tempdir = None
    resource.setrlimit(resource.RLIMIT_AS, (asked["memory"], asked["memory"]))
    sys.argv = ["pratique", *asked["words"]]
    from pratique.cli.main import run

    run()


def _served(asked: dict[str, Any]) -> int | None:
    """The status of a child with these words; None where it had to be stopped."""
    pid = os.fork()
    if pid == 0:
        code: Any = 70
        try:
            _child(asked)
            code = 0
        except SystemExit as end:
            code = 0 if end.code is None else end.code
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            os._exit(code if isinstance(code, int) else 1)
    until = time.monotonic() + asked["seconds"]
    while time.monotonic() < until:
        done, status = os.waitpid(pid, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(_PAUSE)
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)
    return None


def main() -> None:
    _load()
    for line in sys.stdin:
        sys.stdout.write(json.dumps(_served(json.loads(line))) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
