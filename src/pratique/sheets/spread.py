"""How sure a dose is, on the page: the share inside the band, what to measure better, how long it lasts."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.dose import Dose
from pratique.dosing.evidence.lasting import lasting_of
from pratique.dosing.spread import Gain, better_first, inside, is_too_wide
from pratique.dosing.syringes import measuring_lines
from pratique.knowledge.model import Treatment
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import Cell, Column, Footnotes, Lines, Part, Table

NAMES = {"volume": "the water", "strength": "the bottle", "kit": "the level before", "syringe": "the syringe"}


def after_range(dose: Dose) -> str:
    """The worst ends of the level after a dose, and how much of that lies inside the band."""
    share, ends = inside(dose), dose.after
    if ends.is_exact:
        return ""
    text = f", {words.band(ends.low, ends.high, '').rstrip()} at the worst"
    if share is None:
        return text
    return text + ("; all of it inside the band" if share == 1 else f"; {percent(share)} of that inside the band")


def floor_line(dose: Dose) -> Iterator[str]:
    """Why so much of the range misses the band where the level aimed for is its lowest, as the only one in a source."""
    share = inside(dose)
    if dose.target.value > dose.band.low or share is None or share == 1:
        return
    yield (
        "the level aimed for is the lowest that counts: with a little more water than on file, or a weaker bottle, it "
        f"is missed. Read before you count a day; where it reads under "
        f"{words.value(dose.band.low, dose.band.unit)}, `--reading` tops it up, never over "
        f"{words.value(dose.band.high, dose.band.unit)}"
    )


def percent(share: float) -> str:
    """A share below 1 never reads as all, one above 0 never as none."""
    number = min(max(round(share * 100), 1 if share > 0 else 0), 99 if share < 1 else 100)
    return f"{number} %"


def spread_parts(room: Room, dose: Dose, notes: Footnotes) -> list[Part]:
    """What cannot be measured, and what to measure better, only where there is something to be gained."""
    parts: list[Part] = []
    lines = [
        Cell(text + (notes.mark(words.citation(source)) if source is not None else ""))
        for text, source in measuring_lines(dose, room)
    ]
    if lines:
        parts.append(Lines(title="To measure at all", lines=tuple(lines), bullet="·"))
    gains = better_first(dose, room) if is_too_wide(dose) else ()
    if gains:
        parts.append(_better(gains))
    return parts


def _better(gains: tuple[Gain, ...]) -> Table:
    rows = tuple(
        (
            Cell(NAMES[gain.what]),
            Cell(words.value(gain.width.value, gain.width.unit)),
            Cell(gain.known),
            Cell(gain.advice),
        )
        for gain in gains
    )
    columns = (
        Column("What", "id", lead=True),
        Column("Spreads it by", "number"),
        Column("Known as", "text"),
        Column("To do", "prose"),
    )
    return Table(title="To measure better, the most telling first", columns=columns, rows=rows)


def lasting_line(treatment: Treatment, notes: Footnotes) -> str:
    """What is published on how long a medicine stays in the water; empty where nothing is."""
    lasting = lasting_of(treatment)
    if lasting.first is not None:
        first = f"gone after {days(lasting.first.low, lasting.first.high)} by a published figure"
        first += notes.mark(words.citation(lasting.first))
        if lasting.again is None:
            return first
        again = days(lasting.again.low, lasting.again.high)
        return f"{first}; after {again} where it was dosed before{notes.mark(words.citation(lasting.again))}"
    if lasting.said is not None:
        return lasting.said.text + notes.mark(words.citation(lasting.said))
    return ""


def days(low: float, high: float) -> str:
    """A stretch of hours as days, or as hours where it is short."""
    unit, size = ("d", 24.0) if high >= 48 else ("h", 1.0)
    low, high = low / size, high / size
    return f"{words.plain(low)}–{words.plain(high)} {unit}" if low != high else f"{words.plain(low)} {unit}"
