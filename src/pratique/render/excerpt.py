"""The keeper's own line with carets under the wrong part, cut around them where it is long."""

from __future__ import annotations

import re
from collections.abc import Callable

from pratique.problem import Place
from pratique.render.lines import PROSE_LEAST
from pratique.render.measure import text_width, wrap_text

_LONGEST_LINE = 200
_BEFORE, _WINDOW = 40, 120
_LEAST_ROOM = 8

_OPEN_NUMBER = re.compile(r"[0-9][0-9.,]* ?$")
_REST_OF_NUMBER = re.compile(r"^[0-9.,]+")

Fix = Callable[[str], str]


def excerpt(place: Place, sign: str, gutter: int, fix: Fix, width: int | None) -> list[str]:
    """The lines under a place; none where its line is blank. `gutter` is the room for the line's number."""
    if not place.text.strip():
        return []
    bar = f"{' ' * (gutter + 1)}|"
    before, wrong, after = (fix(part.replace("\t", "    ")) for part in _parts(place))
    room = None if width is None else max(width - gutter - 3, _LEAST_ROOM)
    if room is not None:
        before, wrong, after = _window(before, wrong, after, room, fix("…"))
    lines = [bar, f"{place.line:>{gutter}} | {before}{wrong}{after}".rstrip()]
    start, carets = text_width(before), sign * max(text_width(wrong), 1)
    label = fix(place.label)
    if not label or room is None or start + len(carets) + 1 + text_width(label) <= room:
        return [*lines, f"{bar} {' ' * start}{carets} {label}".rstrip()]
    indent = max(min(start, room - PROSE_LEAST), 0)
    said = wrap_text(label, max(room - indent, 1))
    return [*lines, f"{bar} {' ' * start}{carets}", *(f"{bar} {' ' * indent}{part}" for part in said)]


def _parts(place: Place) -> tuple[str, str, str]:
    """What stands before the wrong part, the part, and what stands after it; a very long line is cut."""
    start = place.column - 1
    end = start + place.width
    before, wrong, after = place.text[:start], place.text[start:end], place.text[end:].rstrip()
    if len(place.text) > _LONGEST_LINE:
        before = before if len(before) <= _BEFORE else "…" + before[-_BEFORE:]
        room = _WINDOW - len(before)
        wrong, after = _cut(wrong, room), _cut(after, max(room - len(wrong), 0))
    return before, wrong, after


def _cut(text: str, room: int) -> str:
    return text if len(text) <= room else text[:room] + "…"


def _window(before: str, wrong: str, after: str, room: int, dots: str) -> tuple[str, str, str]:
    """The same three in at most `room` columns, with as much of the wrong part as there is room for."""
    size, gap = text_width(wrong), text_width(dots)
    if text_width(before) + size + text_width(after) <= room:
        return before, wrong, after
    if text_width(before) + size + gap > room:
        keep = max(room - size - 2 * gap, room // 4 - gap, 0)
        before = before if text_width(before) <= keep + gap else dots + _tail(before, keep)
    left = room - text_width(before)
    if size > left:
        return before, _head(wrong, left - gap) + dots, ""
    left -= size
    if text_width(after) <= left:
        return before, wrong, after
    return before, wrong, _head(after, left - gap) + dots if left >= gap else ""


def _head(text: str, room: int) -> str:
    """The beginning of a text that is cut; it never ends in a number, whose unit or digits would be cut off."""
    kept = text
    while kept and text_width(kept) > room:
        kept = kept[:-1]
    return kept if kept == text else _OPEN_NUMBER.sub("", kept)


def _tail(text: str, room: int) -> str:
    """The end of a text that is cut; it never begins within a number."""
    kept = text
    while kept and text_width(kept) > room:
        kept = kept[1:]
    cut = text[: len(text) - len(kept)]
    return _REST_OF_NUMBER.sub("", kept) if cut and cut[-1] in "0123456789.," else kept
