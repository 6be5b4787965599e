"""A dose ticked off the sheet is written down as one, as the sheet had it; a ticked test is asked for its reading."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pratique.checks.entries.day_sheets import DaySheets
from pratique.figure import digits
from pratique.history.fold import DOSING_ACTS
from pratique.logbook.amount import read_quantity
from pratique.logbook.entry import Common, Done, Dose, Reading, WaterChange
from pratique.logbook.quotes import shell_word
from pratique.logbook.scope import Scope
from pratique.problem import Problem
from pratique.schedule.day import stage_of
from pratique.schedule.model import Task
from pratique.schedule.track import NEAR

COPPER = "copper"


def with_doses(
    entries: Sequence[Common], sheets: DaySheets, scope: Scope
) -> tuple[tuple[Common, ...], list[Problem]]:
    """The entries, and after each ticked dose how much it was, unless that is written down as well.

    A line without an amount is no tick: nobody could say afterwards what is in the water (L757). A ticked test is
    kept, with a warning where no reading stands beside it (L758).
    """
    found: list[Common] = []
    problems: list[Problem] = []
    for entry in entries:
        found.append(entry)
        task = sheets.find(entry.task) if isinstance(entry, Done) else None
        if task is not None and _is_unread(task, entry.at, (*scope.log.entries, *entries)):
            problems.append(_what_was_read(task, entry.at))
        if task is None or task.act not in DOSING_ACTS or _is_written(task, entry.at, (*scope.log.entries, *entries)):
            continue
        if task.amount is None or not task.product or task.refused:
            problems.append(_how_much(task, entry.at))
        else:
            found.append(_as_dose(task, entry, sheets, scope))
    return tuple(found), problems


def told_back(typed: Sequence[Common], saved: Sequence[Common]) -> list[str]:
    """What a tick was taken to say, of each dose in `saved` that was not `typed`."""
    return [
        f"{entry.amount.text} of {entry.product} is written as given, as the sheet has it; if it was not so, "
        f"`pratique log correct {entry.id} dose {shell_word(entry.tank)} … of {entry.product}`, or "
        f"`pratique log withdraw {entry.id} because …`"
        for entry in saved
        if isinstance(entry, Dose) and not any(isinstance(other, Dose) and other.at == entry.at for other in typed)
    ]


def _is_written(task: Task, at: dt.datetime, entries: Sequence[Common]) -> bool:
    """True where a dose into that tank stands in the log at about that time."""
    doses = (entry for entry in entries if isinstance(entry, (Dose, WaterChange)) and entry.product)
    return any(dose.tank == task.tank and abs(dose.at - at) <= NEAR for dose in doses)


def _is_unread(task: Task, at: dt.datetime, entries: Sequence[Common]) -> bool:
    """True for a test of copper, whose readings are what the days are counted by, where none stands in the log."""
    if task.act != "test" or not task.text.startswith(COPPER):
        return False
    readings = (entry for entry in entries if isinstance(entry, Reading) and entry.what == COPPER)
    return not any(reading.tank == task.tank and abs(reading.at - at) <= NEAR for reading in readings)


def _what_was_read(task: Task, at: dt.datetime) -> Problem:
    return Problem(
        code="L758",
        severity="warning",
        message=f"copper in `{task.tank}` is ticked as tested, and no reading is written: it counts for nothing",
        note="the days in the band are counted by readings alone",
        hint=f"write what the kit showed: `pratique log reading {shell_word(task.tank)} copper … mg/L "
        f"--at {at:%Y-%m-%dT%H:%M}`",
    )


def _as_dose(task: Task, entry: Common, sheets: DaySheets, scope: Scope) -> Dose:
    assert task.amount is not None
    stage = stage_of(sheets.plan, task)
    return Dose(
        id=scope.ids.new(scope.written), at=entry.at, written=scope.written, by=entry.by, tank=task.tank,
        treatment=stage.treatment if stage is not None else None, product=task.product,
        amount=read_quantity(f"{digits(task.amount.value)} {task.amount.unit}", "amount"),
        into="new-water" if task.routine and not _is_changed(task, entry.at, scope) else "tank",
    )  # fmt: skip


def _is_changed(task: Task, at: dt.datetime, scope: Scope) -> bool:
    """True where the water of a change is in the tank by the log, so that its dose went into that."""
    changes = (change for change in scope.log.of(WaterChange) if change.tank == task.tank)
    return any(dt.timedelta(0) <= at - change.at <= NEAR * 4 for change in changes)


def _how_much(task: Task, at: dt.datetime) -> Problem:
    amount = f"{digits(task.amount.value)} {task.amount.unit}" if task.amount is not None else "… mL"
    bottle = task.product or "…"
    return Problem(
        code="L757",
        message=f"how much was given into `{task.tank}`? the line has no amount that a tick could stand for",
        note=f"the line: {task.text}",
        hint=f"write it: `pratique log dose {shell_word(task.tank)} {amount} of {bottle} --at {at:%Y-%m-%dT%H:%M}`; "
        "where nothing was given, `pratique log skipped` with the line and why",
    )
