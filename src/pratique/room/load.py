"""The room file in one sentence: read it, validate it, resolve it, and report everything at once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from pydantic import ValidationError

from pratique.problem import Problem, sort_problems
from pratique.room.document import Document
from pratique.room.model import RoomFile
from pratique.room.prune import remains
from pratique.room.read import read_bytes, read_document
from pratique.room.resolve import Room, resolve
from pratique.room.translate import translate


def load_room(path: Path) -> tuple[Room | None, list[Problem]]:
    """The room at `path`, or None with every problem that stands in its way, sorted by line."""
    document, problems = read_document(path)
    return _understand(document, problems)


def load_room_with(path: Path, section: str, name: str, entry: dict[str, Any]) -> tuple[Room | None, list[Problem]]:
    """As `load_room`, with one entry more in a section, which is read by the same rules; the file stays as it is."""
    document, problems = read_document(path)
    if isinstance(document.data, dict):
        known = document.data.get(section)
        document.data[section] = {**(known if isinstance(known, dict) else {}), name: entry}
    return _understand(document, problems)


def load_room_text(text: str, name: str = "fishroom.yaml") -> tuple[Room | None, list[Problem]]:
    """As `load_room`, from text."""
    document, problems = read_bytes(name, text.encode("utf-8", "surrogatepass"))
    return _understand(document, problems)


def _understand(document: Document, problems: list[Problem]) -> tuple[Room | None, list[Problem]]:
    if problems:
        return None, sort_problems(problems)
    if not isinstance(document.data, dict):
        places = (document.place(()),)
        hint = "the first lines are such as `room:` and, indented below it, `time_zone: Europe/Lisbon`"
        return None, [Problem(code="F110", message="the file is not made of keys", places=places, hint=hint)]
    raw = document.data
    try:
        written = RoomFile.model_validate(raw)
    except ValidationError as error:
        problems = translate(document, error)
        written = remains(document, error)
    room, found = resolve(document, written, raw)
    problems = sort_problems([*problems, *found])
    return (None if any(problem.is_error for problem in problems) else room), problems
