"""`pratique dip … --run`: the timer at the tank. A dip is in the log from the moment the fish goes in."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.dip_record import Record, Written
from pratique.cli.keys import HungUp, Interrupted, Keys, can_read_keys
from pratique.dosing.dip_run import MINUTE, DipRun, Key, begin_run, press, resume_run, ring
from pratique.render.screen import look_at, window
from pratique.render.timer import draw, frame, plain_line
from pratique.sheets.own_units import dip_in_own_units
from pratique.sheets.timer import TimerPage, spoken_line, timer_page

if TYPE_CHECKING:
    from pratique.cli.session import Session
    from pratique.dosing.dip import Dip

KEYS: dict[str, Key] = {
    "\r": "tick", "\n": "tick", " ": "tick", "u": "untick", "i": "in", "o": "out", "d": "distress", "+": "longer",
    "=": "longer", "-": "shorter", "q": "quit",
}  # fmt: skip
_WAIT = 0.2
"""Seconds between two looks at the clock: a figure that changes each second is never late by more."""

_NOTICE_SECONDS = 8.0
_LATE = 60.0
"""Minutes past its limit after which a dip without an end is taken for one that nobody wrote the end of (D)."""


def forward_clock() -> float:
    """Seconds that only go forward, where it can be had through a sleep of the computer too."""
    boot = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boot is None else time.clock_gettime(boot)


@dataclass(kw_only=True)
class Timer:
    """The loop: keys in, pages out. What it needs from outside can be put in by a test."""

    run: DipRun
    clock: Callable[[], float]
    keys: Callable[[float], str]
    show: Callable[[TimerPage], None]
    bell: Callable[[str], None]
    began: Callable[[DipRun], str]
    ended: Callable[[DipRun], str]
    _notice: str = ""
    _until: float = field(default=0.0)

    def drive(self) -> DipRun:
        """Until the fish is out or the keeper leaves; `run` is kept up to date for whoever interrupts it."""
        while not self.run.is_over:
            now = self.clock()
            self.run, bells = ring(self.run, now)
            if bells:
                self._say("; ".join(bells), now)
                self.bell(self._notice)
            self.show(timer_page(self.run, now, self._notice if now < self._until else ""))
            for letter in self.keys(_WAIT):
                self._take(letter, self.clock())
        return self.run

    def _take(self, letter: str, now: float) -> None:
        key = KEYS.get(letter.lower())
        if self.run.is_over:
            return
        if key is None:
            self._say(self._no_key(letter, now), now)
            return
        before, self.run = self.run, press(self.run, key, now)
        self._until = 0.0
        if before.began is None and self.run.began is not None:
            self._say(self.began(self.run), now)
        if before.ended is None and self.run.ended is not None:
            self.ended(self.run)

    def _no_key(self, letter: str, now: float) -> str:
        """What to say of a key that does nothing here: those that do."""
        if not letter.isprintable():
            return ""
        keys = ", ".join(f"{key} {what}" for key, what in timer_page(self.run, now, "").keys)
        return f"{letter} is no key here: {keys}"

    def _say(self, text: str, now: float) -> None:
        self._notice, self._until = text, now + _NOTICE_SECONDS if text else 0.0


def check_terminal() -> None:
    """The end (exit 2) where keys and figures have no terminal to go to."""
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise click.UsageError(
            "--run needs a terminal for its keys and figures: call it without a pipe, over ssh with `ssh -t HOST …`"
        )
    if not can_read_keys():
        raise click.UsageError("--run cannot ask this terminal for single keys; leave --run out for the sheet on paper")


def run_dip(session: Session, dip: Dip, *, plain: bool = False) -> NoReturn:
    """The timer for `dip`, from ticking off to the end; exits 0 where the end is in the log, else 1."""
    record = Record(session, dip)
    dip = dip_in_own_units(dip, session.room)
    running = record.running(late=dip.ceiling + _LATE)
    clock = forward_clock
    if running is None:
        run = begin_run(dip)
    else:
        run = resume_run(dip, running.entry.minutes or dip.minutes.value, running.seconds, clock())
    drawn = look_at(sys.stdout).draws and not plain
    timer = Timer(
        run=run, clock=clock, keys=lambda _: "", show=_Lines().show, bell=_Lines().bell,
        began=record.began, ended=record.ended,
    )  # fmt: skip
    interrupted = hung_up = False
    try:
        with Keys(drawn=drawn) as keys:
            screen = _Drawn() if drawn else _Lines()
            timer.keys, timer.show, timer.bell = keys.wait, screen.show, screen.bell
            timer.drive()
    except Interrupted as error:
        interrupted, hung_up = True, isinstance(error, HungUp)
        timer.run = replace(timer.run, left=timer.run.ended is None)
    if not hung_up:
        _last_words(session, dip, timer.run, record, clock())
    not_begun = timer.run.began is None and not interrupted
    sys.exit(0 if record.written is Written.WHOLE or not_begun else 1)


def _last_words(session: Session, dip: Dip, run: DipRun, record: Record, now: float) -> None:
    """What is left on the ordinary screen: how it ended, what comes next, what stands in the log."""
    from pratique.render.terminal import print_sheet
    from pratique.sheets.timer_end import end_sheet

    print_sheet(end_sheet(dip, run, run.seconds_in(now) / MINUTE, record.lines()))
    session.show_problems("")


class _Drawn:
    """Pages over each other, as large as the window is at that moment."""

    def __init__(self) -> None:
        self._shown = ""

    def show(self, page: TimerPage) -> None:
        screen = look_at(sys.stdout)
        width, height = window(sys.stdout)
        text = draw(frame(page, width=width, height=height, unicode=screen.unicode), color=screen.color)
        if text != self._shown:
            self._shown = text
            _put(text)

    def bell(self, _text: str) -> None:
        _put("\a")


class _Lines:
    """One line when something changes and one each minute, where a screen is not drawn on."""

    def __init__(self) -> None:
        self._shown: tuple[object, ...] = ()
        self._keys: tuple[tuple[str, str], ...] = ()
        self._unicode = look_at(sys.stdout).unicode

    def show(self, page: TimerPage) -> None:
        steps = page.parts[0].lines if page.done is None else ()
        due = next((cell.text for cell in steps if cell.meaning == "due"), "")
        minute = page.figure.split(":")[0]
        seen = (minute, page.notice, page.meaning, due)
        if seen == self._shown:
            return
        self._shown = seen
        if page.keys != self._keys:
            self._keys = page.keys
            _put(self._line(" ".join(f"[{key}] {what}" for key, what in page.keys)))
        _put(self._line(" · ".join(filter(None, (spoken_line(page), due)))))

    def bell(self, _text: str) -> None:
        _put("\a")

    def _line(self, text: str) -> str:
        return plain_line(text, unicode=self._unicode) + "\n"


def _put(text: str) -> None:
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except (OSError, ValueError):
        raise HungUp from None
