"""Names of several words in quotes, as a shell reads them: a line that a sheet prints can be copied into a file.

A quote opens at the beginning of a word, or right after one that has closed. Anywhere else it is a letter, so that the
fish's fin in a note, or a length in inches, stays what was written.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from pratique.problem import quoted
from pratique.room.wrong import Wrong

_CLOSES = {"'": "'", '"': '"', "“": "”", "‘": "’", "„": "“"}
_ALIVE = set('"$`!\\')
"""What a shell does not leave alone inside double quotes."""
_ENDS_WORD = ";,"
COMMAND = "pratique log "
"""What a line that a sheet prints begins with; the entry comes after it."""


def shell_word(name: str) -> str:
    """A name as one word of a command line.

    >>> shell_word("ward"), shell_word("blue tub")
    ('ward', "'blue tub'")
    """
    if "'" in name and not set(name) & _ALIVE:
        return f'"{name}"'
    return name if name.isalnum() else shlex.quote(name)


def shell_line(words: Iterable[str]) -> str:
    """Words as a command line.

    >>> shell_line(["pratique", "trace", "blue tub"])
    "pratique trace 'blue tub'"
    """
    return " ".join(map(shell_word, words))


@dataclass(frozen=True, slots=True)
class Line:
    """The words of a line, and of each character its place in the line as it was typed (from 0)."""

    text: str
    typed: str
    origin: Sequence[int]

    def place(self, start: int, width: int) -> tuple[int, int]:
        """Column (from 1) and width, in the typed line, of `width` characters of the words from `start` on."""
        if start >= len(self.origin):
            return len(self.typed) + 1, 1
        last = self.origin[min(start + max(width, 1), len(self.origin)) - 1]
        return self.origin[start] + 1, last - self.origin[start] + 1


def from_shell(words: Sequence[str]) -> Line:
    """The words of a command line: the shell has read its quotes already."""
    text = " ".join(" ".join(words).split())
    return Line(text, text, range(len(text)))


def unquoted(typed: str) -> Line:
    """A line of a file without its quotes.

    Raises `Wrong` (L739) where a quote has no end.

    >>> unquoted("move 'spring tangs' to ward").text
    'move spring tangs to ward'
    """
    text, origin = "", list[int]()
    closing, begun, opens = "", 0, True
    for index, char in enumerate(typed):
        if char == closing:
            closing, opens = "", True  # shlex writes the apostrophe of a name as a quoted word of its own right after
        elif opens and not closing and char in _CLOSES:
            closing, begun = _CLOSES[char], index
        elif not char.isspace():
            text, opens = text + char, char in _ENDS_WORD
            origin.append(index)
        else:
            opens = True
            if text and text[-1] != " ":
                text += " "
                origin.append(index)
    if closing:
        message = f"the quote before {quoted(typed[begun + 1 :])} has no end"
        hint = f"write {closing} after the name, or leave the quote out: no name needs one here"
        raise Wrong("L739", message, hint, part=typed[begun:])
    text = text.rstrip()
    return Line(text, typed, origin[: len(text)])
