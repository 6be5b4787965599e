"""The answer behind `pratique signs`: words to what was seen, the record beside it, the ranking, and the run sheet."""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass, replace
from typing import Any, NoReturn

import click

from pratique.cli.session import Session
from pratique.export.signs_json import signs_json
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem, Refusal
from pratique.response.hearing import hear
from pratique.response.observed import Observed
from pratique.response.verdict import Background, Verdict, background_of, judge, warnings
from pratique.response.vocabulary import vocabulary
from pratique.room.resolve import Animal
from pratique.schedule.on_record import in_water
from pratique.sheets.rows import Part
from pratique.sheets.signs import signs_sheet

_NOTHING = "nothing was ranked"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One call, with the words as they were typed."""

    session: Session
    tank: str
    text: str
    denied: str
    ask: bool
    write: bool


def answer(asked: Asked) -> NoReturn:
    """Understand, ask where nothing was said, rank, and answer."""
    session = asked.session
    animals = in_water(session.history, asked.tank)[0]
    background = background_of(session.history, asked.tank, animals)
    observed = _understood(asked, background)
    if asked.ask or (observed.is_empty and not background.around.signs) or (observed.is_empty and _can_ask(asked)):
        observed = _questioned(asked, background, observed)
    verdict = judge(background, observed)
    log_words = _log_words(verdict, observed)
    session.problems += warnings(background, verdict)
    if asked.write:
        _write(session, log_words)
    run = _first_response(session, verdict)
    session.answer(
        lambda: signs_sheet(session.room, verdict, run.parts, log_line=log_line(log_words), written=asked.write),
        lambda: signs_json(verdict, log=log_line(log_words), response=run.result),
    )


def _understood(asked: Asked, background: Background) -> Observed:
    """What the words say; the end where one of them is not known."""
    session = asked.session
    others = (animal for batch in session.room.batches.values() for animal in batch.animals)
    everyone = (*background.animals, *session.room.residents, *others)
    words = vocabulary(background.animals, _others(background.animals, everyone))
    observed, problems = hear(asked.text, asked.denied, words, Observed(tank=asked.tank, at=session.at))
    if problems:
        session.file_word = ""
        session.refuse(Refusal(problems=problems), _NOTHING)
    return observed


def _others(here: tuple[Animal, ...], everyone: tuple[Animal, ...]) -> tuple[Animal, ...]:
    labels = {animal.label for animal in here}
    return tuple(animal for animal in everyone if animal.label not in labels)


def _can_ask(asked: Asked) -> bool:
    return sys.stdin.isatty() and not asked.session.as_json


def _questioned(asked: Asked, background: Background, observed: Observed) -> Observed:
    """What the keeper answers; the end where nobody can be asked, or nothing was said."""
    if not _can_ask(asked):
        raise click.UsageError(
            "no sign was given, and nobody can be asked here: say what is seen, such as "
            f"`pratique signs {shell_word(asked.tank)} dust gasping`; `pratique signs --help` has more"
        )
    from pratique.cli.signs_ask import ask_keeper

    found = ask_keeper(background, observed)
    if found.is_empty and not background.around.signs:
        again = f"`pratique signs {shell_word(asked.tank)}` asks again"
        click.echo(f"no sign was seen, so nothing was ranked and nothing was written; {again}", err=True)
        sys.exit(0)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """The first response: its parts on the page, and the same as JSON."""

    parts: tuple[Part, ...] = ()
    result: Any = None


def _first_response(session: Session, verdict: Verdict) -> _Run:
    """The run sheet for what is covered; empty where there is nothing to act on."""
    suspicion = verdict.suspicion
    if not suspicion.cover and not suspicion.causes:
        return _Run()
    from pratique.export.first_json import first_json
    from pratique.response.first import first_response
    from pratique.sheets.first import first_parts

    sheet = first_response(session.room, session.history, suspicion)
    session.problems += sheet.problems
    session.cautions += sheet.cautions
    return _Run(parts=first_parts(sheet, session.room), result=first_json(sheet))


def _log_words(verdict: Verdict, typed: Observed) -> tuple[str, ...]:
    """What `pratique log` is told, an entry for each animal that was named: only signs not on record yet."""
    known = {sign for seen in verdict.around.signs for sign in seen.signs}
    signs = " ".join(sign for sign in typed.present if sign not in known or typed.affected)
    if not signs:
        return ()
    whom = typed.affected or ("",)
    return tuple(" ".join(f"sign {typed.tank} {name} {signs}".split()) for name in whom)


_PLAIN = re.compile(r"[\w .,:+-]+")
"""What a shell hands on as it is, blanks parting the words."""


def log_line(words: tuple[str, ...]) -> str:
    """The command that writes the signs down; empty where there are none."""
    if not words:
        return ""
    text = "; ".join(words)
    return f"pratique log {text if _PLAIN.fullmatch(text) else shell_word(text)}"


def _write(session: Session, words: tuple[str, ...]) -> None:
    """Add the signs to the log; what could not be written is said, and the answer still given."""
    from pratique.cli.log_write import now
    from pratique.logbook.file import LogError, append
    from pratique.logbook.phrase import parse_entry
    from pratique.logbook.scope import Scope

    if not words:
        message = "no sign was seen that is not on record, so nothing was written"
        session.problems.append(Problem(code="X656", severity="warning", message=message, hint="leave out `--write`"))
        return
    scope = Scope(room=session.room, at=session.at, written=now(session.room.zone), log=session.log)
    understood = parse_entry(["; ".join(words)], scope)
    if understood.problems:
        session.problems += [replace(problem, severity="warning") for problem in understood.problems]
        return
    try:
        append(session.log_path, understood.entries)
    except LogError as error:
        session.problems.append(replace(error.problem, severity="warning"))
