"""Net volume by the rise that an addition made: found beside stated, what explains it, what would settle it."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.evidence.volume import Rise
from pratique.elapsed import plus_hours
from pratique.figure import Figure, shown_unit
from pratique.logbook.quotes import shell_word
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Sheet, Table

CAUSES = {
    "agrees": "the stated volume without any loss passes within all errors",
    "volume": "another volume explains the readings; a loss in the stated one does not",
    "loss": "a loss explains the readings; another volume does not, since the level goes on falling",
    "either": "another volume and a loss both pass within all errors: which it is cannot be told yet",
    "neither": "neither another volume nor a loss alone explains the readings: both at once may, or something else did",
}


def volume_sheet(room: Room, rise: Rise, at: dt.datetime) -> Sheet:
    """The page of `dose --added`."""
    request = rise.request
    last = rise.after[-1].level
    reading = f"{words.plain(last.value)} {last.unit}"
    return Sheet(
        title=f"Volume by the rise · {request.tank} · {request.treatment.title} · {words.moment(at, at=at)}",
        parts=(
            _head(room, rise),
            _readings(rise, at),
            Lines(title="What it means", lines=_meaning(rise, at), bullet="·"),
        ),
        next=f"pratique dose {shell_word(request.tank)} {request.treatment.id} --reading '{reading}'",
    )


def _litres(figure: Figure, room: Room) -> str:
    ends = words.spread(figure)
    return words.volume(figure.value, room) + (f", {ends} L at the worst" if ends else "")


def _ranged(figure: Figure) -> str:
    ends = words.spread(figure)
    return words.value(figure.value, figure.unit) + (f", {ends} at the worst" if ends else "")


def _head(room: Room, rise: Rise) -> Facts:
    check = rise.check
    way = "more" if check.gap > 0 else "less"
    meets = "the two ranges meet" if check.agrees else "the two ranges do not meet"
    gap = f"{abs(check.gap) * 100:.1f} % {way} than stated; {meets}"
    added = words.value(rise.added.amount.value, rise.added.amount.unit)
    active = words.value(rise.active.value, rise.active.unit.replace("uL", "µL"))
    return Facts(
        pairs=(
            ("added", Cell(f"{added} of {rise.added.product} = {active} of the active")),
            ("before it", Cell(_ranged(rise.before.level))),
            ("should be", Cell(f"{_ranged(rise.explanation.reckoned)}, by the stated volume")),
            ("by the rise", Cell(_litres(check.found, room), "due")),
            ("stated", Cell(_litres(check.stated, room))),
            ("gap", Cell(gap, "" if check.agrees else "warning")),
        )
    )


def _readings(rise: Rise, at: dt.datetime) -> Table:
    loss = rise.explanation.loss
    rows = []
    for hours, read in zip(rise.hours, rise.after, strict=True):
        curve = loss.at(hours) if loss is not None else None
        unit = read.level.unit
        rows.append(
            (
                Cell(words.moment(read.at, at=at)),
                Cell(f"{words.plain(hours)} h"),
                Cell(words.value(read.level.value, unit)),
                Cell(words.spread(read.level) or "—"),
                Cell(words.value(curve.value, unit)) if curve is not None else EMPTY,
            )
        )
    columns = (
        Column("When", "id", lead=True),
        Column("After it", "number"),
        Column("Read", "number"),
        Column("Range", "number"),
        Column("If a loss", "number"),
    )
    return Table(title="Readings after the addition", columns=columns, rows=tuple(rows))


def _meaning(rise: Rise, at: dt.datetime) -> tuple[Cell, ...]:
    explanation = rise.explanation
    said = [CAUSES[explanation.cause]]
    loss = explanation.loss
    half = loss.half_life() if loss is not None else None
    if explanation.cause in ("loss", "either") and half is not None:
        said.append(f"were it a loss, half would be gone in {words.plain(half.value)} h")
    if explanation.cause == "either":
        said.append(_settles(rise, at))
    if explanation.cause == "neither":
        said.append("look for an addition or a change that was not counted, or a reading that slipped")
    if rise.check.gap < 0 and explanation.cause != "agrees":
        said.append("no loss makes a level higher: less water, a stronger bottle or an uncounted addition does")
    return tuple(map(Cell, said))


def _settles(rise: Rise, at: dt.datetime) -> str:
    explanation = rise.explanation
    if explanation.settled_at is None or explanation.loss is None:
        return "no single reading within ten weeks would settle it: measure the water with a jug"
    hours = explanation.settled_at
    steady = sum(read.level.value for read in rise.after) / len(rise.after)
    unit = shown_unit(rise.before.level.unit)
    falling = explanation.loss.at(hours).value
    return (
        f"one more reading {words.moment(plus_hours(rise.added.at, hours), at=at)} would settle it: about "
        f"{words.value(steady, unit)} if it is the volume, about {words.value(falling, unit)} if it is a loss"
    )
