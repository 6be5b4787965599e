"""Signs that do not show, and letters that look like others: what no name may hold, wherever it is read.

Whoever reads a label sees shapes, the program sees signs. Where the two could part, the words are refused.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

_STEERING = "\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028-\u202e\u2066-\u206f\ufff9-\ufffb"
"""Control characters but for tab and line feed; what turns the direction of a line, or ends it for some programs."""
_EMPTY = (
    "\xad\u034f\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b\u2060-\u2065\u2800\u3164\ufeff\uffa0\ufffc\ufffe\uffff"
    "\U0001d173-\U0001d17a\U000e0000-\U000e0fff"
)
"""What takes no room on the screen, or only an empty one."""
_JOINERS = "\u200c\u200d"
"""They join the letters of some scripts and the parts of an emoji; among Latin letters they hide."""
_EARLY = "\x00-\u05ff"
"""Latin, Greek, Cyrillic, Armenian, Hebrew, digits and spaces: nothing here is joined."""

HIDDEN = re.compile(f"[{_STEERING}{_EMPTY}\ud800-\udfff]|(?<![^{_EARLY}])[{_JOINERS}]")
"""A sign that does not show; tab and line feed are for those who ask."""


def named(hidden: str) -> str:
    """A sign that does not show, in words.

    >>> named("\u200b")
    'a character that does not show (U+200B)'
    """
    return f"a character that does not show (U+{ord(hidden):04X})"


_REFUSED = f"\t\n{_STEERING}{_EMPTY}{_JOINERS}"
_JOINED = rf"[^\s{_EARLY}{_REFUSED}][{_JOINERS}]+"
ONE_WORD = rf"^(?:{_JOINED}|[^\s{_REFUSED}])+$"
ONE_LINE = rf"^(?:{_JOINED}|[^\s{_REFUSED}])(?:(?:{_JOINED}|[^{_REFUSED}])*(?:{_JOINED}|[^\s{_REFUSED}]))?$"
"""The same for a validator that knows no look-behind: words on one line, with no space at its ends."""


def skeleton(name: str) -> str:
    """Names with the same skeleton can be misread for one another on a wet label.

    >>> skeleton("Q1") == skeleton("ql"), skeleton("ward 1") == skeleton("ward 2")
    (True, False)
    """
    plain = "".join(c for c in unicodedata.normalize("NFKD", name) if unicodedata.category(c)[0] not in "MC")
    return " ".join(plain.translate(_LATIN).casefold().translate(_SMALL).split())


_LATIN = str.maketrans(
    "АВЕЅІЈКМНОРСТУХаеорсухіјѕԁһԛԝүкг" + "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧανορικυ" + "ՕԼՏօոսցհ" + "ɑɡıȷ" + "_-–—‐‑−",
    "ABESIJKMHOPCTYXaeopcyxijsdhqwykr" + "ABEZHIKMNOPTYXavopiku" + "OLSonugh" + "agij" + "       ",
)
"""Cyrillic, Greek, Armenian and rare letters that look Latin; joiners that look like a space."""

_SMALL = str.maketrans("01i|", "olll")


@dataclass(frozen=True, slots=True)
class Stranger:
    """A letter of another alphabet than the rest of its word; `number` counts the letters of the name from 1."""

    letter: str
    number: int
    alphabet: str
    among: str


_ALPHABETS = ("Latin", "Greek", "Cyrillic", "Armenian", "Cherokee")
"""Alphabets whose letters are taken for each other."""
_UNIT_LETTERS = "μΩ"
"""Greek letters that stand in a unit."""


def stranger_in(name: str) -> Stranger | None:
    """The first letter that is not of the alphabet of its word; None where each word keeps to one.

    >>> stranger_in("rееf tub").alphabet, stranger_in("аквариум reef"), stranger_in("5 μL")
    ('Cyrillic', None, None)
    """
    if name.isascii():
        return None
    for word in re.finditer(r"[^\W\d_]+", name):
        told = [(word.start() + at, _alphabet(sign)) for at, sign in enumerate(word[0])]
        known = [(at, alphabet) for at, alphabet in told if alphabet]
        names = [alphabet for _, alphabet in known]
        most = max(dict.fromkeys(names), key=names.count, default="")
        for at, alphabet in known:
            if alphabet != most:
                return Stranger(name[at], at + 1, alphabet, most)
    return None


def _alphabet(sign: str) -> str:
    """Empty for a sign of no alphabet that matters here."""
    if sign in _UNIT_LETTERS:
        return ""
    alphabet = unicodedata.name(sign, "").partition(" ")[0].capitalize()
    return alphabet if alphabet in _ALPHABETS else ""


def alike_note(word: str, known: Iterable[str]) -> str:
    """Which of `known` looks like `word` and is typed otherwise, in a sentence; empty where none does."""
    shape, plain = skeleton(word), word.isascii()
    others = (name for name in known if name != word and not (plain and name.isascii()))
    found = next((name for name in others if skeleton(name) == shape), "")
    return found and f"`{found}` looks the same and has other letters in it"
