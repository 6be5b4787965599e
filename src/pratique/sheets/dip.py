"""The dip sheet: what goes into the vessel, the acts in order with their minutes, when to stop and what then."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.dip import Dip, DipStep
from pratique.room.resolve import Room
from pratique.room.shown import shown_degrees
from pratique.sheets import words
from pratique.sheets.cautions import caution_cells
from pratique.sheets.dose import overridden_part, working_table
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table

PHASES = {"before": "before", "in": "in the vessel", "out": "out", "after": "after"}


def dip_sheet(room: Room, dip: Dip, at: dt.datetime, *, working: bool = False) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = [_head(room, dip, notes), *overridden_part(dip.overridden), _steps(dip)]
    parts.append(Lines(title="Watch", lines=tuple(Cell(text) for text in dip.watch), bullet="·"))
    stops = tuple(Cell(statement.text, "due") for statement in dip.stop)
    parts.append(Lines(title="Stop at once when", lines=stops, bullet="·"))
    parts.append(Lines(title="Then", lines=tuple(Cell(step.text) for step in dip.at_stop), bullet="1."))
    if dip.notes:
        parts.append(Lines(title="To know", lines=tuple(Cell(text) for text in dip.notes), bullet="·"))
    if working and dip.working:
        parts.append(working_table(dip.working))
    cautions = caution_cells(dip.cautions, dip.treatment.id, notes if working else None)
    parts.append(Lines(title="Cautions", lines=cautions, bullet="·"))
    title = f"Dip · {dip.label} · {dip.treatment.title} · {words.moment(at, at=at)}"
    return Sheet(title=title, parts=tuple(parts), footnotes=notes.lines(), dense=True)


def _head(room: Room, dip: Dip, notes: Footnotes) -> Facts:
    source = dip.sources[0] if dip.sources else None
    mark = notes.mark(words.citation(source)) if source is not None else ""
    pairs: list[tuple[str, Cell]] = []
    if dip.dose is not None:
        dose = dip.dose
        pairs.append(("add", Cell(f"{words.amount(dose.add, room)} of {dose.product}", "due")))
        level = words.value(dose.after.value, dose.after.unit)
        ends = words.spread(dose.after)
        aimed = words.value(dose.target.value, dose.target.unit)
        meant = "" if aimed == level else f"; {aimed} was aimed at"
        pairs.append(("level", Cell(f"{level}{mark}{f', {ends} at the worst' if ends else ''}{meant}")))
        mark = ""
    pairs += [
        (
            "time",
            Cell(f"{words.plain(dip.minutes.value)} min{_range(dip)}, never over {words.plain(dip.ceiling)} min{mark}"),
        ),
        ("vessel", Cell(f"{dip.vessel}, {words.volume(dip.water.value, room)}")),
        ("match", Cell(_match(room, dip))),
        ("aerate", Cell(f"{words.plain(dip.aerate_before)} min before")),
    ]
    return Facts(pairs=tuple(pairs))


def _range(dip: Dip) -> str:
    low, high = words.plain(dip.minutes.low), words.plain(dip.minutes.high)
    return "" if low == high else f" ({low}–{high} in use)"


def _match(room: Room, dip: Dip) -> str:
    match = dip.match
    if match.temperature is None:
        warmth = "temperature as in the tank, measured"
    else:
        within = shown_degrees(match.tolerance.value, room)
        warmth = f"{words.temperature(match.temperature.value, room)}, within {within}"
    salt = f"; {match.salinity}" if dip.dose is not None and match.salinity else ""
    return f"{warmth}; pH {match.ph.value:.1f}{salt}"


def _steps(dip: Dip) -> Table:
    rows = tuple((Cell("☐"), Cell(_when(step)), Cell(step.text)) for step in dip.steps)
    columns = (Column("", "id", lead=True), Column("When", "id", lead=True), Column("What", "prose"))
    return Table(title="In this order", columns=columns, rows=rows)


def _when(step: DipStep) -> str:
    return PHASES[step.phase] if step.minute is None else f"minute {words.plain(step.minute)}"
