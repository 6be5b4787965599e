"""What was typed after `pratique log`: understood, held against the log, and written whole or not at all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

import click

from pratique.cli.log_doubts import doubts
from pratique.cli.log_effects import effects
from pratique.cli.log_interlocks import interlocks_of
from pratique.cli.log_moves import with_moves
from pratique.cli.log_tasks import DaySheets
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
    sheets = DaySheets(room, log, written)
    scope = Scope(
        room=room, at=at, written=written, by=typed.by, log=log,
        sheet_of=sheets.sheet_of, task_ids=sheets,
    )  # fmt: skip
    understood = _understand(typed, scope)
    _refuse_errors(session, understood.problems)
    entries = with_moves(understood.entries, sheets, scope)
    if not entries:
        message = "no entry stands in what was given"
        _refuse_errors(session, [Problem(code="L730", message=message, hint="`pratique log --help` shows the forms")])
    after = log.plus(entries)
    _refuse_errors(session, doubts(room, after, entries))
    session.problems += interlocks_of(session, entries)
    changed = effects(room, sheets, DaySheets(room, after, written), at)
    saved = entries if typed.only_try else _append(session, path, entries)
    session.answer(
        lambda: written_sheet(room, saved, changed, session.at, saved=not typed.only_try, unread=unread),
        lambda: written_json(saved, changed, saved=not typed.only_try, unread=unread),
    )


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
    if typed.only_try and at.astimezone(dt.UTC) > written.astimezone(dt.UTC):
        written = at  # what has not happened yet can be tried
    return at, written


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
