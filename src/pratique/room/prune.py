"""Going on after an error: what the validator refused is cut out, so that the rest is judged too."""

from __future__ import annotations

from typing import Annotated

import yaml
from pydantic import BeforeValidator, ValidationError

from pratique.room.document import Document, Path_
from pratique.room.fields import EntryName
from pratique.room.model import About, RoomFile, Tank
from pratique.room.shape import fields_along
from pratique.room.translate import file_path
from pratique.room.written import read_map


class Remains(RoomFile):
    """A room file of which anything may be gone. UTC has no clock changes, so it adds no complaint."""

    room: About = About(time_zone="UTC")
    tanks: Annotated[dict[EntryName, Tank], BeforeValidator(read_map)] = {}  # noqa: RUF012 (pydantic copies it)


def remains(document: Document, error: ValidationError) -> RoomFile:
    """What is left of the file without the parts that `error` complains of. Cuts them out of `document`.

    An optional key goes alone; a needed one takes its entry with it, and so on upwards. Complaints about
    what is left are follow-ons, such as a batch without animals, and are cut away without a word.
    """
    while True:
        paths = {file_path(detail)[0] for detail in error.errors(include_url=False, include_context=False)}
        document.cut(spot for path in paths if (spot := _spot(document, path)) is not None)
        try:
            return Remains.model_validate(document.data)
        except ValidationError as follow_on:
            if follow_on.errors() == error.errors():
                raise  # nothing could be cut: a bug, never a reason to try for ever
            error = follow_on


def _spot(document: Document, path: Path_) -> tuple[yaml.Node, yaml.Node, str] | None:
    """The deepest thing along `path` that can be cut: its parent, itself, its name."""
    parent, deepest = document.root, None
    for depth, (step, field) in enumerate(zip(path, fields_along(path), strict=True)):
        child = document.child(parent, step)
        if parent is None or child is None:
            break
        if depth == 0 or field is None or not field.is_required():
            deepest = (parent, child[1], str(step))
        parent = child[1]
    return deepest
