"""The bookings as a picture: tanks down, days across, the plan so far grey, wishes hatched, today dashed."""

from __future__ import annotations

import datetime as dt

from pratique.booking.book import Answer
from pratique.booking.grid import Block, blocks_of
from pratique.export.pictures.draw import Drawing

WIDTH, ROW, LEFT, RIGHT, TOP = 720.0, 26.0, 120.0, 12.0, 34.0
MOST_LABELS = 9


def bookings_svg(answer: Answer) -> str:
    """One row a tank. A block that lies over another is drawn lower and lower, so that a conflict is seen."""
    blocks = [block for block in blocks_of(answer) if block.end > answer.at.date()]
    tanks = [tank.name for tank in answer.room.tanks.values() if tank.use != "display"]
    start = min([answer.at.date(), *(block.start for block in blocks)])
    whole = max([(block.end - start).days for block in blocks], default=1)
    draw = Drawing(WIDTH, TOP + ROW * len(tanks) + 44, f"bookings of {answer.room.name}")

    def x(day: dt.date) -> float:
        return LEFT + (day - start).days / whole * (WIDTH - LEFT - RIGHT)

    for number, tank in enumerate(tanks):
        top = TOP + ROW * number
        draw.text(LEFT - 6, top + 16, tank, anchor="end")
        draw.line(LEFT, top + ROW - 2, WIDTH - RIGHT, top + ROW - 2, stroke="dotted", weight=0.5)
        drawn: list[Block] = []
        for block in (block for block in blocks if block.tank == tank):
            over = sum(1 for other in drawn if other.start < block.end and block.start < other.end)
            fill = "hatch" if block.is_wish else "light"
            draw.box(x(block.start), top + 3 + 5 * over, x(block.end) - x(block.start), ROW - 10, fill=fill)  # type: ignore[arg-type]
            draw.text(x(block.start) + 2, top - 1 + 5 * over + 3, block.who, size=8)
            drawn.append(block)
    bottom = TOP + ROW * len(tanks)
    step = max(1, round(whole / MOST_LABELS + 0.5))
    for day in range(0, whole + 1, step):
        when = start + dt.timedelta(days=day)
        draw.line(x(when), bottom, x(when), bottom + 4)
        draw.text(x(when), bottom + 16, f"{when.day} {when:%b}", size=10, anchor="middle")
    today = answer.at.date()
    draw.line(x(today), TOP - 8, x(today), bottom, stroke="dashed", weight=1.2)
    draw.text(x(today) + 2, TOP - 12, "today", size=9)
    draw.text(LEFT, bottom + 34, "grey: planned already; hatched: booked now; one below another: two at once", size=10)
    return draw.svg()
