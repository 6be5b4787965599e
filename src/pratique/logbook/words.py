"""Words as they were typed, read from left to right, and the names they may hold: the longest name first."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from pratique.letters import alike_note
from pratique.problem import longer_names, near_hint, near_names, quoted
from pratique.room.wrong import Wrong

_MOST_LISTED = 12
_JOINERS = re.compile(r"[\s_,–—-]+")


def folded(text: str) -> str:
    """Capitals and joiners do not count.

    >>> folded("Blue-Tub")
    'blue tub'
    """
    return _JOINERS.sub(" ", text).strip().casefold()


class Names:
    """Names of one sort, such as tanks; a word can be another name for one, or for several."""

    def __init__(self, what: str, names: Iterable[str], others: Mapping[str, Sequence[str]] | None = None) -> None:
        self.what = what
        self.all = tuple(dict.fromkeys(names))
        self._meant = _gathered((others or {}).items()) | _gathered((name, (name,)) for name in self.all)
        self._longest = max((len(key.split()) for key in self._meant), default=0)

    def meant(self, text: str) -> tuple[str, ...]:
        return self._meant.get(folded(text), ())

    def longest(self, words: Sequence[str]) -> int:
        """How many of the first `words` make a name; 0 where none does."""
        spans = range(min(self._longest, len(words)), 0, -1)
        return next((span for span in spans if self.meant(" ".join(words[:span]))), 0)

    def unknown(self, words: Sequence[str]) -> Wrong:
        """What to say of `words`, which do not begin with a name: the nearest there is, never taken for it."""
        for span in range(min(self._longest + 1, len(words)), 0, -1):
            text = " ".join(words[:span])
            near, alike = near_names(folded(text), self._meant), alike_note(text, self.all)
            if near or alike:
                found = list(dict.fromkeys(name for key in near for name in self._meant[key]))[:3]
                called = {name: key for key in reversed(near) for name in self._meant[key]}
                titles = {name: key for name, key in called.items() if key != folded(name)}
                hint = near_hint(found, titles) or "type the name anew"
                return Wrong("L732", f"unknown {self.what} {quoted(text)}", hint, alike, part=text)
        hint = near_hint(longer_names(words[0], self.all)) or self.known()
        if words[0].isdecimal():
            hint = f"the {self.what} comes first, then how many; {hint}"
        return Wrong("L732", f"unknown {self.what} {quoted(words[0])}", hint, part=words[0])

    def known(self) -> str:
        if not self.all:
            return f"the room file has no {self.what} yet"
        more = f" and {len(self.all) - _MOST_LISTED} more" if len(self.all) > _MOST_LISTED else ""
        return "known: " + ", ".join(f"`{name}`" for name in self.all[:_MOST_LISTED]) + more


def _gathered(pairs: Iterable[tuple[str, Sequence[str]]]) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for word, meant in pairs:
        key = folded(word)
        found[key] = tuple(dict.fromkeys((*found.get(key, ()), *meant)))
    return found


@dataclass(slots=True)
class Words:
    """The words of one entry, and how far they have been read. Every failure is a `Wrong`."""

    items: list[str]
    at: int = 0
    moment: dt.datetime | None = None
    """When it happened, where that has been read."""

    @property
    def left(self) -> list[str]:
        return self.items[self.at :]

    @property
    def rest(self) -> str:
        return " ".join(self.left)

    def take_rest(self) -> str:
        text, self.at = self.rest, len(self.items)
        return text

    def try_word(self, *phrases: str) -> bool:
        """Go past one of `phrases` (each of one word or more) if it comes next."""
        for phrase in phrases:
            span = len(phrase.split())
            if " ".join(self.left[:span]).casefold() == phrase:
                self.at += span
                return True
        return False

    def upto(self, *stops: str) -> str:
        """The words before the first of `stops`, or all that are left; the stop itself stays."""
        end = next((index for index in range(self.at, len(self.items)) if self.items[index].casefold() in stops), None)
        taken = self.items[self.at : end]
        self.at += len(taken)
        return " ".join(taken)

    def need(self, what: str, hint: str = "") -> None:
        if not self.left:
            raise Wrong("L731", f"{what} is missing", hint)

    def try_names(self, names: Names) -> tuple[str, ...]:
        """What the longest name that comes next can mean; empty where no name comes."""
        span = names.longest(self.left)
        found = names.meant(" ".join(self.left[:span])) if span else ()
        self.at += span
        return found

    def try_name(self, names: Names) -> str | None:
        start = self.at
        found = self.try_names(names)
        if len(found) > 1:
            text = " ".join(self.items[start : self.at])
            hint = "write one of: " + ", ".join(f"`{name}`" for name in found[:_MOST_LISTED])
            raise Wrong("L733", f"{quoted(text)} could be more than one {names.what}", hint, part=text)
        return found[0] if found else None

    def name(self, names: Names) -> str:
        """The name that has to come next."""
        self.need(f"the {names.what}", names.known())
        found = self.try_name(names)
        if found is None:
            raise names.unknown(self.left)
        return found

    def try_count(self) -> int | None:
        """`3`, `3x` or `x3`, where it comes next and is not the last word of all that are left."""
        found = re.fullmatch(r"x?([0-9]{1,7})x?", self.left[0].casefold()) if self.left else None
        if found is None:
            return None
        if int(found[1]) < 1:
            raise Wrong(
                "U212", f"{quoted(self.left[0])} is not a whole number from 1", "write how many", part=self.left[0]
            )
        self.at += 1
        return int(found[1])

    def end(self) -> None:
        """Nothing may be left."""
        if self.left:
            hint = "entries on one line are parted by `,` or `;`; remarks come after `because`"
            raise Wrong("L735", f"{quoted(self.rest)} is left over", hint, part=self.rest)
