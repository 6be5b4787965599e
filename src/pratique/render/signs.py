"""Which characters may reach a terminal: never control characters, and only ASCII where it knows no more."""

from __future__ import annotations

import re
import unicodedata

from pratique.letters import HIDDEN
from pratique.sheets.bound import SUPERSCRIPTS

RULE = "─"
DOT = "·"
DASH = "—"
STAND_IN = "·"

_UNSAFE = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
_JOINERS = "\u200c\u200d"  # where they join something they are kept; elsewhere HIDDEN has them

_RAISED = re.compile(f"[{SUPERSCRIPTS}]+")
_SUNK = re.compile("[₀₁₂₃₄₅₆₇₈₉₊₋]+")
_LEVEL = str.maketrans(SUPERSCRIPTS + "₀₁₂₃₄₅₆₇₈₉₊₋", "0123456789+-" * 2)

# The middle dot becomes a bar: as a full stop, "2·5" would turn into another number.
_ASCII = {
    **dict.fromkeys("─━‐‑‒–—―−", "-"),
    **dict.fromkeys("‘’‚′", "'"),
    **dict.fromkeys("“”„″", '"'),
    **dict.fromkeys("µμ", "u"),
    **dict.fromkeys("·│", "|"),
    **dict.fromkeys("•●▪■", "*"),
    **dict.fromkeys("☑☒", "[x]"),
    **dict.fromkeys("✓✔", "yes"),
    **dict.fromkeys("✗✘", "no"),
    "☐": "[ ]",
    "○": "o",
    "█": "#",
    "░": ".",
    "…": "...",
    "×": "x",
    "÷": "/",
    "±": "+/-",
    "≤": "<=",
    "≥": ">=",
    "≈": "~",
    "≠": "!=",
    "→": "->",
    "←": "<-",
    "°": "deg",
    "‰": "permil",
    "√": "sqrt",
    "∞": "inf",
    "Δ": "delta ",
    "⚠": "!",
    "ß": "ss",
    "ø": "o",
    "Ø": "O",
    "æ": "ae",
    "Æ": "AE",
    "œ": "oe",
    "ł": "l",
    "Ł": "L",
    "đ": "d",
    "ı": "i",
    "⁄": "/",
}


def clean_text(text: str) -> str:
    """`text` with each character that could steer a terminal or reorder its line shown as a dot.

    >>> clean_text("q1" + chr(27) + "[2J")
    'q1·[2J'
    """
    text = HIDDEN.sub(STAND_IN, text)
    if text.isprintable():
        return text
    return "".join(STAND_IN if _is_unsafe(sign) else sign for sign in text)


def _is_unsafe(sign: str) -> bool:
    return sign not in _JOINERS and unicodedata.category(sign) in _UNSAFE


def to_ascii(text: str) -> str:
    """`text` in ASCII, keeping every number what it was.

    >>> to_ascii("≤ 2½ mg/L ± 10⁻² ¹")
    '<= 2 1/2 mg/L +/- 10^-2 [1]'
    """
    if text.isascii():
        return text
    text = _SUNK.sub(_level_sunk, _RAISED.sub(_level_raised, text))
    written = ""
    for sign in text:
        plain = sign if sign.isascii() else _ASCII.get(sign, "")
        if not plain:
            plain = _fold(sign)
            if written[-1:].isdigit() and plain[:1].isdigit() and not sign.isdecimal():
                plain = " " + plain  # "2½" is not 21/2
        written += plain
    return written


def _level_raised(match: re.Match[str]) -> str:
    """A raised figure after a letter or digit is a power; after anything else it marks a footnote."""
    level = match[0].translate(_LEVEL)
    return f"^{level}" if _before(match).isalnum() else f"[{level}]"


def _level_sunk(match: re.Match[str]) -> str:
    level = match[0].translate(_LEVEL)
    return f"_{level}" if _before(match).isdigit() else level


def _before(match: re.Match[str]) -> str:
    return match.string[max(0, match.start() - 1) : match.start()]


def _fold(sign: str) -> str:
    """The ASCII letters nearest to one sign: nothing for a lone accent, `?` where there are none."""
    if unicodedata.combining(sign):
        return ""
    parts = unicodedata.normalize("NFKD", sign).replace("⁄", "/")
    return parts.encode("ascii", "ignore").decode("ascii") or "?"
