"""A page in the units of the keeper: what sentences and sums have in litres or degrees C gets theirs before it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from pratique.dosing.dip import Dip
from pratique.problem import Problem
from pratique.room.resolve import Room
from pratique.room.shown import in_own_units
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet


def sheet_in_own_units(sheet: Sheet, room: Room) -> Sheet:
    """Footnotes stay as they are: they say where in a source a figure stands."""
    return replace(sheet, parts=tuple(_part(part, room) for part in sheet.parts))


def problem_in_own_units(problem: Problem, room: Room) -> Problem:
    message, note, hint = (in_own_units(text, room) for text in (problem.message, problem.note, problem.hint))
    return replace(problem, message=message, note=note, hint=hint)


def dip_in_own_units(dip: Dip, room: Room) -> Dip:
    """What the timer at the tank says of a dip."""
    said = partial(in_own_units, room=room)
    steps, at_stop = (tuple(replace(s, text=said(s.text)) for s in group) for group in (dip.steps, dip.at_stop))
    problems = tuple(problem_in_own_units(problem, room) for problem in dip.problems)
    return replace(dip, steps=steps, at_stop=at_stop, problems=problems, notes=tuple(map(said, dip.notes)))


def _part(part: Part, room: Room) -> Part:
    if isinstance(part, Facts):
        return replace(part, pairs=tuple((name, _cell(cell, room)) for name, cell in part.pairs))
    if isinstance(part, Lines):
        return part if part.drawn else replace(part, lines=_cells(part.lines, room))
    total = _cells(part.total, room) if part.total is not None else None
    return part if part.drawn else replace(part, rows=tuple(_cells(row, room) for row in part.rows), total=total)


def _cells(cells: tuple[Cell, ...], room: Room) -> tuple[Cell, ...]:
    return tuple(_cell(cell, room) for cell in cells)


def _cell(cell: Cell, room: Room) -> Cell:
    return replace(cell, text=in_own_units(cell.text, room))
