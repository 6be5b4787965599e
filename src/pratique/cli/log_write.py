"""What was typed after `pratique log`: understood, held against the log, and written whole or not at all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn, TypeVar

import click

from pratique.checks.entries.day_sheets import DaySheets
from pratique.checks.entries.given import told_back, with_doses
from pratique.checks.entries.moves import with_moves
from pratique.cli.log_written import Written
from pratique.cli.session import Session
from pratique.export.log import written_json
from pratique.logbook.book import Log
from pratique.logbook.entry import Common
from pratique.logbook.file import LogError, append, read_log
from pratique.logbook.phrase import Understood, parse_entry, parse_lines
from pratique.logbook.scope import Scope
from pratique.problem import Problem, Refusal
from pratique.room.resolve import Room
from pratique.sheets.log import written_sheet

T = TypeVar("T")

_YEARS = range(1990, 2150)
_NOTHING = "nothing was written"


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """Words of the command line, or the whole text of a file."""

    words: Sequence[str] = ()
    text: str | None = None
    file: str = ""
    by: str | None = None
    only_try: bool = False


def now(zone: dt.tzinfo) -> dt.datetime:
    """The moment of writing."""
    return dt.datetime.now(zone).replace(microsecond=0)


def write(session: Session, path: Path, typed: Typed) -> NoReturn:
    """Nothing is written where anything was not understood; what only looks odd is written, with a warning."""
    room = session.need_room(_NOTHING)
    session.file_word = ""  # what follows is not about the room file
    log, unread = _read(session, path)
    at, written = _moments(session, room, typed)
    sheets = DaySheets(room, log, min(at, written))
    scope = Scope(
        room=room, at=at, written=written, by=typed.by, log=log,
        sheet_of=sheets.sheet_of, task_ids=sheets,
    )  # fmt: skip
    understood = _understand(typed, scope)
    _refuse_errors(session, understood.problems)
    entries, unsaid = with_doses(with_moves(understood.entries, sheets, scope), sheets, scope)
    _refuse_errors(session, unsaid)
    judged = max([min(at, written), *(entry.at for entry in entries)], key=dt.datetime.timestamp)
    if judged > min(at, written):
        sheets = DaySheets(room, log, judged)
    if not entries:
        message = "no entry stands in what was given"
        _refuse_errors(session, [Problem(code="L730", message=message, hint="`pratique log --help` shows the forms")])
    written_down = Written(room=room, sheets=sheets, entries=entries, after=log.plus(entries), at=at, judged=judged)
    _refuse_errors(session, _tried(session, typed, written_down.doubts, []))
    saved = entries if typed.only_try else _append(session, path, entries)
    session.log = log  # as it was before: what is said next compares with it
    session.problems += _tried(session, typed, lambda: list(written_down.warnings(session.history)), [])
    changed = [*told_back(understood.entries, saved), *_tried(session, typed, written_down.effects, [])]
    session.answer(
        lambda: written_sheet(room, saved, changed, session.at, saved=not typed.only_try, unread=unread),
        lambda: written_json(saved, changed, saved=not typed.only_try, unread=unread),
    )


def _tried(session: Session, typed: Typed, work: Callable[[], list[T]], nothing: list[T]) -> list[T]:
    """What `work` finds out about the entries. A bug in it is said, and is no reason not to write them down."""
    try:
        return work()
    except Exception as error:
        if typed.only_try:
            raise
        bug = f"a bug of the program ({type(error).__name__})"
        session.problems.append(Problem(
            code="L750", severity="warning", message=f"what the entry changes could not be worked out: {bug}",
            hint="the entry is written down all the same; `pratique log` lists it",
        ))  # fmt: skip
        return nothing


def _read(session: Session, path: Path) -> tuple[Log, int]:
    """The log and how many of its lines cannot be read: they are no reason not to write, unless none can be."""
    log, problems = read_log(path)
    _refuse_errors(session, [problem for problem in problems if not problem.places and problem.code != "L713"])
    return log, len({problem.places[0].line for problem in problems if problem.places})


def _moments(session: Session, room: Room, typed: Typed) -> tuple[dt.datetime, dt.datetime]:
    """When it happened unless an entry says otherwise, and when it is written down."""
    at, written = session.at, now(room.zone)
    if at.year not in _YEARS:
        raise click.BadParameter("the year is not between 1990 and 2149", param_hint="--at")
    return at, at if typed.only_try else written  # what has not happened yet, or long ago, can be tried


def _understand(typed: Typed, scope: Scope) -> Understood:
    if typed.text is None:
        return parse_entry(typed.words, scope)
    return parse_lines(typed.text, scope, file="standard input" if typed.file == "-" else typed.file)


def _refuse_errors(session: Session, problems: Sequence[Problem]) -> None:
    """Warnings wait for the end; an error is the end."""
    if any(problem.is_error for problem in problems):
        errors_first = sorted(problems, key=lambda problem: not problem.is_error)
        session.refuse(Refusal(problems=tuple(errors_first)), _NOTHING)
    session.problems += problems


def _append(session: Session, path: Path, entries: Sequence[Common]) -> tuple[Common, ...]:
    """The entries under the ids they have in the file, once they are on the disk."""
    try:
        ids = append(path, entries)
    except LogError as error:
        session.refuse(Refusal(problems=(error.problem,)), "nothing was saved")
    return tuple(entry.model_copy(update={"id": id_}) for entry, id_ in zip(entries, ids, strict=True))
