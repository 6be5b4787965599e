"""How `pratique start` asks: a number, the question, why it is asked; an answer is taken once a file can hold it."""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import replace

import click

from pratique.room.first_file import Answers, first_file

Took = Callable[[str], Answers]
"""The answers with one more, as it was typed."""

WIDTH, NARROWEST, INDENT = 78, 30, "    "


class Asking:
    """The answers so far, and the number of the next question."""

    def __init__(self, answers: Answers) -> None:
        self.answers, self.number = answers, 0

    def text(self, question: str, why: str, key: str, default: str) -> None:
        self.put(question, why, default, lambda typed: replace(self.answers, **{key: typed}))  # type: ignore[arg-type]

    def choice(self, question: str, why: str, titles: Sequence[str], default: int | None) -> int:
        """The number of the title that was chosen, counted from 0; `default` is counted from 1, as it is shown."""
        self._ask(question, why)
        _list(titles)
        while True:
            typed = _read(str(default or ""))
            if typed in map(str, range(1, len(titles) + 1)):
                return int(typed) - 1
            say(f"    one of 1 to {len(titles)}" + ("" if typed else "; this one only you can say"))

    def marks(self, question: str, why: str, titles: Sequence[str]) -> tuple[int, ...]:
        """The numbers of all titles that hold, counted from 0; none where nothing is typed."""
        self._ask(question, why)
        _list(titles)
        while True:
            typed = _read("").replace(",", " ").split()
            if all(word in map(str, range(1, len(titles) + 1)) for word in typed):
                return tuple(sorted({int(word) - 1 for word in typed}))
            say(f"    numbers from 1 to {len(titles)}, such as 1 2; Enter: none of them")

    def put(self, question: str, why: str, default: str | None, took: Took) -> str:
        """What was typed, once the room file can be read with it; until then what is wrong and how to mend it."""
        self._ask(question, why)
        while True:
            typed = _read(default or "")
            if not typed and default is None:
                say("    this one only you can say")
                continue
            answers = took(typed)
            wrong = wrong_with(answers)
            if not wrong:
                self.answers = answers
                return typed
            say(wrong)

    def _ask(self, question: str, why: str) -> None:
        self.number += 1
        say(f"\n{_filled(f'{self.number:2}. ', INDENT, question)}\n{_below(why)}")


def wrong_with(answers: Answers) -> str:
    """What stands in the way of a file with these answers, and the way out; empty where nothing does."""
    from pratique.room.load import load_room_text

    _, problems = load_room_text(first_file(answers))
    found = next((problem for problem in problems if problem.is_error), None)
    if found is None:
        return ""
    return "\n".join(_below(text) for text in (found.message, found.hint) if text)


def _below(text: str) -> str:
    """Under the question, no wider than a narrow screen; what is shown to be typed stays on one line."""
    return _filled(INDENT, INDENT, text)


def _list(titles: Sequence[str]) -> None:
    for number, title in enumerate(titles, 1):
        say(_filled(f"      {number} ", "        ", title))


def _filled(first: str, rest: str, text: str) -> str:
    """As wide as the screen, and never wider than WIDTH."""
    width = min(WIDTH, max(shutil.get_terminal_size().columns, NARROWEST) - 2)
    return textwrap.fill(
        text, width, initial_indent=first, subsequent_indent=rest, break_long_words=False, break_on_hyphens=False
    )


def _read(default: str) -> str:
    shown = f"[{default}] " if default else ""
    typed: str = click.prompt(f"    {_plain(shown)}>", default="", show_default=False, prompt_suffix=" ", err=True)
    return " ".join(typed.split()) or default


def say(text: str) -> None:
    click.echo(_plain(text), err=True)


def _plain(text: str) -> str:
    from pratique.render.screen import look_at
    from pratique.render.signs import to_ascii

    return text if look_at(sys.stderr).unicode else to_ascii(text)
