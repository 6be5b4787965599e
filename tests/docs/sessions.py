"""Pages a reader follows in a folder of their own: every file and command of the page, in its order, as it is read.

A page says in comments what its blocks hold, and the text of the blocks is made anew:

* ``file NAME: PATH`` the file PATH of the repository, written into the folder as NAME
* ``adds to NAME: PATH`` the same, put below what NAME holds already
* ``replaces in NAME: OLD => NEW`` what the reader is told to change; it has no block
* ``typed at 80: COMMAND`` the command and what it prints; ``no output`` and ``from "…"``, ``until "…"`` cut it
* ``follows: PAGE`` another page was followed before
"""

from __future__ import annotations

import contextlib
import datetime as dt
import re
from pathlib import Path
from unittest import mock

from pages import PART, TOP, cut, run

from pratique.cli import log_write

_MARK = re.compile(
    r"<!-- (?P<act>file|adds to|replaces in|typed at|follows)\b ?(?P<what>[^\n]*?): (?P<rest>[^\n]+) -->\n"
)
_BLOCK = re.compile(r"```(?P<kind>\w*)\n(?P<text>.*?)```\n", re.S)
_TYPED = re.compile(rf"(?P<width>\d+)(?P<silent>, no output)?(?P<part>{PART})$")
_WRITTEN = dt.datetime(2026, 1, 2, 12, tzinfo=dt.UTC)
"""The moment of writing in a shown log: a fixed one, so that the ids of entries stay as they are."""


def is_followed(text: str) -> bool:
    """True where a page has files or commands to follow."""
    return "<!-- typed at " in text


def followed(text: str, folder: Path) -> str:
    """The page with every block made anew, as the commands of the page leave it in `folder`."""
    with contextlib.chdir(folder), mock.patch.object(log_write, "now", lambda zone: _WRITTEN.astimezone(zone)):
        return _walk(text, folder)


def _walk(text: str, folder: Path) -> str:
    done, at = [], 0
    for mark in _MARK.finditer(text):
        done.append(text[at : mark.end()])
        at = mark.end()
        fresh = _act(mark["act"], mark["what"], mark["rest"], folder)
        if fresh is None:
            continue
        block = _BLOCK.match(text, at)
        assert block is not None, f"a block is missing below {mark[0].strip()}"
        done.append(f"```{block['kind']}\n{fresh}```\n")
        at = block.end()
    return "".join([*done, text[at:]])


def _act(act: str, what: str, rest: str, folder: Path) -> str | None:
    """Does what the mark says; the text of its block, None where it has none."""
    if act == "follows":
        _walk((TOP / rest).read_text("utf-8"), folder)
        return None
    if act == "typed at":
        typed = _TYPED.match(what)
        assert typed is not None, what
        output = run(rest, int(typed["width"]))
        return f"$ {rest}\n" + ("" if typed["silent"] else "\n" + cut(output, typed["part"]))
    file = folder / what
    if act == "replaces in":
        old, new = rest.replace("\\n", "\n").split(" => ")
        before = file.read_text("utf-8")
        assert before.count(old) == 1, f"`{old}` stands {before.count(old)} times in {what}"
        file.write_text(before.replace(old, new), "utf-8")
        return None
    content = (TOP / rest).read_text("utf-8")
    before = file.read_text("utf-8") + "\n" if act == "adds to" else ""
    file.write_text(before + content, "utf-8")
    return content
