"""What is wrong, as plain data: one object for the terminal, JSON and the tests."""

from __future__ import annotations

import errno
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A spot in a file the keeper wrote; line and column count from 1, `text` is that whole line."""

    file: str
    line: int
    column: int
    width: int = 1
    text: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing that is wrong. `message` stands alone; only `hint` says what to do.

    `places` holds the primary place first, then others that conspire with it or repeat it.
    """

    code: str
    message: str
    severity: Severity = "error"
    places: tuple[Place, ...] = ()
    note: str = ""
    source: str = ""
    hint: str = ""

    @property
    def place(self) -> Place | None:
        return self.places[0] if self.places else None

    @property
    def is_error(self) -> bool:
        return self.severity == "error"


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """The answer when a number would be wrong or dangerous. Holds every reason, the first leading."""

    problems: tuple[Problem, ...] = field(default_factory=tuple)

    def __post_init__(self) -> None:
        if not self.problems:
            raise ValueError("a refusal needs a reason")

    @property
    def first(self) -> Problem:
        return self.problems[0]


def sort_problems(problems: Iterable[Problem]) -> list[Problem]:
    """By file and line; those without a place come last, in the order they were found."""

    def key(problem: Problem) -> tuple[int, str, int, int]:
        place = problem.place
        return (1, "", 0, 0) if place is None else (0, place.file, place.line, place.column)

    return sorted(problems, key=key)


def quoted(word: object) -> str:
    """The keeper's own word in backticks, on one line and never longer than a line can show.

    >>> quoted("copper"), quoted("a" * 100)[-12:]
    ('`copper`', 'aaaaaaaaaa…`')
    """
    text = " ".join(str(word).split())
    if len(text) > _LONGEST_WORD:
        text = text[:_LONGEST_WORD] + "…"
    return f"`{text}`"


_LONGEST_WORD = 60


def system_says(error: OSError | ValueError) -> str:
    """Why the system would not open, read or write a file: in our words where they are known, else in its own.

    >>> system_says(PermissionError(errno.EACCES, "Permission denied"))
    'its permissions forbid it'
    """
    number = getattr(error, "errno", None) or 0
    return _SYSTEM.get(number) or str(getattr(error, "strerror", None) or error).lower()


_SYSTEM = {
    errno.ENOENT: "its folder does not exist",
    errno.ENOTDIR: "a part of its path is not a folder",
    errno.EISDIR: "it is a folder, not a file",
    errno.EACCES: "its permissions forbid it",
    errno.EPERM: "its permissions forbid it",
    errno.EROFS: "it lies where nothing can be written",
    errno.ELOOP: "its links lead in a circle",
    errno.ENAMETOOLONG: "its name is too long",
    errno.ENOSPC: "the disk is full",
}


def near_names(word: str, known: Iterable[str]) -> list[str]:
    """At most three known names within edit distance 1 (short words) or 2, nearest first.

    Never applied by the program: a wrong near name may be a wrong drug.

    >>> near_names("dispaly", ["display", "ward"])
    ['display']
    """
    word = word.lower()
    letters = set(word)
    limit = 1 if len(word) < 4 else 2
    found = []
    for name in set(known):
        if abs(len(name) - len(word)) > limit:
            continue
        lowered = name.lower()
        # one edit changes at most two members of the set of letters: a cheap test before the dear one
        if len(letters.symmetric_difference(lowered)) > 2 * limit:
            continue
        distance = _edit_distance(word, lowered, limit)
        if distance <= limit and distance < len(word):
            found.append((distance, name))
    return [name for _, name in sorted(found)[:3]]


def longer_names(word: str, known: Iterable[str]) -> list[str]:
    """Known names that hold what was typed: it was cut short, and may be meant for more than one of them.

    >>> longer_names("copper", ["copper-ionic", "formalin-bath", "copper-amine"])
    ['copper-ionic', 'copper-amine']
    """
    typed = word.casefold()
    found = [name for name in known if typed in name.casefold()] if len(typed) >= _SHORTEST_PART else []
    return list(dict.fromkeys(found))[:5]


_SHORTEST_PART = 3


def near_hint(names: Iterable[str], titles: Mapping[str, str] | None = None) -> str:
    """The hint that offers near names, with what else they are called; empty where there are none.

    >>> near_hint(["verdine"], {"verdine": "Verdine 10 %"})
    'did you mean `verdine` (Verdine 10 %)? nothing was changed'
    """
    called = titles or {}
    offered = " or ".join(f"`{name}` ({called[name]})" if name in called else f"`{name}`" for name in names)
    return f"did you mean {offered}? nothing was changed" if offered else ""


def _edit_distance(a: str, b: str, limit: int) -> int:
    """Damerau-Levenshtein (adjacent swaps count 1), cut off above `limit`."""
    two_back: list[int] = []
    last = list(range(len(b) + 1))
    for i, char in enumerate(a, 1):
        row = [i]
        for j, other in enumerate(b, 1):
            cost = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (char != other))
            if i > 1 and j > 1 and char == b[j - 2] and a[i - 2] == other:
                cost = min(cost, two_back[j - 2] + 1)
            row.append(cost)
        if min(row) > limit:
            return limit + 1
        two_back, last = last, row
    return last[-1]


def plural(number: int, word: str, many: str = "") -> str:
    """A count with its word.

    >>> plural(1, "head"), plural(2, "batch", "batches")
    ('1 head', '2 batches')
    """
    return f"{number} {word if number == 1 else many or word + 's'}"
