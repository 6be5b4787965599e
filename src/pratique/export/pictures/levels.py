"""A level against time: the band, each reading with its error, doses and water changes, the kit that does not count."""

from __future__ import annotations

import datetime as dt

from pratique.dates import shown_day
from pratique.export.pictures.draw import Drawing
from pratique.figure import digits
from pratique.schedule.calendar import elapsed_hours, plus_hours
from pratique.schedule.courses import LevelCourse

WIDTH, HEIGHT = 720.0, 300.0
LEFT, RIGHT, TOP, BOTTOM = 62.0, 30.0, 30.0, 58.0
MOST_LABELS = 9


def level_svg(course: LevelCourse) -> str:
    """The picture. Filled dots count, open ones were read with a kit that does not suit the form."""
    return _Chart(course).drawn()


class _Chart:
    def __init__(self, course: LevelCourse) -> None:
        self.course = course
        self.hours = max(elapsed_hours(course.start, course.end), 1.0)
        tops = [reading.high for reading in course.readings]
        self.top = max([course.band.ceiling, course.target, *tops]) * 1.12
        self.drawing = Drawing(WIDTH, HEIGHT, course.title)

    def x(self, at: dt.datetime) -> float:
        share = min(max(elapsed_hours(self.course.start, at) / self.hours, 0.0), 1.0)
        return LEFT + share * (WIDTH - LEFT - RIGHT)

    def y(self, level: float) -> float:
        return HEIGHT - BOTTOM - level / self.top * (HEIGHT - TOP - BOTTOM)

    def drawn(self) -> str:
        self._frame()
        self._days()
        self._changes()
        self._readings()
        return self.drawing.svg()

    def _frame(self) -> None:
        band, draw = self.course.band, self.drawing
        draw.text(LEFT, 16, self.course.title, size=13)
        top, floor = self.y(band.ceiling), self.y(band.floor)
        draw.box(LEFT, top, WIDTH - LEFT - RIGHT, floor - top, fill="light", edge=False)
        for level, stroke in ((band.ceiling, "solid"), (band.floor, "solid"), (self.course.target, "dashed")):
            draw.line(LEFT, self.y(level), WIDTH - RIGHT, self.y(level), stroke=stroke, weight=0.8)  # type: ignore[arg-type]
            draw.text(LEFT - 5, self.y(level) + 4, digits(level), anchor="end")
        draw.line(LEFT, TOP, LEFT, HEIGHT - BOTTOM)
        draw.line(LEFT, HEIGHT - BOTTOM, WIDTH - RIGHT, HEIGHT - BOTTOM)
        draw.text(LEFT - 5, HEIGHT - BOTTOM + 4, "0", anchor="end")
        draw.text(8, TOP + 2, band.unit)

    def _days(self) -> None:
        days = self.hours / 24
        step = max(1, round(days / MOST_LABELS + 0.5))
        for day in range(0, int(days) + 1, step):
            at = plus_hours(self.course.start, 24.0 * day)
            x = self.x(at)
            self.drawing.line(x, HEIGHT - BOTTOM, x, HEIGHT - BOTTOM + 4)
            self.drawing.text(x, HEIGHT - BOTTOM + 17, shown_day(at), size=10, anchor="middle")
        text = "grey: the band; dashed: the level aimed for; ● reading with its error; ○ kit that does not count"
        self.drawing.text(LEFT, HEIGHT - 24, text, size=10)
        text = "▲ dose; ▼ water change without its dose; ? moved to another water"
        self.drawing.text(LEFT, HEIGHT - 9, text, size=10)

    def _changes(self) -> None:
        marks = {"up": "▲", "down": "▼", "unknown": "?"}
        for change in self.course.changes:
            x = self.x(change.at)
            self.drawing.line(x, TOP + 10, x, HEIGHT - BOTTOM, stroke="dotted", weight=0.8)
            self.drawing.text(x, TOP + 8, marks[change.effect], anchor="middle")

    def _readings(self) -> None:
        self.drawing.path([(self.x(r.at), self.y(r.value)) for r in self.course.readings if r.suits], weight=1.0)
        for reading in self.course.readings:
            x = self.x(reading.at)
            self.drawing.line(x, self.y(reading.low), x, self.y(reading.high), weight=1.6)
            for end in (reading.low, reading.high):
                self.drawing.line(x - 3, self.y(end), x + 3, self.y(end))
            self.drawing.dot(x, self.y(reading.value), fill="black" if reading.suits else "white")
