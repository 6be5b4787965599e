"""The chance over the days as a picture: the range over all strains in grey, the middle of each strain as a line."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from pratique.export.paper.page import Picture
from pratique.export.pictures.draw import Drawing, Stroke
from pratique.knowledge import store
from pratique.risk.answers import Point, Risk
from pratique.risk.fallow import FallowRisk

WIDTH, HEIGHT = 720.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 52.0, 16.0, 30.0, 78.0
STROKES: tuple[Stroke, ...] = ("solid", "dashed", "dotted")
LIMITS = "a model, not a guarantee; its limits stand above"


def risk_pictures(risk: Risk) -> tuple[Picture, ...]:
    """The curve of a plan."""
    title = f"{risk.batch}: chance that {store.pathogen(risk.agent).short} is on a fish, by day of release"
    return (Picture(svg=risk_svg(risk.curve, title), caption=f"{title}; {LIMITS}"),)


def fallow_pictures(risk: FallowRisk) -> tuple[Picture, ...]:
    """The curve of a water without fish."""
    title = f"{risk.tank}: chance that {store.pathogen(risk.agent).short} in it still infects, by days without fish"
    return (Picture(svg=risk_svg(risk.curve, title), caption=f"{title}; {LIMITS}"),)


def risk_svg(points: Sequence[Point], title: str) -> str:
    """The picture. ValueError without a point."""
    if not points:
        raise ValueError("a curve needs a point")
    return _Chart(points, title).drawn()


class _Chart:
    def __init__(self, points: Sequence[Point], title: str) -> None:
        self.points = points
        self.days = max(points[-1].at, 1.0)
        self.drawing = Drawing(WIDTH, HEIGHT, title)
        self.drawing.text(LEFT, 16, title, size=13)

    def x(self, day: float) -> float:
        return LEFT + day / self.days * (WIDTH - LEFT - RIGHT)

    def y(self, chance: float) -> float:
        return HEIGHT - BOTTOM - chance * (HEIGHT - TOP - BOTTOM)

    def drawn(self) -> str:
        draw = self.drawing
        for before, after in pairwise(self.points):
            high, low = after.chance.high, after.chance.low
            if high > low:
                width = self.x(after.at) - self.x(before.at)
                draw.box(self.x(before.at), self.y(high), width, self.y(low) - self.y(high), fill="light", edge=False)
        for share in (0.0, 0.25, 0.5, 0.75, 1.0):
            draw.line(LEFT, self.y(share), WIDTH - RIGHT, self.y(share), weight=0.4)
            draw.text(LEFT - 5, self.y(share) + 4, f"{share:.0%}", anchor="end")
        for point in self.points:
            draw.line(self.x(point.at), HEIGHT - BOTTOM, self.x(point.at), HEIGHT - BOTTOM + 4)
            draw.text(self.x(point.at), HEIGHT - BOTTOM + 17, f"{point.at:.0f}", size=10, anchor="middle")
        for number, strain in enumerate(self.points[0].chance.strains):
            line = [(self.x(p.at), self.y(p.chance.strains[number].middle)) for p in self.points]
            stroke = STROKES[number % len(STROKES)]
            weight = 1.4 if number < len(STROKES) else 2.6
            draw.path(line, stroke=stroke, weight=weight)
            left = LEFT + (number % 2) * 340
            below = HEIGHT - 40 + (number // 2) * 14
            draw.line(left, below, left + 30, below, stroke=stroke, weight=weight)
            draw.text(left + 36, below + 4, f"the {strain.title} strain, the middle of its draws", size=10)
        draw.text(LEFT, HEIGHT - 8, f"grey: nine in ten draws, over all strains; {LIMITS}", size=10)
        return draw.svg()
