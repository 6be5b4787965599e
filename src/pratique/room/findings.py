"""What the resolving of a room finds wrong: a list that grows, and the questions every part of it asks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any
from zoneinfo import ZoneInfo

from pratique.letters import alike_note
from pratique.problem import Place, Problem, longer_names, near_hint, near_names, quoted
from pratique.room.document import Document, Path_
from pratique.room.model import RoomFile
from pratique.room.times import LocalTimeError, When, absolute

Titles = Mapping[str, tuple[str, ...]]
"""Name to what else it is called, the first being the one shown."""

_MOST_LISTED = 12
_MOST_GUESSES = 500
"""Each guess compares a word with every known name: a file of thousands of strange words gets no more."""


@dataclass(slots=True)
class Findings:
    """`named` holds the entry names of each section as the keeper wrote them, refused ones too.

    A name that was refused is known all the same: one cause, one problem.
    """

    document: Document
    written: RoomFile
    named: Mapping[str, Collection[str]]
    zone: ZoneInfo
    problems: list[Problem] = field(default_factory=list)
    _near: dict[tuple[str, str], str] = field(default_factory=dict)

    def report(
        self, code: str, place: Place, message: str, hint: str = "", *also: Place, note: str = ""
    ) -> None:
        problem = Problem(code=code, message=message, places=(place, *also), hint=hint, note=note)
        self.problems.append(problem)

    def place(self, path: Path_, *, key: bool = False, word: str = "", label: str = "") -> Place:
        return self.document.place(path, key=key, word=word, label=label)

    def has(self, path: Path_, key: str, value: Any) -> bool:
        """True where the keeper gave `key`, also where what was given has been refused."""
        return value not in (None, (), False) or self.document.was_cut(path, key)

    def moment(self, when: When | None, path: Path_, *, end_of_day: bool = False) -> dt.datetime | None:
        if when is None:
            return None
        try:
            return absolute(when, self.zone, end_of_day=end_of_day)
        except LocalTimeError as error:
            self.report(error.code, self.place(path), error.message, error.hint)
        return None

    def check_name(
        self,
        word: str,
        known: Collection[str],
        what: str,
        path: Path_,
        *,
        section: str = "",
        titles: Titles | None = None,
    ) -> bool:
        """True where `word` is known. Where `section` of the file holds it, but refused, nothing is said."""
        if word in known:
            return True
        refused = self.named.get(section, ())
        if word not in refused:
            names = {*known, *refused}
            hint = self.near(what, word, names, titles or {}) or _list_known(known, section)
            note = alike_note(word, names) if len(self._near) < _MOST_GUESSES else ""
            self.report("F113", self.place(path), f"unknown {what} {quoted(word)}", hint, note=note)
        return False

    def near(self, what: str, word: str, known: Iterable[str], titles: Titles) -> str:
        """A hint with near names, or with names that hold the word, or whose title does; empty where there are none."""
        key = (what, word)
        if key not in self._near and len(self._near) < _MOST_GUESSES:
            names = near_names(word, known)
            called = {name: titles[name][0] for name in names if name in titles}
            if not names:
                names = _one_each(longer_names(word, known), titles)
                called = {name: titles[name][0] for name in names if name in titles}
            if not names and len(word) > 3:
                called = {name: title for name, title in _said(titles) if word.lower() in title.lower()}
                names = list(called)[:3]
            self._near[key] = near_hint(names, called)
        return self._near.get(key, "")


def _one_each(names: Iterable[str], titles: Titles) -> list[str]:
    """At most three names, of those that are called the same otherwise the first: one fish has many names."""
    found = {titles[name][0] if name in titles else name: name for name in reversed(list(names))}
    return list(reversed(found.values()))[:3]


def _said(titles: Titles) -> Iterator[tuple[str, str]]:
    return ((name, title) for name, said in titles.items() for title in said)


def _list_known(known: Collection[str], section: str) -> str:
    names = list(known)
    if not names:
        return f"there are none yet: write it under `{section}:`" if section else ""
    more = f" and {len(names) - _MOST_LISTED} more" if len(names) > _MOST_LISTED else ""
    return "known: " + ", ".join(f"`{name}`" for name in names[:_MOST_LISTED]) + more
