"""What the place we write to can show: its width, its characters, colour."""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import NamedTuple, TextIO

_NEEDED = "─—–·×÷±≤≥≈°µ☐→¹⁴"
_USUAL_WIDTH = 80


class Screen(NamedTuple):
    """`width` None: lines as long as they are. `draws`: what was written can be written over."""

    width: int | None
    unicode: bool
    color: bool
    draws: bool = False


def look_at(stream: TextIO, environ: Mapping[str, str] = os.environ) -> Screen:
    """Ask `stream` and the environment once; everything after that is plain text work."""
    terminal = stream.isatty()
    return Screen(
        width=_asked_width(environ) or (_own_width(stream) if terminal else None),
        unicode=_can_encode(getattr(stream, "encoding", None) or "ascii"),
        color=terminal and not environ.get("NO_COLOR") and environ.get("TERM") != "dumb" and _knows_color(),
        draws=terminal and environ.get("TERM", "dumb") not in ("dumb", "unknown", ""),
    )


def window(stream: TextIO) -> tuple[int, int]:
    """Columns and rows of the window at this moment."""
    try:
        size = os.get_terminal_size(stream.fileno())
    except (OSError, ValueError):
        return _USUAL_WIDTH, 24
    return size.columns or _USUAL_WIDTH, size.lines or 24


def _asked_width(environ: Mapping[str, str]) -> int | None:
    asked = environ.get("COLUMNS", "").strip()
    return int(asked) if asked.isascii() and asked.isdigit() and int(asked) > 0 else None


def _own_width(stream: TextIO) -> int:
    try:
        return os.get_terminal_size(stream.fileno()).columns or _USUAL_WIDTH
    except (OSError, ValueError):
        return _USUAL_WIDTH


def _can_encode(encoding: str) -> bool:
    try:
        _NEEDED.encode(encoding)
    except (LookupError, UnicodeError):
        return False
    return True


def _knows_color() -> bool:
    """Old consoles of one operating system print colour codes as text."""
    if os.name != "nt":
        return True
    from rich.console import detect_legacy_windows

    return not detect_legacy_windows()
