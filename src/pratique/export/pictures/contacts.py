"""The contacts as a picture for paper: boxes from left to right, lines told apart by their stroke, not by colour."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.contacts.model import Level, Trace
from pratique.export.paper.page import Picture
from pratique.export.pictures.draw import Drawing, Fill, Stroke
from pratique.sheets.contact_tree import Branch, backward_branch, forward_branch

WIDTH = 720.0
BOX_WIDTH, BOX, STEP, GAP, MARGIN, HEAD = 132.0, 22.0, 34.0, 52.0, 10.0, 26.0
LETTERS = 20
"""Letters of a name that fit into a box."""

STROKES: dict[Level, Stroke] = {"direct": "solid", "wet": "dashed", "possible": "dotted"}
WEIGHTS: dict[Level, float] = {"direct": 2.4, "wet": 1.6, "possible": 1.4}
FILLS: dict[Level, Fill] = {"direct": "grey", "wet": "light", "possible": "white"}
WORDS: dict[Level, str] = {"direct": "same water or fish", "wet": "something wet", "possible": "hands, drops"}


def contacts_pictures(trace: Trace) -> tuple[Picture, ...]:
    """The one picture of a trace; none where nothing was reached and nothing led here."""
    if not (forward_branch(trace).below or backward_branch(trace).below):
        return ()
    caption = f"{trace.origin.name}: how far each may have passed it on, by the record; it is no diagnosis"
    return (Picture(svg=contacts_svg(trace), caption=caption),)


def contacts_svg(trace: Trace) -> str:
    """Who may have it (first), and where it may have come from (below it), as one SVG element."""
    forward, backward = forward_branch(trace), backward_branch(trace)
    parts = [("Who may have it now", forward, True)]
    if backward.below:
        parts.append(("Where it may have come from", backward, False))
    height = sum(HEAD + STEP * _rows(branch) for _, branch, _ in parts) + 30
    depth = max(_depth(branch) for _, branch, _ in parts)
    width = max(WIDTH, 2 * MARGIN + depth * BOX_WIDTH + (depth - 1) * GAP)
    draw = Drawing(width, height, f"contacts of {trace.origin.name}")
    top = 0.0
    for title, branch, outward in parts:
        draw.text(MARGIN, top + 16, f"{title}: {trace.origin.name}", size=13)
        _draw(draw, branch, 0, top + HEAD, outward=outward, is_root=True)
        top += HEAD + STEP * _rows(branch)
    _key(draw, top + 16)
    return draw.svg()


def _rows(branch: Branch) -> int:
    return max(sum(_rows(child) for child in branch.below), 1)


def _depth(branch: Branch) -> int:
    return 1 + max((_depth(child) for child in branch.below), default=0)


def _draw(draw: Drawing, branch: Branch, level: int, top: float, *, outward: bool, is_root: bool = False) -> float:
    """The branch and all below it; the height (user units) of its middle line."""
    left = MARGIN + level * (BOX_WIDTH + GAP)
    middles = list(_children(draw, branch, level, top, outward=outward))
    middle = (middles[0] + middles[-1]) / 2 if middles else top + STEP / 2
    for child, end in zip(branch.below, middles, strict=True):
        start, stop = left + BOX_WIDTH, left + BOX_WIDTH + GAP
        draw.line(start, middle, stop, end, stroke=STROKES[child.level], weight=WEIGHTS[child.level])
        tip, back = ((stop, end), -1) if outward else ((start, middle), 1)
        for side in (-4, 4):
            draw.line(tip[0], tip[1], tip[0] + back * 7, tip[1] + side, weight=1.4)
    draw.box(left, middle - BOX / 2, BOX_WIDTH, BOX, fill="white" if is_root else FILLS[branch.level])
    if is_root:
        draw.box(left + 2.5, middle - BOX / 2 + 2.5, BOX_WIDTH - 5, BOX - 5, fill="none")
    draw.text(left + BOX_WIDTH / 2, middle + 4, _short(branch.name), anchor="middle")
    return middle


def _children(draw: Drawing, branch: Branch, level: int, top: float, *, outward: bool) -> Iterator[float]:
    for child in branch.below:
        yield _draw(draw, child, level + 1, top, outward=outward)
        top += STEP * _rows(child)


def _short(name: str) -> str:
    return name if len(name) <= LETTERS else name[: LETTERS - 1] + "…"


def _key(draw: Drawing, top: float) -> None:
    left = MARGIN
    for level, stroke in STROKES.items():
        draw.line(left, top - 4, left + 34, top - 4, stroke=stroke, weight=WEIGHTS[level])
        draw.text(left + 40, top, WORDS[level], size=10)
        left += 190
