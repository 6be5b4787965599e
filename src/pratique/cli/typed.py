"""What is typed after `pratique`, looked at before any of it is used."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import click

from pratique.letters import HIDDEN, named

if TYPE_CHECKING:
    _ParamType = click.ParamType[Any]
else:
    _ParamType = click.ParamType


def refuse_hidden(words: Iterable[str]) -> None:
    """The end (exit 2) where a word has a character that does not show or that steers a terminal.

    Such a word would be repeated in a message, a sheet or a file name.
    """
    for number, word in enumerate(words, 1):
        if word.isprintable():
            continue
        found = HIDDEN.search(word.replace("\r\n", "\n"))  # line ends and tabs come with pasted text
        if found is None:
            continue
        what = named(found[0])
        if "\ud800" <= found[0] <= "\udfff":
            what = "a byte that is not UTF-8"
        raise click.UsageError(f"word {number} of the command line has {what}; type it again, or rename the file")


class _Plain(_ParamType):
    """A number is written as it is anywhere else: `1_000`, `1e3`, `nan` and `６２` are refused."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        if isinstance(value, str):
            from pratique.quantity import QuantityError, parse_number

            try:
                parse_number(value)
            except QuantityError as error:
                self.fail(f"`{error.text[:60]}` {error.detail}; {error.hint}", param, ctx)
            if "." in value and isinstance(self, click.types.IntParamType):
                self.fail(f"`{value[:60]}` is not a whole number; write such as `12`", param, ctx)
        return super().convert(value, param, ctx)


class Whole(_Plain, click.types.IntParamType):
    """A whole number."""


class WholeRange(_Plain, click.IntRange):
    """A whole number between limits."""


class Figure(_Plain, click.types.FloatParamType):
    """A decimal number."""


class FigureRange(_Plain, click.FloatRange):
    """A decimal number between limits."""
