"""What a water is like, on a page: what it is, what the food makes of it, what the mixed water on file can do."""

from __future__ import annotations

import datetime as dt

from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import Statement
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Part, Sheet, Table
from pratique.sheets.water_parts import acidity, care, duration, figure, salinity, share, water_page
from pratique.water.feeding import Outlook
from pratique.water.standing import Standing
from pratique.water.state import State, Stock


def water_sheet(room: Room, standing: Standing, at: dt.datetime, *, next_: str = "", working: bool = False) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = [_facts(room, standing)]
    if standing.outlook is not None:
        parts.append(_forecast(room, standing.state, standing.outlook, notes))
    if standing.stock:
        parts.append(_stock(room, standing.stock))
    return water_page(
        f"Water · {standing.state.tank}",
        at,
        parts,
        notes,
        to_know=standing.notes,
        cautions=state_care(standing),
        working=standing.working if working else None,
        next_=next_,
    )


def state_care(standing: Standing) -> tuple[Statement, ...]:
    """What goes with a forecast, and with a ration that was worked out."""
    if standing.outlook is None:
        return ()
    return (*(care("ration") if standing.by_ration else ()), *care("bare"))


def _facts(room: Room, standing: Standing) -> Facts:
    state = standing.state
    said = state.water.conditions
    temperature, ph = state.temperature, state.ph
    filter_ = {True: "on file", False: "none", None: "none on file"}[said.cycled]
    holds = ", ".join(holds.treatment + (f" at {holds.level.text}" if holds.level else "") for holds in said.holds)
    animals = ", ".join(f"{animal.count} {animal.label}" for animal in standing.animals)
    pairs: list[tuple[str, Cell]] = [
        ("net volume", Cell(figure(state.litres, room))),
        ("salinity", Cell(salinity(state.salinity)) if state.salinity is not None else EMPTY),
        ("temperature", Cell(words.temperature(temperature.value, room)) if temperature is not None else EMPTY),
        ("pH", Cell(acidity(ph.value)) if ph is not None else EMPTY),
        ("oxygen", Cell(_oxygen(state)) if state.oxygen is not None else EMPTY),
        ("living filter", Cell(filter_)),
        ("holds", Cell(holds) if holds else EMPTY),
        ("in it", Cell(animals) if animals else EMPTY),
    ]
    if len(state.water.tanks) > 1 or state.water.name != state.tank:
        pairs.insert(0, ("water", Cell(f"{state.water.name}: {', '.join(tank.name for tank in state.water.tanks)}")))
    return Facts(pairs=tuple(pairs))


def _oxygen(state: State) -> str:
    assert state.oxygen is not None
    text = f"{digits(state.oxygen)} mg/L at saturation, at sea level"
    read = state.water.conditions.oxygen
    return text + (f"; {digits(read.value)} on file is {read.value / state.oxygen * 100:.0f} %" if read else "")


def _forecast(room: Room, state: State, outlook: Outlook, notes: Footnotes) -> Facts:
    known = store.water_figures()
    seen = outlook.forecast
    pairs: list[tuple[str, Cell]] = [
        ("daily change", _daily(room, state, outlook)),
        ("food", Cell(f"{figure(outlook.food, room, 'a day')}")),
        ("rise", Cell(f"{figure(seen.per_day, room, 'a day')}, total ammonia as N")),
    ]
    for label, name, hours in (
        ("to correct", "ammonia_correct", seen.to_correct),
        ("harms", "ammonia_harms", seen.to_harm),
    ):
        limit = known.needed(name)
        text = f"{limit.value:g} mg/L un-ionised{notes.mark(words.citation(limit))}"
        pairs.append((label, Cell(f"after {duration(hours)}: {text}") if hours is not None else Cell("never")))
    return Facts(title="Ammonia from the food", pairs=tuple(pairs))


def _daily(room: Room, state: State, outlook: Outlook) -> Cell:
    part = outlook.forecast.daily_share
    if part == 0:
        return Cell("none: nothing is fed")
    if part is not None:
        return Cell(f"{words.volume(state.litres.value * part, room)}, {share(part)} of the water, holds it", "due")
    if outlook.likely_share is not None:
        likely = f"{words.volume(state.litres.value * outlook.likely_share, room)}, {share(outlook.likely_share)}"
        return Cell(f"{likely} of the water, holds the likely case; the worst takes {outlook.remedy}", "due")
    return Cell(f"one a day does not hold it; {outlook.remedy} does", "warning")


def _stock(room: Room, stock: tuple[Stock, ...]) -> Table:
    rows = tuple(
        (
            Cell(entry.written.container or "mixed water"),
            Cell(words.volume(entry.litres, room)),
            Cell(f"{entry.salinity:.1f} g/kg") if entry.salinity is not None else EMPTY,
            Cell(words.full_day(entry.written.made.date)) if entry.written.made else EMPTY,
            Cell(_can(entry)),
        )
        for entry in stock
    )
    columns = (
        Column("Container", "id", lead=True),
        Column("Litres" if room.written.room.units.volume == "L" else "Volume", "number"),
        Column("Salinity", "number"),
        Column("Made", "id"),
        Column("Can do", "prose"),
    )
    return Table(title="Mixed water on file", columns=columns, rows=rows)


def _can(entry: Stock) -> str:
    text = f"changes {share(entry.share)} of this water"
    if entry.share == 1:
        text = "changes all of this water"
    if entry.after is None:
        return text + "; its salinity or the tank's is not known"
    return text + f", which is then at {entry.after:.1f} g/kg"
