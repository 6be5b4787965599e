"""A command line that cannot be read, told as every other error is: what is wrong, how to mend it, and the form."""

from __future__ import annotations

import sys
from typing import IO, Any

import click


class Mistyped(click.UsageError):
    """The library's error with our words and look. Exit status 2, as before."""

    def __init__(self, found: click.UsageError) -> None:
        super().__init__(found.format_message(), found.ctx)
        self.found = found

    def show(self, file: IO[Any] | None = None) -> None:
        from pratique.problem import Problem
        from pratique.render.problems import render_problem
        from pratique.render.screen import look_at

        message, hint = _words(self.found)
        form = _form(self.found.ctx)
        if not hint:
            hint = form
        elif not isinstance(self.found, click.BadParameter):
            hint = f"{hint}{'' if hint.endswith('?') else ';'} {form}"
        screen = look_at(sys.stderr)
        text = render_problem(
            Problem(code="", message=message, hint=hint), unicode=screen.unicode, width=screen.width
        )
        click.echo(text, err=True)


def _words(found: click.UsageError) -> tuple[str, str]:
    """What is wrong, and what to write instead."""
    said = found.format_message()
    if isinstance(found, click.NoSuchOption):
        near = " or ".join(f"`{other}`" for other in found.possibilities or ())
        return f"there is no option `{found.option_name[:40]}`", f"did you mean {near}?" if near else ""
    if isinstance(found, click.BadOptionUsage):
        return f"`{found.option_name}` needs a value after it", ""
    if isinstance(found, click.MissingParameter):
        return f"{_named(found)} is missing", ""
    if isinstance(found, click.BadParameter):
        return _bad_value(found)
    if said.startswith("Got unexpected extra argument"):
        return _one_too_many(found, said)
    message, _, hint = said.partition("; ")
    return message.rstrip("."), hint


def _bad_value(found: click.BadParameter) -> tuple[str, str]:
    name = _named(found)
    kind = found.param.type if found.param is not None else None
    if isinstance(kind, click.Choice):
        typed = found.message.split(" is not one of ")[0].strip("'")
        choices = ", ".join(f"`{choice}`" for choice in kind.choices)
        return f"{name}: `{typed}` is no choice", f"write one of {choices}"
    if isinstance(kind, click.IntRange) and "range" in found.message:
        said = found.message.split(" is not in ")[0]
        return f"{name}: {said} is out of range", f"write a whole number from {kind.min} to {kind.max}"
    message, _, hint = found.message.partition("; ")
    return f"{name}: {message.rstrip('.')}", hint


def _named(found: click.BadParameter) -> str:
    """What the value is called: an option as it is typed, anything else as the form has it."""
    name = found.param_hint if isinstance(found.param_hint, str) else ""
    if not name and isinstance(found.param, click.Option):
        name = max(found.param.opts, key=len)
    elif not name and found.param is not None:
        name = found.param.make_metavar(click.Context(click.Command("")))
    return f"`{name}`" if name.startswith("-") else name


def _one_too_many(found: click.UsageError, said: str) -> tuple[str, str]:
    """More words than the command takes: mostly a name of several words without quotes."""
    extra = said.partition("(")[2].rstrip(")")
    quotes = "a name of several words is put in quotes, such as 'long tank'"
    return f"there are more words than `{_path(found.ctx)}` takes: `{extra[:60]}`", quotes


def _path(ctx: click.Context | None) -> str:
    return "pratique" if ctx is None or ctx.parent is None else f"pratique {ctx.info_name}"


def _form(ctx: click.Context | None) -> str:
    """The form of the command, with what it takes beside options."""
    if ctx is None or ctx.parent is None:
        return "`pratique --help` lists the commands"
    needed = [p for p in ctx.command.params if isinstance(p, click.Argument) or p.required]
    words = [_path(ctx)]
    words += [p.make_metavar(ctx) if isinstance(p, click.Argument) else f"{p.opts[0]} {p.metavar}" for p in needed]
    return f"the form is `{' '.join(words)}`, and `{_path(ctx)} --help` says more"
