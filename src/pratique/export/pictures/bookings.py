"""The bookings as a picture: tanks down, days across, the plan so far grey, wishes hatched, today dashed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from pratique.booking.book import Answer
from pratique.booking.grid import Block, blocks_of
from pratique.dates import shown_day
from pratique.export.pictures.draw import Drawing

WIDTH, ROW, LEFT, RIGHT, TOP = 720.0, 40.0, 120.0, 14.0, 30.0
BOX, LINE, LETTER = 13.0, 10.0, 4.7
"""Heights of a box and of a line of names, and about the width of a letter of them."""
MOST_LABELS = 9


def bookings_svg(answer: Answer) -> str:
    """One row a tank. A block that lies over another is drawn lower, so that a conflict is seen."""
    return _Picture(answer).drawn()


@dataclass
class _Row:
    """What stands in the row of one tank: the blocks, and how far to the right each line of names is taken."""

    top: float
    blocks: list[Block] = field(default_factory=list)
    named: list[tuple[str, float]] = field(default_factory=lambda: [("", 0.0), ("", 0.0)])


class _Picture:
    def __init__(self, answer: Answer) -> None:
        self.answer = answer
        self.today = answer.at.date()
        self.blocks = sorted(
            (block for block in blocks_of(answer) if block.end > self.today), key=lambda block: block.start
        )
        self.start = min([self.today, *(block.start for block in self.blocks)])
        self.days = max([(block.end - self.start).days for block in self.blocks], default=1)
        tanks = [tank.name for tank in answer.room.tanks.values() if tank.use != "display"]
        self.rows = {tank: _Row(TOP + ROW * number) for number, tank in enumerate(tanks)}
        self.bottom = TOP + ROW * len(tanks)
        self.drawing = Drawing(WIDTH, self.bottom + 44, f"bookings of {answer.room.name}")

    def x(self, day: dt.date) -> float:
        return LEFT + (day - self.start).days / self.days * (WIDTH - LEFT - RIGHT)

    def drawn(self) -> str:
        for tank, row in self.rows.items():
            self.drawing.text(LEFT - 6, row.top + 31, tank, anchor="end")
            self.drawing.line(LEFT, row.top + ROW - 1, WIDTH - RIGHT, row.top + ROW - 1, stroke="dotted", weight=0.5)
        for block in self.blocks:
            if block.tank in self.rows:
                self._block(block, self.rows[block.tank])
        self._axis()
        return self.drawing.svg()

    def _block(self, block: Block, row: _Row) -> None:
        others = (other for other in row.blocks if other.who != block.who)
        over = sum(1 for other in others if other.start < block.end and block.start < other.end)
        left, top = self.x(block.start), row.top + 2 * LINE + 1 + 4 * over
        fill = "hatch" if block.is_wish else "light"
        self.drawing.box(left, top, self.x(block.end) - left, BOX, fill=fill)  # type: ignore[arg-type]
        row.blocks.append(block)
        self._name(block.who, left, row)

    def _name(self, who: str, left: float, row: _Row) -> None:
        """Above the block, on the line that is free; once for blocks of the same name that follow one another."""
        if any(who == last and left < end + ROW for last, end in row.named):
            return
        line = 0 if left >= row.named[0][1] else 1
        self.drawing.text(left, row.top + LINE * (2 - line) - 2, who, size=8.5)
        row.named[line] = (who, left + LETTER * (len(who) + 1))

    def _axis(self) -> None:
        step = max(1, round(self.days / MOST_LABELS + 0.5))
        for day in range(0, self.days + 1, step):
            when = self.start + dt.timedelta(days=day)
            self.drawing.line(self.x(when), self.bottom, self.x(when), self.bottom + 4)
            self.drawing.text(self.x(when), self.bottom + 16, shown_day(when), size=9, anchor="middle")
        x = self.x(self.today)
        self.drawing.line(x, TOP - 8, x, self.bottom, stroke="dashed", weight=1.2)
        self.drawing.text(x + 3, TOP - 12, "today", size=9)
        key = "grey: planned already; hatched: booked now; one below another: two at once"
        self.drawing.text(LEFT, self.bottom + 34, key, size=10)
