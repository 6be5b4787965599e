"""Runs commands in one process and prints, as JSON, what they wrote, made, moved, connected to or started.

python watched.py, with a JSON list of command lines on standard input. The exit status of each comes with it.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import sys
from typing import Any

WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
ACTS = ("os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.link", "os.symlink", "os.truncate", "subprocess.Popen")

seen: list[list[str]] = []


def watch(event: str, arguments: tuple[Any, ...]) -> None:
    if event == "open":
        path, mode, flags = arguments
        writes = bool(flags & WRITES) if isinstance(flags, int) else any(sign in (mode or "") for sign in "wax+")
        if writes and path != os.devnull and not isinstance(path, int):  # a number: already seen when it was opened
            seen.append([event, str(path)])
    elif event in ACTS or event.startswith("socket."):
        seen.append([event, *(str(argument) for argument in arguments[:2])])


def main() -> None:
    from pratique.cli.main import cli

    calls = json.load(sys.stdin)
    statuses, printed = [], []
    sys.addaudithook(watch)
    for words in calls:
        out = io.StringIO()
        try:
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
                cli.main(words, prog_name="pratique")
        except SystemExit as end:
            statuses.append(end.code)
        printed.append(out.getvalue())
    json.dump({"seen": seen, "statuses": statuses, "printed": printed}, sys.__stdout__)


if __name__ == "__main__":
    main()
