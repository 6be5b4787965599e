"""Numbers and moments as a person reads them, in the units the room prints."""

from __future__ import annotations

from pratique.dates import full_day as full_day
from pratique.dates import full_moment as full_moment
from pratique.dates import shown_day, shown_moment
from pratique.dosing.draws import shown_mL
from pratique.figure import Figure, digits, shown_unit
from pratique.figure import plain as plain
from pratique.knowledge import store
from pratique.knowledge.model import Cited
from pratique.problem import plural as plural
from pratique.quantity import from_canonical
from pratique.room.resolve import Room
from pratique.room.shown import GALLONS, shown_warmth
from pratique.sheets.rows import Cell

day, moment = shown_day, shown_moment

def amount(figure: Figure | None, room: Room) -> str:
    """A value with its unit: litres in the room's own unit too where that is not the litre.

    mL to be measured are rounded down to a mark of the room's syringe that suits them best.
    """
    if figure is None:
        return "—"
    if figure.unit == "L":
        return volume(figure.value, room)
    if figure.unit == "mL":
        return shown_mL(room, figure.value)
    return value(figure.value, figure.unit)


def value(number: float, unit: str) -> str:
    return f"{digits(number)} {shown_unit(unit)}".rstrip()


def volume(litres: float, room: Room) -> str:
    own = room.written.room.units.volume
    if own == "L":
        return f"{_litres(litres)} L"
    return f"{digits(from_canonical(litres, own, 'volume'))} {GALLONS[own]} ({_litres(litres)} L)"


def _litres(number: float) -> str:
    return f"{number:.1f}" if number < 1000 else f"{number:.0f}"


def temperature(celsius: float, room: Room) -> str:
    return shown_warmth(celsius, room)


def spread(figure: Figure) -> str:
    """`0.168–0.182`; empty where the ends are one."""
    low, high = digits(figure.low), digits(figure.high)
    return "" if low == high else f"{low}–{high}"


def band(low: float, high: float, unit: str) -> str:
    shown = shown_unit(unit)
    return f"{digits(low)}–{digits(high)} {shown}" if low != high else f"{digits(low)} {shown}"


def citation(known: Cited) -> str:
    """A footnote: who, where, how sure."""
    return source_line(known.source, known.where, known.confidence)


def source_line(key: str, where: str, confidence: str) -> str:
    if key == "OWN":
        return f"the keeper's own value: {where}"
    if key == "PRESCRIBED":
        return f"prescribed {where}"
    plain = {
        "COMMON": "common practice, no published source",
        "MEMORY": "from memory, unverified",
        "DERIVED": "derived here",
        "TESTCHEM": "test chemistry, common practice",
    }
    name = plain.get(key, key)
    return f"{name}: {where} ({confidence})"


def sign_names(signs: tuple[str, ...]) -> str:
    known = store.signs()
    return ", ".join(known[sign].title if sign in known else sign for sign in signs)


def refused(code: str) -> Cell:
    return Cell(f"— see {code}", "error")
