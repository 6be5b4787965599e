"""The clocks of a plan as bars: what is counted is black, what is still to count is white, what is planned hatched."""

from __future__ import annotations

import datetime as dt

from pratique.dates import shown_day
from pratique.export.pictures.draw import Drawing
from pratique.schedule.calendar import elapsed_hours, plus_hours
from pratique.schedule.model import BatchPlan

WIDTH = 720.0
ROW, LEFT, RIGHT, TOP = 24.0, 170.0, 30.0, 34.0
MOST_LABELS = 7


def clocks_svg(plan: BatchPlan, at: dt.datetime) -> str:
    """One bar a stage of the batch, across its days; a line marks `at`."""
    start, end = plan.stages[0].start, max(stage.end for stage in plan.stages)
    hours = max(elapsed_hours(start, end), 1.0)
    height = TOP + ROW * len(plan.stages) + 46
    draw = Drawing(WIDTH, height, f"clocks of {plan.batch.name}")

    def x(moment: dt.datetime) -> float:
        return LEFT + min(max(elapsed_hours(start, moment) / hours, 0.0), 1.0) * (WIDTH - LEFT - RIGHT)

    draw.text(LEFT, 16, f"{plan.batch.name}: stages and clocks", size=13)
    for number, stage in enumerate(plan.stages):
        top = TOP + ROW * number
        draw.text(LEFT - 6, top + 14, stage.name, anchor="end")
        left, right = x(stage.start), x(stage.end)
        state = stage.state
        draw.box(left, top + 3, right - left, ROW - 9, fill="hatch" if state is None else "white")
        if state is not None and state.needed:
            draw.box(left, top + 3, (right - left) * min(state.counted / state.needed, 1.0), ROW - 9, fill="black")
    bottom = TOP + ROW * len(plan.stages)
    draw.line(LEFT, bottom, WIDTH - RIGHT, bottom)
    step = max(1, round(hours / 24 / MOST_LABELS + 0.5))
    for day in range(0, int(hours / 24) + 1, step):
        moment = plus_hours(start, 24.0 * day)
        draw.line(x(moment), bottom, x(moment), bottom + 4)
        draw.text(x(moment), bottom + 16, shown_day(moment), size=10, anchor="middle")
    if elapsed_hours(start, at) >= 0 and elapsed_hours(at, end) >= 0:
        draw.line(x(at), TOP - 4, x(at), bottom, stroke="dashed", weight=1.2)
        draw.text(x(at), TOP - 7, "now", size=10, anchor="middle")
    draw.text(LEFT, bottom + 34, "black: counted by the log; white: still to count; hatched: planned", size=10)
    return draw.svg()
