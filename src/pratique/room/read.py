"""From bytes to a tree of strings that knows where each one stood. Nothing is converted here.

Every scalar stays the text the keeper typed: YAML's own readings (`8:30` as 510, `no` as false) never
happen. Duplicate keys, anchors, tags and tabs stop the reading before any later line is judged.
"""

from __future__ import annotations

import re
import stat
from collections.abc import Iterator
from pathlib import Path

import yaml

from pratique.letters import HIDDEN, named
from pratique.problem import Place, Problem, quoted, system_says
from pratique.room.document import Document, Path_, plain_data
from pratique.room.syntax import (
    LOADER,
    first_anchor,
    structure_problems,
    syntax_problem,
    tab_problem,
    too_deep_spot,
)

__all__ = ["Document", "Path_", "read_bytes", "read_document"]

MOST_BYTES = 1_000_000
_LINE_END = re.compile(r"\r\n|\n|\r")


def read_document(path: Path) -> tuple[Document, list[Problem]]:
    """The document at `path`, with everything that stopped it from being read whole."""
    document = Document(name=str(path))
    shown = quoted(path)
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):  # a pipe or a device would wait for ever, so none is opened
            kind = "a folder" if stat.S_ISDIR(found.st_mode) else "a pipe or a device"
            message = f"{shown} is {kind}, not a file"
            return document, [Problem(code="F101", message=message, hint="name the room file itself")]
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        hint = "`pratique start` writes one; or name yours with `--room FILE`"
        return document, [Problem(code="F101", message=f"there is no room file {shown}", hint=hint)]
    except (OSError, ValueError) as error:
        message = f"{shown} cannot be read: {system_says(error)}"
        return document, [Problem(code="F101", message=message, hint="check its name and its permissions")]
    return read_bytes(str(path), raw, size=max(found.st_size, len(raw)))


def read_bytes(name: str, raw: bytes, *, size: int = 0) -> tuple[Document, list[Problem]]:
    """As `read_document`, from bytes already at hand; `size` where they are only the beginning."""
    document = Document(name=name)
    if len(raw) > MOST_BYTES:
        return document, [_too_large(name, size or len(raw))]
    text, problem = _decode(document, raw)
    if problem is not None:
        return document, [problem]
    document.lines = _LINE_END.split(text)
    problems = list(_character_problems(document, text))
    if not problems:
        problems = _compose(document, text)
    if not problems:
        document.data = plain_data(document.root)
    return document, problems


def _compose(document: Document, text: str) -> list[Problem]:
    try:
        stopper = too_deep_spot(document, text) or first_anchor(document, text)
        if stopper is not None:
            return [stopper]
        document.root = yaml.compose(text, Loader=LOADER)
    except yaml.MarkedYAMLError as error:
        return [syntax_problem(document, error)]
    except yaml.YAMLError as error:
        note, start = f"YAML says: {str(error).splitlines()[0]}", document.spot(1, 1)
        return [Problem(code="F104", message="the file cannot be read", places=(start,), note=note)]
    root = document.root
    if root is None or (isinstance(root, yaml.ScalarNode) and not root.value.strip()):
        hint, start = "`pratique start` writes a commented room file to begin from", document.spot(1, 1)
        return [Problem(code="F105", message="the room file is empty", places=(start,), hint=hint)]
    return list(structure_problems(document, root))


def _too_large(name: str, size: int) -> Problem:
    return Problem(
        code="F106",
        message=f"{quoted(name)} is {size / 1e6:.1f} MB; a room file is read up to {MOST_BYTES / 1e6:.1f} MB",
        hint="a room file of 500 tanks and 5,000 animals is under 1 MB; is it the right file?",
    )


def _decode(document: Document, raw: bytes) -> tuple[str, Problem | None]:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or raw[:4].count(0) >= 2:
        return "", _encoding(document.spot(1, 1), "looks like UTF-16 or UTF-32")
    try:
        return raw.decode("utf-8-sig"), None
    except UnicodeDecodeError:
        pass
    # the damaged spot is found in the text as an editor shows it, with a sign in its place
    document.lines = _LINE_END.split(raw.decode("utf-8", "surrogateescape"))
    line, column = next(
        (number, column)
        for number, text in enumerate(document.lines, 1)
        for column, char in enumerate(text, 1)
        if "\ud800" <= char <= "\udfff"
    )
    document.lines = [re.sub("[\ud800-\udfff]", "\ufffd", text) for text in document.lines]
    return "", _encoding(document.spot(line, column), "has a byte here that is not UTF-8")


def _encoding(place: Place, what: str) -> Problem:
    hint = "save it as UTF-8; in older editors ± and ° are the usual culprits"
    return Problem(code="F102", message=f"the file {what}", places=(place,), hint=hint)


def _character_problems(document: Document, text: str) -> Iterator[Problem]:
    if "\t" not in text and not HIDDEN.search(text):
        return
    for number, line in enumerate(document.lines, 1):
        indent = len(line) - len(line.lstrip(" \t"))
        tab = line.find("\t", 0, indent)
        if tab >= 0:
            yield tab_problem(document.spot(number, tab + 1))
        hidden = HIDDEN.search(line)
        if hidden:
            yield Problem(
                code="F121",
                message=f"{named(hidden[0])} stands in the file",
                places=(document.spot(number, hidden.start() + 1),),
                hint="delete it; such characters can change what a screen shows",
            )
