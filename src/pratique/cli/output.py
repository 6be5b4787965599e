"""How an answer leaves the program, as the options of the command say; `Session.answer` acts on it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

_OUTPUT = "pratique.output"


@dataclass(frozen=True, slots=True)
class Output:
    """`plain`: for other programs. The others name a file each (`-`: standard output), written instead of the page:
    `paper` a page to print, `csv` records as a table, `calendar` tasks as a calendar."""

    plain: bool = False
    paper: str | None = None
    csv: str | None = None
    calendar: str | None = None

    @classmethod
    def wanted(cls) -> Output:
        """As the options of the command that runs now say."""
        context = click.get_current_context(silent=True)
        return cls() if context is None else context.meta.get(_OUTPUT, cls())

    @property
    def files(self) -> dict[str, str]:
        """Option to the file it names."""
        named = {"--paper": self.paper, "--csv": self.csv, "--calendar": self.calendar}
        return {option: file for option, file in named.items() if file is not None}

    def check(self, *, as_json: bool) -> None:
        """The end (exit 2) where two answers would go to one place."""
        here = ["--json"] if as_json else []
        here += [f"{option} -" for option, file in self.files.items() if file == "-"]
        here += ["--plain"] if self.plain and not self.files else []
        if len(here) > 1:
            raise click.UsageError(f"{' and '.join(here)} all go to standard output: name a file, or leave one out")


def keep(context: click.Context, option: click.Parameter, value: Any) -> None:
    """The callback of an option of output."""
    if value:
        known = context.meta.get(_OUTPUT, Output())
        context.meta[_OUTPUT] = replace(known, **{str(option.name): value})


def plain_option(function: F) -> F:
    """`--plain`, for every command that answers."""
    text = "One record a line, tabs between its cells, for other programs."
    return click.option("--plain", is_flag=True, expose_value=False, callback=keep, help=text)(function)


def csv_option(what: str) -> Callable[[F], F]:
    """`--csv FILE`, for a command whose answer has records."""
    text = f"Write {what} as CSV instead of the page; - writes it to standard output."
    return click.option("--csv", metavar="FILE", expose_value=False, callback=keep, help=text)


def calendar_option(function: F) -> F:
    """`--calendar FILE`, for a command whose answer has tasks."""
    text = "Write the tasks as a calendar (.ics) instead of the page; written again it moves and cancels its entries."
    return click.option("--calendar", metavar="FILE", expose_value=False, callback=keep, help=text)(function)
