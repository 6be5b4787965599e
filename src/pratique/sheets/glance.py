"""Pictures made of plain letters, for a glance at a screen of any width: how far each clock is, where a level was.

    copper       [###.......] 9.5 of 30 d
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.clocks.levels import Band, Reading
from pratique.figure import digits, shown_unit
from pratique.history.fold import History
from pratique.schedule.calendar import instant
from pratique.schedule.courses import LevelCourse, level_courses
from pratique.schedule.model import BatchPlan, Stage
from pratique.sheets import words
from pratique.sheets.rows import Cell, Lines, Part

NAME, BAR = 12, 10
"""Letters of a stage's name and of its bar."""
MOST_DAYS = 28
ROWS = ("above", "upper", "lower", "below")
KEY = "o in band, ? its error reaches below, ! outside, x a kit that does not count"


def glance_parts(plan: BatchPlan, history: History) -> Iterator[Part]:
    """The clocks as bars, then the level of each hold that was read; nothing before the batch has come."""
    if not plan.begun or not plan.stages:
        return
    bars = tuple(Cell(_bar(stage)) for stage in plan.stages)
    yield Lines(title=f"{plan.batch.name} · how far each clock is", lines=bars, drawn=True)
    for course in level_courses(plan, history):
        title = f"{course.title}, {shown_unit(course.band.unit)}, a column a day"
        yield Lines(title=title, lines=tuple(map(Cell, _level(course))), drawn=True)


def _bar(stage: Stage) -> str:
    state = stage.state
    if state is None:
        share, said = 0.0, words.day(stage.start.date())
    elif state.is_finished:
        share, said = 1.0, "full"
    elif state.kind == "transfers" and state.steps_needed:
        share, said = state.steps / state.steps_needed, f"move {state.steps} of {state.steps_needed}"
    elif state.needed:
        share, said = state.counted / state.needed, f"{state.counted / 24:.1f} of {state.needed / 24:g} d"
    else:
        share, said = 0.0, "no date"
    marks = int(min(share, 1.0) * BAR)  # a bar is full when the clock is, and not before
    return f"{stage.name[:NAME]:<{NAME}} [{'#' * marks}{'.' * (BAR - marks)}] {said}"


def _level(course: LevelCourse) -> Iterator[str]:
    """Four rows of marks, parted by the ends of the band; the last reading of a day stands for it."""
    days = _days(course)
    by_day = {_local(reading.at, course): reading for reading in sorted(course.readings, key=lambda r: instant(r.at))}
    labels = (digits(course.band.ceiling), digits(course.band.floor))
    wide = max(len(label) for label in (*labels, "above", "below"))
    for row in ROWS:
        marks = "".join(_mark(by_day[day], course.band, row) if day in by_day else " " for day in days)
        yield f"{row if row in ('above', 'below') else '':>{wide}} |{marks}".rstrip()
        if row in ("above", "lower"):
            yield f"{labels[row == 'lower']:>{wide}} +{'-' * len(days)}"
    yield f"{'':>{wide}}  {words.day(days[0])} to {words.day(days[-1])}"
    yield KEY


def _days(course: LevelCourse) -> list[dt.date]:
    first, last = _local(course.start, course), _local(course.end, course)
    whole = (last - first).days + 1
    skipped = max(whole - MOST_DAYS, 0)
    return [first + dt.timedelta(days=number) for number in range(skipped, whole)]


def _local(moment: dt.datetime, course: LevelCourse) -> dt.date:
    return moment.astimezone(course.start.tzinfo).date()


def _mark(reading: Reading, band: Band, row: str) -> str:
    """The mark of a reading in the row it belongs to, and a space in the others."""
    if row != _row(reading.value, band):
        return " "
    if not reading.suits:
        return "x"
    if row in ("above", "below"):
        return "!"
    return "?" if reading.low < band.floor else "o"


def _row(value: float, band: Band) -> str:
    if value > band.ceiling:
        return "above"
    if value < band.floor:
        return "below"
    return "upper" if value >= (band.floor + band.ceiling) / 2 else "lower"
