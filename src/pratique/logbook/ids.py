"""Ids of log entries: seven characters that are easy to type with wet hands and sort by the time of writing.

An id counts half seconds since 1990 in an alphabet of 28 without look-alikes: no 0, o, 1, i, l, s, z, u.
Entries written in the same second get the numbers that follow, so ids of one file never meet.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Container

LETTERS = "23456789abcdefghjkmnpqrtvwxy"
"""In the order of their code points, so that ids sort as text."""

LENGTH = 7
PATTERN = f"^[{LETTERS}]{{{LENGTH}}}$"

_EPOCH = dt.datetime(1990, 1, 1, tzinfo=dt.UTC)
_MEANT = str.maketrans({"s": "5", "z": "2", "u": "v", "-": None, " ": None})


class Ids:
    """Gives out ids that are not taken, those of one moment in the order in which they are asked for."""

    def __init__(self, taken: Container[str] = ()) -> None:
        self._taken = taken
        self._given: set[str] = set()
        self._last = -1

    def new(self, written: dt.datetime) -> str:
        """A free id for an entry written at `written` (with an offset, 1990 to 2149)."""
        base = (written - _EPOCH) // dt.timedelta(seconds=1) * 2
        number = self._last + 1 if base <= self._last < base + _FAR else base
        while (found := spell(number)) in self._taken or found in self._given:
            number += 1
        self._last = number
        self._given.add(found)
        return found


_FAR = 1_000_000
"""How many ids may follow one moment before the count is taken up anew."""


def spell(number: int) -> str:
    """The id that counts `number`.

    >>> spell(0), spell(29)
    ('2222222', '2222233')
    """
    out = ""
    for _ in range(LENGTH):
        number, rest = divmod(number, len(LETTERS))
        out = LETTERS[rest] + out
    if number:
        raise ValueError("too late a time for an id")
    return out


def meant_id(text: str) -> str:
    """What somebody meant who typed an id with capitals, a hyphen, or a letter that looks like another.

    >>> meant_id("K7M-2Q9S")
    'k7m2q95'
    """
    return text.lower().translate(_MEANT)


def slug(*parts: str) -> str:
    """Parts of an id, joined; a slash inside a name cannot be taken for a joint.

    >>> slug("spring tangs", "transfers", "move")
    'spring-tangs/transfers/move'
    """
    return "/".join(part.replace("%", "%25").replace("/", "%2F").replace(" ", "-") for part in parts)
