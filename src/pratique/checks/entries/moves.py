"""A move or an arrival ticked off the sheet is written down as one, so that the log knows where the fish are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pratique.checks.entries.day_sheets import DaySheets
from pratique.logbook.entry import Arrival, Common, Done, Move
from pratique.logbook.scope import Scope

MOVES = ("transfer", "move", "release")


def with_moves(entries: Sequence[Common], sheets: DaySheets, scope: Scope) -> tuple[Common, ...]:
    """The entries, and after each ticked move or arrival what it did, unless that is written down as well."""
    said = {(entry.batch, entry.to) for entry in entries if isinstance(entry, Move)}
    said |= {(entry.batch, entry.tank) for entry in entries if isinstance(entry, Arrival)}
    found: list[Common] = []
    for entry in entries:
        found.append(entry)
        if isinstance(entry, Done):
            found += _moved(entry, sheets, scope, said)
    return tuple(found)


def _moved(entry: Done, sheets: DaySheets, scope: Scope, said: set[tuple[str | None, str]]) -> Iterator[Common]:
    task = sheets.find(entry.task)
    if task is None or not task.batch or (task.batch, task.tank) in said:
        return
    id_, by = scope.ids.new(scope.written), entry.by
    if task.act in MOVES:
        yield Move(id=id_, at=entry.at, written=scope.written, by=by, batch=task.batch, to=task.tank)
    elif task.act == "arrive" and not any(a.batch == task.batch for a in scope.log.of(Arrival)):
        yield Arrival(id=id_, at=entry.at, written=scope.written, by=by, batch=task.batch, tank=task.tank)
