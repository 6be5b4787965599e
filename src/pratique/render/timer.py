"""The timer as a screen full of lines: figures of block characters, a bar, what to watch, the keys."""

from __future__ import annotations

from pratique.render.lines import Line, flow, hang, paint_line, write_line
from pratique.render.measure import text_width, wrap_text
from pratique.render.signs import clean_text, to_ascii
from pratique.sheets.rows import Lines
from pratique.sheets.timer import TimerPage

_GLYPHS = {
    "0": ("###", "# #", "# #", "# #", "###"),
    "1": (" # ", "## ", " # ", " # ", "###"),
    "2": ("###", "  #", "###", "#  ", "###"),
    "3": ("###", "  #", "###", "  #", "###"),
    "4": ("# #", "# #", "###", "  #", "  #"),
    "5": ("###", "#  ", "###", "  #", "###"),
    "6": ("###", "#  ", "###", "# #", "###"),
    "7": ("###", "  #", "  #", "  #", "  #"),
    "8": ("###", "# #", "###", "# #", "###"),
    "9": ("###", "# #", "###", "  #", "###"),
    ":": (" ", "#", " ", "#", " "),
    "+": ("   ", " # ", "###", " # ", "   "),
}
_FULL, _EMPTY, _GOAL = "█", "░", "│"
_BOXES = ("☐", "☑")
_TALLEST = 5
_BAR_MOST = 60
_LOWEST_FOR_FIGURES = 14
HOME, CLEAR_LINE, CLEAR_BELOW = "\x1b[H", "\x1b[K", "\x1b[J"


def big_figure(text: str, width: int, full: str = _FULL) -> list[str]:
    """`text` in figures five lines high, each dot two columns wide where that fits into `width`, else one.

    Empty where it does not fit, or holds a sign that has no figure.
    """
    if not text or not set(text) <= set(_GLYPHS):
        return []
    for wide in (2, 1):
        gap = " " * wide
        rows = [gap.join(_GLYPHS[sign][row] for sign in text) for row in range(_TALLEST)]
        dots = [
            "".join((full if dot == "#" else " ") * wide for dot in row) if wide == 1 else _widened(row, full, text)
            for row in rows
        ]
        if max(map(len, dots)) <= width:
            return dots
    return []


def _widened(row: str, full: str, text: str) -> str:
    """Each dot twice as wide; the gap between two figures was written twice already."""
    out, at = [], 0
    for sign in text:
        size = len(_GLYPHS[sign][0])
        out.append("".join((full if dot == "#" else " ") * 2 for dot in row[at : at + size]))
        at += size + 2
    return "  ".join(out)


def bar(done: float, goal: float, width: int, *, unicode: bool = True) -> str:
    """How much of the longest time has passed, with a mark where the time that was meant ends.

    >>> bar(0.25, 0.5, 10, unicode=False)
    '##...|....'
    """
    full, empty, mark = (_FULL, _EMPTY, _GOAL) if unicode else ("#", ".", "|")
    filled = min(int(done * width), width)
    cells = [full] * filled + [empty] * (width - filled)
    at = min(int(goal * width), width - 1)
    if goal < 1 and width > 1:
        cells[at] = mark
    return "".join(cells)


def frame(page: TimerPage, *, width: int, height: int, unicode: bool = True) -> list[Line]:
    """The page in at most `height` lines of at most `width` columns; what is needed least is left out first."""
    width, height = max(width, 8), max(height, 1)
    head = _head(page, width, height, unicode)
    foot = _keys(page, width, unicode)
    lines = [*head, *_parts(page, width, height - len(head) - len(foot) - 1, unicode)]
    room = height - len(foot)
    if room >= 2:
        return [*lines[: room - 1], [], *foot][:height] if len(lines) >= room else [*lines, [], *foot]
    return head[:height]


def _head(page: TimerPage, width: int, height: int, unicode: bool) -> list[Line]:
    inner = width - 2
    figure = big_figure(page.figure, inner, _FULL if unicode else "#") if height >= _LOWEST_FOR_FIGURES else []
    roomy = height >= _LOWEST_FOR_FIGURES + 6
    lines: list[Line] = [[(_clean(text, unicode), "title")] for text in wrap_text(_clean(page.title, unicode), width)]
    lines += [[]] if roomy else []
    lines += [[("  " + row, page.meaning)] for row in figure] or [[("  " + page.figure, page.meaning)]]
    lines += [[]] if roomy else []
    lines += _wrapped(page.under, page.meaning, width, unicode)
    if page.done is not None and page.goal is not None:
        lines.append([("  " + bar(page.done, page.goal, min(inner, _BAR_MOST), unicode=unicode), page.meaning)])
    lines += _wrapped(page.look, "", width, unicode)
    lines += _wrapped(page.notice, "due", width, unicode)
    return lines


def _wrapped(text: str, meaning: str, width: int, unicode: bool) -> list[Line]:
    if not text:
        return []
    return [[("  " + piece, meaning)] for piece in wrap_text(_clean(text, unicode), width - 2)]


def _parts(page: TimerPage, width: int, room: int, unicode: bool) -> list[Line]:
    """As many of the parts as there is room for, the first of them first."""
    lines: list[Line] = []
    for part in page.parts:
        found = [[], *_part(part, width, unicode)]
        if len(lines) + len(found) > room:
            left = room - len(lines)
            return [*lines, *found[:left]] if left > 2 else lines
        lines += found
    return lines


def _part(part: Lines, width: int, unicode: bool) -> list[Line]:
    """A box to tick at the head of a text stands where the bullet of other texts does."""
    lines: list[Line] = [[(_clean(part.title, unicode), "title")]]
    bullet = _clean(f"{part.bullet} " if part.bullet else "", unicode)
    for cell in part.lines:
        boxed = cell.text[:1] in _BOXES
        mark, text = (_clean(cell.text[:2], unicode), cell.text[2:]) if boxed else (bullet, cell.text)
        lines += hang([("  " + mark, cell.meaning)], _clean(text, unicode), cell.meaning, width)
    return lines


def _keys(page: TimerPage, width: int, unicode: bool) -> list[Line]:
    words = [(f"[{key}] {_clean(what, unicode)}", "") for key, what in page.keys]
    return flow(words, width)


def _clean(text: str, unicode: bool) -> str:
    text = clean_text(text)
    return text if unicode else to_ascii(text)


def draw(lines: list[Line], *, color: bool) -> str:
    """The lines with what puts them over those drawn before, from the upper left corner."""
    write = paint_line if color else write_line
    body = "\n".join(write(line) + CLEAR_LINE for line in lines)
    return f"{HOME}{body}{CLEAR_BELOW}"


def plain_line(text: str, *, unicode: bool) -> str:
    """A line for a screen that is not drawn on."""
    return _clean(text, unicode)


def longest(lines: list[Line]) -> int:
    """Columns that the widest line takes."""
    return max((text_width(write_line(line)) for line in lines), default=0)
