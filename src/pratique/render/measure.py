"""How wide a text stands on a screen, and where a line of it may end."""

from __future__ import annotations

import re
from collections.abc import Iterable

from pratique.sheets.bound import SUPERSCRIPTS, bound_words

READING_MOST = 100  # sentences longer than this are hard to follow, however wide the screen
WORD_MOST = 24  # a longer word of prose may be broken to keep a table together

_NARROW = frozenset(
    [chr(code) for code in (*range(0x20, 0x7F), *range(0xA0, 0xAD), *range(0xAE, 0x180))]
    + list("‐‑–—‘’“”„•…‰′″−≈≠≤≥←→─│☐☑✓✗₀₁₂₃₄₅₆₇₈₉" + SUPERSCRIPTS)
)
_ATOM = re.compile(r"\d(?:[\d.,]*\d)?|.", re.DOTALL)


def text_width(text: str) -> int:
    """Screen columns taken by `text`; rich is asked only about letters beyond the usual Latin ones."""
    if _NARROW.issuperset(text):
        return len(text)
    from rich.cells import cell_len

    return cell_len(text)


def wrap_text(text: str, room: int | None) -> list[str]:
    """`text` in lines of at most `room` columns.

    A number keeps its unit, its operator and its footnote mark beside it while there is room; a number
    itself is never broken, even if that takes more than `room`.
    """
    if room is None or text_width(text) <= room:
        return [text]
    lines: list[str] = []
    for piece in wrap_words(text, room):
        if lines and text_width(joined := f"{lines[-1]} {piece}") <= room:
            lines[-1] = joined
        else:
            lines.append(piece)
    return lines


def wrap_words(text: str, room: int) -> list[str]:
    """The pieces `text` may be broken into, none wider than `room` but for a number that is itself."""
    pieces: list[str] = []
    for bound in bound_words(text):
        if text_width(bound) <= room:
            pieces.append(bound)
            continue
        for word in bound.split(" "):
            pieces += [word] if text_width(word) <= room else _break_word(word, room)
    return pieces


def _break_word(word: str, room: int) -> list[str]:
    if not word.strip("_"):
        return [word[:room]]  # a line to write on is as long as it can be
    pieces = [""]
    for atom in _atoms(word):
        if pieces[-1] and text_width(pieces[-1] + atom) > room:
            pieces.append(atom)
        else:
            pieces[-1] += atom
    return pieces


def _atoms(word: str) -> list[str]:
    """The parts of a word that stay whole: each number, each letter with its accents."""
    atoms: list[str] = []
    for part in _ATOM.findall(word):
        if atoms and (text_width(part) == 0 or atoms[-1].endswith("\u200d")):
            atoms[-1] += part
        else:
            atoms.append(part)
    return atoms


def least_width(text: str) -> int:
    """The fewest columns in which `text` can be wrapped without hurting a number or a common word."""
    return widest(_least_word(word) for word in bound_words(text))


def _least_word(word: str) -> int:
    width = text_width(word)
    return width if width <= WORD_MOST else max(widest(map(text_width, _atoms(word))), WORD_MOST)


def widest(widths: Iterable[int]) -> int:
    return max(widths, default=0)
