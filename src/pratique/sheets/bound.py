"""Which words of a sentence belong together, wherever it is set: a number and its unit never part at a line's end."""

from __future__ import annotations

import re

SUPERSCRIPTS = "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻"
MARK = re.compile(rf"[{SUPERSCRIPTS}]+|\[\d+\]")
"""The mark of a footnote."""

_FIGURE = re.compile(r"[+\-−~]?\d(?:[\d.,–-]*\d)?|__+")  # or a line to write one on
_WEEKDAYS = frozenset(["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"])
_OPERATORS = frozenset(["<=", ">=", "+/-", *"×÷+−±=≈~<>≤≥x/"])
_OPENING = "`([{\"'"


def bound_words(text: str) -> list[str]:
    """The words of `text`, those that belong to one number taken as one.

    >>> bound_words("add 620.0 L × 2.0 mg/L ¹")
    ['add', '620.0 L', '× 2.0 mg/L ¹']
    """
    bound: list[str] = []
    last = ""
    for word in text.split(" "):
        if not word:
            continue
        if bound and _belongs(last, word):
            bound[-1] += f" {word}"
        else:
            bound.append(word)
        last = word
    return bound or [""]


def _belongs(last: str, word: str) -> bool:
    if MARK.fullmatch(word) or last in _OPERATORS:
        return True
    if word[0].isdigit():
        return last.lstrip(_OPENING) in _WEEKDAYS
    return bool(_FIGURE.fullmatch(last.lstrip(_OPENING))) and word not in _OPERATORS
