"""`--csv FILE` and `--calendar FILE`: records and tasks into a file that was named, and a line that says so."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from pratique.problem import Problem

if TYPE_CHECKING:
    from pratique.cli.session import Session
    from pratique.export.calendar import Calendar


def write_files(
    session: Session, csv: Callable[[], str] | None, calendar: Callable[[str], Calendar] | None
) -> None:
    """What was asked for, each into its file; the end (exit 2) where this answer has no such records."""
    output = session.output
    if (output.csv is not None and csv is None) or (output.calendar is not None and calendar is None):
        option = "--csv" if output.csv is not None and csv is None else "--calendar"
        raise click.UsageError(f"{option} has no part in this form of the answer")
    if output.csv is not None and csv is not None:
        _write_csv(session, output.csv, csv())
    if output.calendar is not None and calendar is not None:
        _write_calendar(session, output.calendar, calendar)


def _write_csv(session: Session, name: str, text: str) -> None:
    from pratique.export.csv import is_ours

    rows = text.count("\r\n") - 1
    _write(session, name, text, is_ours, "a table", f"{rows} {'record' if rows == 1 else 'records'}")


def _write_calendar(session: Session, name: str, make: Callable[[str], Calendar]) -> None:
    from pratique.export.calendar import NotACalendarError, is_ours

    try:
        made = make(_earlier(name, is_ours))
    except NotACalendarError:
        problem = Problem(
            code="F131",
            message=f"`{name}` was begun by pratique and can no longer be read as a calendar",
            hint="move it away, and write the calendar anew; entries imported before keep their place by their id",
        )
        session.stop_writing(problem)
    parts = {"new": made.new, "changed": made.moved, "as before": made.same, "cancelled": made.cancelled}
    said = ", ".join(f"{count} {what}" for what, count in parts.items() if count) or "no task"
    _write(session, name, made.text, is_ours, "a calendar", said)


def _earlier(name: str, is_ours: Callable[[str], bool]) -> str:
    """The text of the calendar that is written anew; empty where there is none of ours."""
    if name == "-":
        return ""
    try:
        if not Path(name).is_file():  # a pipe or a device would wait or go on for ever
            return ""
        with Path(name).open("rb") as file:
            begins = file.read(4096)
            if not is_ours(begins.decode("utf-8", "replace")):
                return ""
            return (begins + file.read()).decode("utf-8", "replace")
    except OSError:
        return ""


def _write(session: Session, name: str, text: str, is_ours: Callable[[str], bool], what: str, said: str) -> None:
    from pratique.export.own_file import write_own

    if name == "-":
        click.echo(text.encode("utf-8"), nl=False)
        return
    problem = write_own(Path(name), text, is_ours=is_ours, what=what)
    if problem is not None:
        session.stop_writing(problem)
    click.echo(f"wrote {name}: {said}", err=session.as_json)
