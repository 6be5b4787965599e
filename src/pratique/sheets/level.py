"""What is left of a medicine: the level now, how it falls and until when it holds, then the next dose from it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable

from pratique.dosing.evidence.course import Course
from pratique.dosing.evidence.curves import Curves, Leaving, Settling
from pratique.elapsed import hours_between, plus_hours
from pratique.figure import Figure
from pratique.problem import Refusal
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.dose import dose_parts
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table
from pratique.sheets.spread import days, lasting_line

PER_DAY = 24.0


def level_sheet(room: Room, course: Course, at: dt.datetime, *, working: bool = False) -> Sheet:
    """The page of `dose --readings`."""
    notes = Footnotes()
    parts: list[Part] = [_head(course, at, notes), _readings(course, at)]
    said = said_lines(course, at)
    if said:
        parts.append(Lines(title="What the readings say", lines=tuple(map(Cell, said)), bullet="·"))
    parts += next_dose(room, course, at, notes, working=working)
    return Sheet(
        title=f"Level · {course.request.tank} · {course.request.treatment.title} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
    )


def _head(course: Course, at: dt.datetime, notes: Footnotes) -> Facts:
    pairs = [("level now", Cell(_ranged(course.now, course.unit), "due")), ("known by", Cell(_basis(course, notes)))]
    if course.aim is not None:
        band = course.aim.band
        if band.low < band.high:
            pairs.append(("band", Cell(f"{words.band(band.low, band.high, band.unit)}; {_standing(course)}")))
    if course.floor is not None and course.leaves is not None:
        pairs.append((f"under {words.plain(course.floor)}", _leaving(course, course.leaves, at)))
    if course.curves is not None:
        half = course.curves.half_life()
        pairs.append(("half gone in", Cell(_hours(half)) if half is not None else Cell("no loss is certain yet")))
        if half is not None and course.curves.chosen.model == "first-order":
            pairs.append(("loss", Cell(_loss(course.curves.chosen.rate))))
        elif half is not None:
            rate = course.curves.chosen.rate.times(PER_DAY, course.unit)
            pairs.append(("loss", Cell(f"{_ranged(rate, course.unit)}, each day")))
    lasts = lasting_line(course.request.treatment, notes)
    pairs.append(("published", Cell(lasts or "no figure is on file for how long it lasts: only readings tell")))
    return Facts(pairs=tuple(pairs))


def _ranged(figure: Figure, unit: str) -> str:
    ends = words.spread(figure)
    return words.value(figure.value, unit) + (f", {ends} at the worst" if ends else "")


def _basis(course: Course, notes: Footnotes) -> str:
    count = words.plural(len(course.readings), "reading")
    if course.basis == "one reading":
        return f"{count}, taken now"
    if course.basis == "published":
        mark = notes.mark(words.citation(course.figure)) if course.figure is not None else ""
        return f"the published time{mark} after {count}: no rate of this water; the middle is a straight line (D)"
    return f"{count} in this water, the loss fitted to them"


def _standing(course: Course) -> str:
    assert course.aim is not None
    band, now = course.aim.band, course.now
    if now.value < band.low:
        return "it is under the band" if now.high < band.low else "it is under the band, or just inside"
    if now.value > band.high:
        return "it is over the band" if now.low > band.high else "it is over the band, or just inside"
    sure = band.low <= now.low and now.high <= band.high
    return "it is inside" if sure else "it is inside, but not for certain"


def _leaving(course: Course, leaves: Leaving, at: dt.datetime) -> Cell:
    if leaves.began_below:
        return Cell("from the first reading on", "warning")
    start = course.readings[0].at

    def shown(hours: float, way: Callable[[float], float] = math.floor) -> str:
        return words.moment(_whole_hour(plus_hours(start, hours), way), at=at)

    if leaves.middle is None and leaves.earliest is None:
        return Cell("not within ten weeks")
    if leaves.middle is None:
        assert leaves.earliest is not None
        return Cell(f"from {shown(leaves.earliest)} at the earliest; whether at all cannot be told", "warning")
    until = shown(leaves.latest, math.ceil) if leaves.latest is not None else "a day that cannot be told"
    earliest = leaves.earliest if leaves.earliest is not None else leaves.middle
    return Cell(f"about {shown(leaves.middle, round)}; from {shown(earliest)} to {until} at the worst", "due")


def _whole_hour(when: dt.datetime, way: Callable[[float], float]) -> dt.datetime:
    """No course of readings is known to the minute: the hour before, after or next to a moment."""
    past = when.minute + when.second / 60
    return plus_hours(when, way(past / 60) - past / 60)


def _hours(figure: Figure) -> str:
    unit, size = ("d", PER_DAY) if figure.value >= 48 else ("h", 1.0)
    return f"{words.plain(figure.value / size)} {unit}, {days(figure.low, figure.high)} at the worst"


def _loss(rate: Figure) -> str:
    """A share an hour as per cent a day."""
    value, low, high = (-100 * math.expm1(-end * PER_DAY) for end in (rate.value, rate.low, rate.high))
    return f"{words.plain(value)} % of what is left each day, {words.plain(low)}–{words.plain(high)} % at the worst"


def _readings(course: Course, at: dt.datetime) -> Table:
    curves = course.curves
    rows = []
    for index, read in enumerate(course.readings):
        curve = curves.chosen.at(curves.points[index].hours) if curves is not None else None
        rows.append(
            (
                Cell(words.moment(read.at, at=at)),
                Cell(words.value(read.level.value, read.level.unit)),
                Cell(words.spread(read.level) or "—"),
                Cell(words.value(curve.value, curve.unit)) if curve is not None else EMPTY,
            )
        )
    columns = (
        Column("When", "id", lead=True),
        Column("Read", "number"),
        Column("Range", "number"),
        Column("Curve", "number"),
    )
    return Table(title="Readings", columns=columns, rows=tuple(rows))


def said_lines(course: Course, at: dt.datetime) -> list[str]:
    """Which loss the readings speak for, whether that can be told, and what one more reading would settle."""
    curves = course.curves
    if curves is None:
        return []
    said = [_model(course), "they hold for a stretch in which nothing was added and no water was changed"]
    hours = hours_between(course.readings[0].at, at)
    settling = curves.settling(hours)
    if settling is not None:
        said.append(_settles(course, settling, at))
    elif curves.shows_a_rise:
        said.append("one more reading now would tell whether it goes on rising")
    elif not curves.shows_a_loss:
        said.append("no single reading within ten weeks would settle whether anything is lost")
    elif curves.comparison is not None and not curves.comparison.told:
        said.append("no single reading within ten weeks would tell the two apart")
    else:
        said += _read_again(course, at)
    last = hours_between(course.readings[-1].at, at)
    if last > hours_between(course.readings[0].at, course.readings[-1].at):
        said.append(f"the level now is foretold over {words.plain(last)} h, longer than the readings span: read again")
    if course.lasting.again is not None:
        said.append("the rate is that of this dose: the next one is lost faster")
    return said


def _model(course: Course) -> str:
    curves = course.curves
    assert curves is not None
    comparison = curves.comparison
    if curves.shows_a_rise:
        return "the readings rise, so no loss can be told from them"
    if comparison is None:
        if not curves.possible:
            return "no loss of one share an hour passes within all errors: something else happened in between"
        return f"a loss of one share an hour (first order) passes within all errors; {_steady(curves)}"
    if comparison.told:
        name = "one share an hour (first order)" if comparison.first_order.possible else "so much an hour (linear)"
        return f"only a loss of {name} passes within all errors: that is told"
    if not comparison.first_order.possible:
        return "neither a loss of one share an hour nor of so much an hour passes within all errors"
    nearer = "first order" if comparison.better == "first-order" else "linear"
    return (
        "a loss of one share an hour (first order) and of so much an hour (linear) both pass within all errors: which "
        f"it is cannot be told; {nearer} lies nearer, and the ranges are those of both"
    )


def _steady(curves: Curves) -> str:
    if curves.steady_passes:
        return "a steady level passes too, so whether anything is lost cannot be told"
    if curves.shows_a_loss:
        return "a steady level does not pass: the loss is certain"
    return "a steady level does not pass, but the loss is too unsure to foretell by"


def _settles(course: Course, settling: Settling, at: dt.datetime) -> str:
    when = words.moment(_whole_hour(plus_hours(course.readings[0].at, settling.hours), math.ceil), at=at)
    one, other = (words.value(level, course.unit) for level in (settling.one, settling.other))
    if settling.question == "model":
        return f"one more reading {when} would tell: about {one} if first order, about {other} if linear"
    return f"one more reading {when} would tell: about {one} if nothing is lost, about {other} if it goes on as drawn"


def _read_again(course: Course, at: dt.datetime) -> list[str]:
    leaves = course.leaves
    if leaves is None or leaves.earliest is None:
        return []
    moment = plus_hours(course.readings[0].at, leaves.earliest)
    if moment.astimezone(dt.UTC) <= at.astimezone(dt.UTC):
        return ["one more reading now would tell whether it is still in the band"]
    by = words.moment(_whole_hour(moment, math.floor), at=at)
    return [f"one more reading by {by} would tell more: from then on it may be too low"]


def next_dose(room: Room, course: Course, at: dt.datetime, notes: Footnotes, *, working: bool) -> list[Part]:
    """The dose from what is left, or the codes of what speaks against one."""
    answer = course.next_dose
    if isinstance(answer, Refusal):
        codes = ", ".join(dict.fromkeys(problem.code for problem in answer.problems))
        return [Facts(title="The next dose", pairs=(("add", words.refused(codes)),))]
    return dose_parts(room, answer, at, notes, working=working, title="The next dose, from what is left")
