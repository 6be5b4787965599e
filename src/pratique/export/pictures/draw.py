"""What every picture is drawn with: an SVG of plain shapes, in user units, black on white, every text escaped."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

Fill = Literal["none", "black", "grey", "light", "hatch", "white"]
Stroke = Literal["solid", "dashed", "dotted"]
Anchor = Literal["start", "middle", "end"]

FILLS: dict[Fill, str] = {
    "none": "none", "black": "#000", "grey": "#999", "light": "#e4e4e4", "hatch": "url(#hatch)", "white": "#fff",
}  # fmt: skip
DASHES: dict[Stroke, str] = {"solid": "", "dashed": "6 3", "dotted": "1.5 3"}
HATCH = (
    '<defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    '<rect width="6" height="6" fill="#fff"/><line x1="0" y1="0" x2="0" y2="6" stroke="#000" stroke-width="1.4"/>'
    "</pattern></defs>"
)


@dataclass
class Drawing:
    """Shapes in the order they are drawn; `title` is read aloud in place of the picture."""

    width: float
    height: float
    title: str
    _shapes: list[str] = field(default_factory=list)

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, stroke: Stroke = "solid", weight: float = 1.0
    ) -> None:
        """A straight line of `weight` units."""
        dash = f' stroke-dasharray="{DASHES[stroke]}"' if DASHES[stroke] else ""
        ends = f'x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}"'
        self._shapes.append(f'<line {ends} stroke="#000" stroke-width="{weight:g}"{dash}/>')

    def path(self, points: list[tuple[float, float]], *, stroke: Stroke = "solid", weight: float = 1.4) -> None:
        """A line through the points."""
        for (x1, y1), (x2, y2) in pairwise(points):
            self.line(x1, y1, x2, y2, stroke=stroke, weight=weight)

    def box(self, x: float, y: float, width: float, height: float, *, fill: Fill, edge: bool = True) -> None:
        """A rectangle; one that would be too thin to be seen is made one unit wide."""
        rim = ' stroke="#000" stroke-width="0.8"' if edge else ""
        self._shapes.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(width, 1.0):.1f}" height="{max(height, 1.0):.1f}" '
            f'fill="{FILLS[fill]}"{rim}/>'
        )

    def dot(self, x: float, y: float, radius: float = 3.0, *, fill: Fill = "black") -> None:
        """A round mark."""
        self._shapes.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:g}" fill="{FILLS[fill]}" stroke="#000" stroke-width="1"/>'
        )

    def text(self, x: float, y: float, text: str, *, size: float = 11, anchor: Anchor = "start") -> None:
        """A text whose base line begins, is centred or ends at the point."""
        self._shapes.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}">{escape(_plain(text))}</text>'
        )

    def svg(self) -> str:
        """The picture as one element."""
        body = "\n".join(self._shapes)
        hatch = HATCH if "url(#hatch)" in body else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {self.height:g}" role="img" '
            f'aria-label={quoteattr(_plain(self.title))} font-family="sans-serif">{hatch}\n{body}\n</svg>'
        )


def _plain(text: str) -> str:
    """Without characters that XML cannot hold."""
    return "".join(letter if letter.isprintable() else "�" for letter in text)
