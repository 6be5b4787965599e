"""A disinfection on a page: people first, then what goes in, the acts with their hours, what it reaches."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.cleaning.model import Cleaning, CleanStep
from pratique.knowledge.model import Statement
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.dose import overridden_part, working_table
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table


def cleaning_sheet(room: Room, cleaning: Cleaning, at: dt.datetime, *, next_: str, working: bool = False) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = [_head(room, cleaning, at, notes), *overridden_part(cleaning.overridden)]
    people = len(cleaning.treatment.people)
    if people:
        parts.append(_said("People first", cleaning.cautions[:people], notes, working))
    parts.append(_steps(cleaning, at, notes))
    if cleaning.agents:
        parts.append(_agents(cleaning, notes))
    if cleaning.notes:
        parts.append(Lines(title="To know", lines=tuple(Cell(note) for note in cleaning.notes), bullet="·"))
    if working and cleaning.working:
        parts.append(working_table(cleaning.working))
    parts.append(_said("Cautions", cleaning.cautions[people:], notes, working))
    where = f"{cleaning.what} in {cleaning.where}" if cleaning.where else cleaning.what
    title = f"Clean · {where} · {cleaning.treatment.title} · {words.moment(at, at=at)}"
    return Sheet(title=title, parts=tuple(parts), footnotes=notes.lines(), next="" if working else next_)


def _said(title: str, statements: tuple[Statement, ...], notes: Footnotes, working: bool) -> Lines:
    lines = (Cell(entry.text + (notes.mark(words.citation(entry)) if working else "")) for entry in statements)
    return Lines(title=title, lines=tuple(lines), bullet="·")


def _head(room: Room, cleaning: Cleaning, at: dt.datetime, notes: Footnotes) -> Facts:
    pairs: list[tuple[str, Cell]] = []
    if cleaning.add is not None:
        pairs.append(
            ("add", Cell(f"{words.value(cleaning.add.value, cleaning.add.unit)} of {cleaning.product}", "due"))
        )
        pairs.append(("product", Cell(f"{cleaning.product}, {room.written.shelf[cleaning.product].strength.text}")))
    if cleaning.water is not None:
        ends = words.spread(cleaning.water)
        worst = f", {ends} L at the worst" if ends else ""
        pairs.append(("water", Cell(f"{words.volume(cleaning.water.value, room)}{worst}")))
    if cleaning.level is not None:
        level = words.value(cleaning.level.value, cleaning.level.unit)
        mark = notes.mark(words.citation(cleaning.sources[0])) if cleaning.hours is not None else ""
        pairs.append(("chlorine", Cell(f"{level}{_after(cleaning)}{mark}")))
    if cleaning.hours is not None:
        mark = notes.mark(words.citation(cleaning.hours))
        pairs.append(("time", Cell(f"{words.plain(cleaning.hours.value)} h at the least{mark}")))
    if cleaning.ready > cleaning.at:
        pairs.append(("in use again", Cell(f"{words.moment(cleaning.ready, at=at)} at the earliest")))
    return Facts(pairs=tuple(pairs))


def _after(cleaning: Cleaning) -> str:
    """What bleach reaches; thiosulfate takes it all away."""
    assert cleaning.after is not None
    if cleaning.after.value == 0:
        return ", to be taken away"
    ends = words.spread(cleaning.after)
    return f", {ends} reached at the worst" if ends else ""


def _steps(cleaning: Cleaning, at: dt.datetime, notes: Footnotes) -> Table:
    timed = next((index for index, step in enumerate(cleaning.steps) if step.at is not None), 0)
    rows = tuple(
        (Cell("☐"), Cell(_when(step, at, "first" if index < timed else "then")), Cell(step.text + _mark(step, notes)))
        for index, step in enumerate(cleaning.steps)
    )
    columns = (Column("", "id", lead=True), Column("When", "id", lead=True), Column("What", "prose"))
    return Table(title="In this order", columns=columns, rows=rows)


def _mark(step: CleanStep, notes: Footnotes) -> str:
    said = step.by
    return notes.mark(words.source_line(said.source, said.where, said.confidence))


def _when(step: CleanStep, at: dt.datetime, otherwise: str) -> str:
    return words.moment(step.at, at=at) if step.at is not None else otherwise


def _agents(cleaning: Cleaning, notes: Footnotes) -> Table:
    rows = tuple(
        (
            Cell(agent.name),
            Cell(agent.what),
            Cell(words.band(agent.level.low, agent.level.high, agent.level.unit)),
            Cell(f"{words.plain(agent.times)} × that", "" if agent.times >= 1 else "warning"),
            Cell((agent.level.note or "—") + notes.mark(words.citation(agent.level))),
        )
        for agent in cleaning.agents
    )
    columns = (
        Column("Agent", "id", lead=True),
        Column("Known", "id", lead=True),
        Column("At", "number"),
        Column("Here", "number"),
        Column("", "prose"),
    )
    return Table(title="What is known of the agents in chlorine", columns=columns, rows=rows)
