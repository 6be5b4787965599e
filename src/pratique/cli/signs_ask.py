"""The questions at the tank: one key each, the most telling next, in plain lines that work over any connection."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import ExitStack

import click

from pratique.response.asking import Question, is_enough, next_question
from pratique.response.observed import Observed
from pratique.response.ranking import rank
from pratique.response.verdict import Background

_KEYS = "y yes · n no · s skip, not known · q that is all"
_SAID = {"y": "yes", "n": "no", "s": "skipped, not known", "q": "that is all"}
_MEANT = {"\x04": "q", "\x1b": "q", " ": "s"}
"""The end of input and the escape key end the questions; the bar skips one."""

Key = Callable[[], str]


def ask_keeper(background: Background, observed: Observed) -> Observed:
    """`observed` with what was answered. Ends where the picture is clear, where it may be the fast killer, or at q.

    Questions go to standard error, so that what is piped on is the answer alone. The terminal is taken over once, so
    that no key that is pressed early is lost.
    """
    with ExitStack() as stack:
        key = _key_reader(stack)
        _say(f"What do you see in {background.tank}? One key each: {_KEYS}")
        asked: frozenset[str] = frozenset()
        while True:
            weighing = background.weighing(observed)
            complete, ranking = weighing.observed, rank(weighing)
            enough = is_enough(complete, ranking, asked) if asked else ""
            question = None if enough else next_question(complete, ranking, asked)
            if question is None:
                _say(f"    {enough or 'no further question tells more'}\n")
                return observed
            answer = _put(question, len(asked) + 1, key)
            if answer == "q":
                _say("")
                return observed
            asked |= {question.id}
            if answer != "s":
                observed = _taken(observed, question, answer)


def _put(question: Question, number: int, key: Key) -> str:
    """The key that was pressed, one of those that answer; at any other the keys are shown again."""
    keys = "ynsq" if question.is_sign else "".join(map(str, range(1, len(question.choices) + 1))) + "sq"
    meant = _KEYS if question.is_sign else f"1 to {len(question.choices)} · s skip, not known · q that is all"
    lines = [f"{number:2}. {question.ask}"]
    lines += [f"      {index} {title}" for index, (_, title) in enumerate(question.choices, 1)]
    _say("\n".join(lines))
    while True:
        _say(f"    [{'/'.join(keys)}] ", end=False)
        pressed = key()
        if pressed in keys:
            _say(_SAID.get(pressed, pressed))
            return pressed
        _say(meant if pressed == "?" else f"{_shown(pressed)}: no key here; {meant}")


def _shown(pressed: str) -> str:
    """A key that was pressed, in quotes where it has a sign of its own."""
    return f"`{pressed}`" if pressed.isprintable() and pressed.strip() else "that"


def _key_reader(stack: ExitStack) -> Key:
    """Gives one key in small letters at each call; a terminal that closes or is interrupted ends the program."""
    from pratique.cli.keys import Interrupted, Keys, can_read_keys

    if not can_read_keys():
        return lambda: _meant(click.getchar(echo=False))
    keys = stack.enter_context(Keys(drawn=False))
    waiting: list[str] = []

    def read() -> str:
        while not waiting:
            try:
                waiting.extend(keys.wait(_SECONDS))
            except Interrupted:
                raise click.Abort from None
        return _meant(waiting.pop(0))

    return read


_SECONDS = 0.25
"""How long Ctrl-C may wait: a signal is looked at after each stretch of waiting."""


def _meant(pressed: str) -> str:
    return _MEANT.get(pressed, pressed.casefold())


def _taken(observed: Observed, question: Question, answer: str) -> Observed:
    if question.is_sign:
        return observed.seen(question.id) if answer == "y" else observed.missed(question.id)
    return observed.with_facts([(question.id, question.choices[int(answer) - 1][0])])


def _say(text: str, *, end: bool = True) -> None:
    from pratique.render.screen import look_at
    from pratique.render.signs import to_ascii

    click.echo(text if look_at(sys.stderr).unicode else to_ascii(text), err=True, nl=end)
