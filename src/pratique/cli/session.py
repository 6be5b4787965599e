"""What every command shares: the room, the moment, and one way of answering on screen or as JSON."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Callable, Iterable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, TypeVar
from zoneinfo import ZoneInfo

import click

from pratique.cli.output import Output, keep, plain_option
from pratique.letters import alike_note
from pratique.problem import Problem, Refusal, longer_names, near_names
from pratique.room.load import load_room
from pratique.room.resolve import LocalTimeError, Room
from pratique.room.wrong import Wrong

if TYPE_CHECKING:
    from pratique.dosing.overrides import Overridden
    from pratique.export.calendar import Calendar
    from pratique.export.paper.page import Picture
    from pratique.history.fold import History
    from pratique.logbook.book import Log

F = TypeVar("F", bound=Callable[..., Any])


def shared_options(function: F) -> F:
    """Options of every command that answers a question; --plain and --paper are kept for `Session.answer`."""
    options = [
        click.option(
            "--room", "room_path", metavar="FILE", help="The room file. Else PRATIQUE_ROOM, else fishroom.yaml here."
        ),
        click.option("--log", "log_path", metavar="FILE", help="The log. Else beside the room file, .log.jsonl."),
        click.option(
            "--at", "at_text", metavar="WHEN", help="The moment to answer for, such as 2027-03-05T18:00. Else now."
        ),
        click.option("--json", "as_json", is_flag=True, help="One JSON object instead of a page."),
        plain_option,
        click.option(
            "--paper", metavar="FILE", expose_value=False, callback=keep,
            help="Write the sheet as one HTML page to print; - writes it to standard output.",
        ),
    ]  # fmt: skip
    for option in reversed(options):
        function = option(function)
    return function


because_option = click.option(
    "--because",
    metavar="REASON",
    multiple=True,
    help="Why an interlock is overridden, 'D412: the lamp is behind a shut valve'; some yield to no reason.",
)


class Session:
    """One call of one command. Problems gather here and are shown once, at the end."""

    def __init__(
        self, command: str, room_path: str | None, at_text: str | None, as_json: bool, log_path: str | None = None
    ) -> None:
        self.command, self.as_json = command, as_json
        self.output = Output.wanted()
        self.output.check(as_json=as_json)
        self._log_path = log_path
        self.path = Path(room_path or os.environ.get("PRATIQUE_ROOM") or "fishroom.yaml")
        self.file_word = self.path.name
        self.problems: list[Problem] = []
        self.cautions: list[Any] = []
        room, problems = load_room(self.path)
        self.problems += problems
        self._room = room
        self.at = self._moment(at_text, room)

    @property
    def room(self) -> Room:
        if self._room is None:
            raise RuntimeError("the room is not sound; call `need_room` first")
        return self._room

    def need_room(self, what: str) -> Room:
        """The room, or the end of the program with every problem of the file; `what` was not done."""
        if self._room is None:
            self.stop(what)
        return self._room

    def use_room(self, room: Room) -> None:
        """Goes on with this room, which has more in it than the file; nothing may have been asked of the log yet."""
        self._room = room

    @property
    def log_path(self) -> Path:
        """The log that was named, else the one beside the room file."""
        return self.path.with_suffix(".log.jsonl") if self._log_path is None else Path(self._log_path)

    @cached_property
    def log(self) -> Log:
        """What is in the log; what is wrong with it is shown like the problems of the room file."""
        from pratique.logbook.dips import running_dips, unfinished

        log = self.entries()
        if self._log_path is not None and not os.path.exists(self.log_path):
            self.problems.append(_no_log(self.log_path))
        self.problems += [unfinished(dip, self.at, self.room.zone) for dip in running_dips(log, self.at)]
        return log

    def entries(self) -> Log:
        """The log as it is read; the end where it cannot be: what is already in a water would count as nothing."""
        from pratique.logbook.check import check_names
        from pratique.logbook.file import read_log

        log, problems = read_log(self.log_path)
        self.problems += problems
        if any(problem.code == "L720" for problem in problems):
            self.file_word = ""
            self.stop("nothing was worked out")
        self.problems += check_names(log, self.room)
        return log

    @cached_property
    def history(self) -> History:
        """What is on record by the moment the answer is for."""
        from pratique.history.fold import fold

        return fold(self.room, self.log, self.at)

    def stop_writing(self, problem: Problem) -> NoReturn:
        """The end: what was to be written to a file was not."""
        self.problems.append(problem)
        self.file_word = ""
        self.stop("nothing was written")

    def _moment(self, text: str | None, room: Room | None) -> dt.datetime:
        """Now; or what --at says, by the clock of the room (of UTC, where the room file is not sound)."""
        zone = room.zone if room is not None else ZoneInfo("UTC")
        now = dt.datetime.now(zone).replace(second=0, microsecond=0)
        if text is None:
            return now
        from pratique.logbook.moments import read_at

        try:
            return read_at(text, now, zone)
        except (Wrong, LocalTimeError) as error:
            raise click.BadParameter(f"{error.message}; {error.hint}", param_hint="--at") from None

    def stop(self, what: str) -> NoReturn:
        """No answer: the file has errors."""
        self.show_problems(what)
        if self.as_json:
            self._print_json(None, None)
        sys.exit(1)

    def refuse(self, refusal: Refusal, what: str) -> NoReturn:
        """No number: every reason, the first leading."""
        seen = set(self.problems)
        self.problems += [problem for problem in refusal.problems if problem not in seen]
        self.show_problems(what)
        if self.as_json:
            self._print_json(refusal, None)
        sys.exit(1)

    def answer(
        self,
        sheet: Callable[[], Any],
        result: Callable[[], Any],
        *,
        paper: Callable[[], Any] | None = None,
        pictures: Callable[[], tuple[Picture, ...]] = tuple,
        csv: Callable[[], str] | None = None,
        calendar: Callable[[str], Calendar] | None = None,
    ) -> NoReturn:
        """The page or the object; exit 1 where an error stands beside it.

        `paper` is the sheet on paper where it is not the one of the screen, `pictures` what is drawn below it. `csv`
        has the records as text; `calendar` makes a calendar from the text of the one before, empty where there is none.
        """
        if self.output.paper is not None:
            from pratique.cli.paper import write_page

            write_page(self, (paper or sheet)(), pictures())
        if self.output.csv is not None or self.output.calendar is not None:
            from pratique.cli.files import write_files

            write_files(self, csv, calendar)
        if self.as_json:
            self._print_json(None, result())
        elif not self.output.files:
            from pratique.render.terminal import print_sheet
            from pratique.sheets.own_units import sheet_in_own_units

            print_sheet(sheet_in_own_units(sheet(), self.room), plain=self.output.plain)
        self.show_problems("what could be answered stands above" if self._errors() else "")
        sys.exit(1 if self._errors() else 0)

    def record_overrides(self, overridden: tuple[Overridden, ...], tank: str | None) -> None:
        """What was set aside with a reason goes into the log."""
        if overridden:
            from pratique.cli.overridden import record_overrides

            record_overrides(self, overridden, tank)

    def _errors(self) -> bool:
        return any(problem.is_error for problem in self.problems)

    def show_problems(self, what: str) -> None:
        """What is wrong, on stderr; `what` closes it."""
        if self.as_json or not self.problems:
            return
        from pratique.render.problems import render_problems
        from pratique.render.screen import look_at

        sys.stdout.flush()
        screen = look_at(sys.stderr)
        files = {place.file for problem in self.problems for place in problem.places}
        word = self.file_word if files <= {str(self.path)} else ""  # a file of readings has problems of its own
        problems = self.problems
        if self._room is not None:
            from pratique.sheets.own_units import problem_in_own_units

            problems = [problem_in_own_units(problem, self._room) for problem in problems]
        text = render_problems(problems, unicode=screen.unicode, width=screen.width, file_word=word, outcome=what)
        click.echo(text, err=True)

    def _print_json(self, refusal: Refusal | None, result: Any) -> None:
        from pratique.export.json import dump_answer

        click.echo(
            dump_answer(
                command=self.command,
                at=self.at,
                room=self._room,
                path=self.path,
                problems=self.problems,
                cautions=self.cautions,
                refusal=refusal,
                result=result,
            )
        )


def _no_log(path: Path) -> Problem:
    return Problem(
        code="L747",
        severity="warning",
        message=f"there is no log `{path}`, so the answer follows the room file alone",
        hint="check the name; `pratique log` begins a log by writing the first entry",
    )


def choose(name: str, known: Iterable[str], what: str, param: str) -> str:
    """`name` where it is known; else the end, with near names (exit 2)."""
    names = list(known)
    if name in names:
        return name
    folded = [candidate for candidate in names if candidate.lower() == name.lower()]
    if len(folded) == 1:
        return folded[0]
    near = near_names(name, names) or longer_names(name, names)
    hint = "did you mean " + " or ".join(f"`{n}`" for n in near) + "?" if near else "known: " + ", ".join(names[:20])
    said = [f"unknown {what} `{name[:60]}`", alike_note(name, names), hint]
    raise click.BadParameter("; ".join(filter(None, said)), param_hint=param)
