"""The command group. A command's module is imported when it is called, not before."""

from __future__ import annotations

import contextlib
import gc
import importlib
import os
import sys
from collections.abc import Iterator
from typing import Any, NoReturn

import click

from pratique import VERSION
from pratique.cli.typed import refuse_hidden

COMMANDS = {
    "start": "how do I begin? writes a commented room file",
    "check": "is my file sound, and is the room safe?",
    "plan": "what happens to this arrival, when and where, and when may it go?",
    "day": "what do I do in the room today?",
    "trace": "who has been exposed, and to what?",
    "fallow": "when is this water safe again without fish?",
    "shelf": "what is short, stale or missing, for the plan and for an emergency?",
    "book": "when can the next arrivals come, and into which tanks?",
    "release": "may it go into the display yet, and on what evidence?",
    "signs": "what may it be, and what comes first?",
    "log": "write down a reading, dose, change, move, sign, death, cleaning",
    "dose": "how much of what, in which steps?",
    "water": "what is this water like, and how do I change it?",
    "dip": "the bath or dip sheet for one animal",
    "risk": "how likely is it that something gets through this plan?",
    "why": "the long page behind a code, a figure or a source",
}
"""Name to summary; kept here so that `--help` loads no command."""

COMPLETING = "_PRATIQUE_COMPLETE"
"""The variable by which a shell asks for completions, as the library has it."""


COLLECT_AFTER = 500_000
"""Objects made before cycles are looked for. Nearly nothing here is one, and looking took a sixth of the time."""


@contextlib.contextmanager
def told_as_an_error() -> Iterator[None]:
    """The library's errors of the command line in our words; the module is loaded only where there is one."""
    try:
        yield
    except click.UsageError as error:
        from pratique.cli.mistyped import Mistyped

        raise error if isinstance(error, Mistyped) else Mistyped(error) from None


class LazyGroup(click.Group):
    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        with told_as_an_error():
            refuse_hidden(args)
            return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        with told_as_an_error():
            return super().invoke(ctx)

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"pratique.cli.{cmd_name}")
        command: click.Command = module.command
        if COMPLETING in os.environ:
            from pratique.cli.complete import attach

            attach(cmd_name, command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and args[0] not in COMMANDS:
            from pratique.problem import near_names

            near = near_names(args[0], COMMANDS)
            hint = f"; did you mean `{near[0]}`?" if near else "; known: " + ", ".join(COMMANDS)
            raise click.UsageError(f"unknown command `{args[0][:40]}`{hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(VERSION, message="pratique %(version)s")
def cli() -> None:
    """Plans quarantine and treatment of marine fish from a room file: what to do, when, in which tank, with how much.

    \b
    Begin:   pratique start, then pratique check
    Daily:   pratique day, then pratique log
    Arrival: pratique plan
    """


def run() -> NoReturn:
    """The entry point. Exit status: 0 answered, 1 errors or a refusal, 2 wrong command line, 3 a bug here."""
    gc.set_threshold(COLLECT_AFTER)
    try:
        cli.main(standalone_mode=True)
    except Exception:
        _report_bug()
        sys.exit(3)
    sys.exit(0)


def _report_bug() -> None:
    import tempfile
    import traceback

    with tempfile.NamedTemporaryFile("w", prefix="pratique-", suffix=".txt", delete=False, encoding="utf-8") as file:
        traceback.print_exc(file=file)
    click.echo(
        f"error: this is a bug in pratique, not in your file; no answer was given. The details are in {file.name}",
        err=True,
    )
