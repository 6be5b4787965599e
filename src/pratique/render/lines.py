"""A line of output as spans of text with a meaning, and how it is written with and without colour."""

from __future__ import annotations

from collections.abc import Iterable

from pratique.render.measure import text_width, wrap_text

Span = tuple[str, str]
Line = list[Span]

PROSE_LEAST = 14

_STYLES = {
    "error": "bold red",
    "warning": "yellow",
    "done": "green",
    "due": "bold cyan",
    "muted": "dim",
    "title": "bold",
}


def hang(
    lead: Line, text: str, meaning: str, width: int | None, *, whole: bool = False, below: int | None = None
) -> list[Line]:
    """`text` beside `lead`, its further lines under its first.

    With `below`, a text with too little room beside its lead, or one that is `whole` and too long for it,
    goes under the lead, indented by `below`. The indent gives way before a line grows longer than `width`.
    """
    start = sum(text_width(part) for part, _ in lead)
    if width is None or start + text_width(text) <= width:
        return [[*lead, (text, meaning)]]
    under = below is not None and (whole or width - start < PROSE_LEAST)
    indent = below if under and below is not None else start
    chunks = [text] if whole else wrap_text(text, max(1, width - indent))
    lines = [indented(chunk, meaning, indent, width) for chunk in chunks]
    if not under and start + text_width(chunks[0]) <= width:
        return [[*lead, (chunks[0], meaning)], *lines[1:]]
    return lines if write_line(lead) == "" else [lead, *lines]


def flow(words: Iterable[Span], width: int | None) -> list[Line]:
    """Words set one after the other, those of further lines indented by two."""
    lines: list[Line] = [[]]
    used = 0
    for word, meaning in words:
        size = text_width(word)
        if lines[-1] and (width is None or used + 1 + size <= width):
            lines[-1] += [(" ", ""), (word, meaning)]
            used += 1 + size
        elif not lines[-1]:
            lines[-1].append((word, meaning))
            used = size
        else:
            lines.append(indented(word, meaning, 2, width or 0))
            used = sum(text_width(part) for part, _ in lines[-1])
    return lines


def indented(text: str, meaning: str, indent: int, width: int) -> Line:
    """`text` after `indent` spaces, fewer where `width` would be exceeded."""
    return [(" " * max(0, min(indent, width - text_width(text))), ""), (text, meaning)]


def write_line(line: Line) -> str:
    return "".join(text for text, _ in line).rstrip(" ")


def paint_line(line: Line) -> str:
    """The same text as `write_line`, with the terminal's own colours for the meanings."""
    from rich.color import ColorSystem
    from rich.style import Style

    painted = ""
    left = len(write_line(line))
    for text, meaning in line:
        shown, left = text[:left], max(0, left - len(text))
        style = _STYLES.get(meaning)
        painted += Style.parse(style).render(shown, color_system=ColorSystem.STANDARD) if style else shown
    return painted
