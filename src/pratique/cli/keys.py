"""A terminal taken over for single keys, and given back as it was whatever happens in between."""

from __future__ import annotations

import os
import select
import signal
import sys
from collections.abc import Callable
from contextlib import suppress
from types import FrameType, TracebackType
from typing import Any, Self

HIDE_AND_ENTER, LEAVE_AND_SHOW = "\x1b[?1049h\x1b[?25l", "\x1b[?25h\x1b[?1049l"
"""A screen of its own, without a cursor; then the screen that was there before."""

_ENDING = ("SIGTERM", "SIGHUP", "SIGINT", "SIGQUIT")
_STOPPING = ("SIGTSTP", "SIGTTIN", "SIGTTOU")


_Handler = Callable[[int, FrameType | None], None] | signal.Handlers


class Interrupted(BaseException):
    """Somebody or something ended the program: no `except Exception` on the way may hold it up."""


class HungUp(Interrupted):
    """The terminal is gone."""


def can_read_keys() -> bool:
    """True where the terminal can be asked for single keys."""
    try:
        import termios  # noqa: F401
    except ImportError:
        return False
    return True


class Keys:
    """Within it, keys come one by one and unseen, and `wait` raises `Interrupted` after a signal to end.

    A signal waits until the next `wait`, so that no entry of the log breaks off in the middle. `drawn`: the whole
    screen is taken; else lines are only added to it.
    """

    def __init__(self, *, drawn: bool) -> None:
        self.drawn = drawn
        self._modes: list[Any] = []
        self._handlers: dict[int, Any] = {}
        self._woken = False
        self._ending: type[Interrupted] | None = None

    def __enter__(self) -> Self:
        import termios

        descriptor = sys.stdin.fileno()
        self._modes = termios.tcgetattr(descriptor)
        self._catch(_ENDING, self._end)
        self._catch(_STOPPING, signal.SIG_IGN)  # a clock at a tank is not put into the background
        self._catch(("SIGWINCH",), self._wake)
        try:
            self._set(descriptor)
            self._write(HIDE_AND_ENTER if self.drawn else "")
        except BaseException:
            self._restore()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._restore()

    def _set(self, descriptor: int) -> None:
        import termios

        modes = termios.tcgetattr(descriptor)
        modes[0] &= ~termios.IXON  # Ctrl-S would hold up the clock
        modes[3] &= ~(termios.ICANON | termios.ECHO)
        modes[6][termios.VMIN], modes[6][termios.VTIME] = 1, 0
        termios.tcsetattr(descriptor, termios.TCSANOW, modes)

    def _restore(self) -> None:
        """Each step on its own: where the terminal is gone, there is nothing left to give back."""
        import termios

        with suppress(OSError, ValueError):
            self._write(LEAVE_AND_SHOW if self.drawn else "")
        with suppress(OSError, ValueError, termios.error):
            termios.tcsetattr(sys.stdin.fileno(), termios.TCSADRAIN, self._modes)
        for number, handler in self._handlers.items():
            signal.signal(number, handler)

    def _catch(self, names: tuple[str, ...], handler: _Handler) -> None:
        for name in names:
            number = getattr(signal, name, None)
            if number is not None:
                self._handlers[number] = signal.signal(number, handler)

    def _end(self, number: int, _frame: FrameType | None) -> None:
        self._ending = HungUp if number == getattr(signal, "SIGHUP", None) else Interrupted

    def _wake(self, _number: int, _frame: FrameType | None) -> None:
        self._woken = True

    def wait(self, seconds: float) -> str:
        """The keys pressed within `seconds`, or sooner nothing where the window was resized."""
        if self._woken:
            self._woken, seconds = False, 0.0
        if self._ending is not None:
            raise self._ending
        try:
            ready, _, _ = select.select([sys.stdin.fileno()], [], [], seconds)
            data = os.read(sys.stdin.fileno(), 256) if ready else None
        except OSError:
            raise HungUp from None
        if self._ending is not None:
            raise self._ending
        if data == b"":
            raise HungUp
        return _letters(data or b"")

    @staticmethod
    def _write(text: str) -> None:
        if text:
            sys.stdout.write(text)
            sys.stdout.flush()


def _letters(data: bytes) -> str:
    """What was pressed, without the arrows and other keys that send several characters."""
    text = data.decode("utf-8", "replace")
    return "" if text.startswith("\x1b") else text
