"""The short words that wet hands type after `pratique log`, understood as entries.

    [WHEN] KIND … [at WHEN] [because …]         correct ID KIND …         withdraw ID [because …]

`kinds` has the form of each kind. Several entries stand on one line, parted by `;`, or by `,` where a kind (or,
after a reading, another measure) follows. Names are matched whole, the longest first; a near name is offered,
never taken. WHEN is `08:30`, `yesterday 20:00` or `2027-03-05T08:30`, in the room's time zone.

What is refused, so that nothing is written: words that cannot be understood for certain (unknown names, missing
units, impossible figures, words left over), what has not happened yet, and words that contradict each other (a
bottle that does not hold what the treatment is). What is kept with a warning: see `check`.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from pratique.logbook.entry import KINDS, Common, Correction
from pratique.logbook.faults import explain
from pratique.logbook.fields import HIDDEN
from pratique.logbook.ids import meant_id
from pratique.logbook.kinds import GRAMMAR, Fields, reading_of
from pratique.logbook.scope import Scope
from pratique.logbook.words import Words
from pratique.problem import Place, Problem, near_hint, near_names, quoted
from pratique.room.times import LocalTimeError, absolute, read_clock_time, read_when
from pratique.room.wrong import Wrong

_KIND_OF = {word: kind for kind, (_, others) in GRAMMAR.items() for word in (kind, *others)}
_FIRST_WORDS = (*_KIND_OF, "correct", "withdraw")

_CLOCK = r"[0-9]{1,2}[:.][0-9]{2}(?::[0-9]{2})?(?:Z|[+-][0-9]{2}:?[0-9]{2})?(?: ?[ap]\.?m\.?)?|[0-9]{1,2} ?[ap]\.?m\.?"
_DATE = r"[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}|[0-9]{1,4}[/.][0-9]{1,2}[/.][0-9]{2,4}"
_WHEN = rf"(?:(?:yesterday|today)(?: at)? (?:{_CLOCK})|(?:{_DATE})(?:(?:T| at | )(?:{_CLOCK}))?|{_CLOCK})"
_LEADING = re.compile(rf"({_WHEN}),? (?=\S)", re.I)
_TRAILING = re.compile(rf" at ({_WHEN})$", re.I)
_CLOSEST_CALL = 4000


@dataclass(frozen=True, slots=True)
class Understood:
    """The entries that the words say, in their order; with an error among `problems` some part was not understood."""

    entries: tuple[Common, ...]
    problems: tuple[Problem, ...] = ()


def parse_entry(words: Sequence[str], scope: Scope, *, file: str = "pratique log", line: int = 1) -> Understood:
    """The entries in `words`, a command line or a line of a file named `file`. Never raises for what was typed.

    Problems have the codes L730 to L738, the codes of quantities (U2xx) and of times (F115 to F117).
    """
    text = " ".join(" ".join(words).split())
    entries: list[Common] = []
    problems: list[Problem] = []
    tank = ""
    for start, part in _parts(text):
        try:
            found = _Part(part, scope, tank).entries()
            entries += found
            tank = _tank_of_reading(found)
        except Wrong as wrong:
            problems.append(_placed(wrong, text, start, part, file, line))
    return Understood(tuple(entries), tuple(problems))


def parse_lines(text: str, scope: Scope, *, file: str) -> Understood:
    """The entries of a whole text, such as a paper log typed up: blank lines and lines with `#` are skipped."""
    entries: list[Common] = []
    problems: list[Problem] = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip() and not line.lstrip().startswith("#"):
            found = parse_entry([line], scope, file=file, line=number)
            entries += found.entries
            problems += found.problems
    return Understood(tuple(entries), tuple(problems))


def _parts(text: str) -> Iterator[tuple[int, str]]:
    """Where each entry begins in `text`, and its words. Free text (a note, a reason) goes on to the next `;`."""
    start = 0
    for piece in re.split(r"(;)", text):
        if piece != ";":
            yield from _parts_at_commas(piece, start)
        start += len(piece)


def _parts_at_commas(piece: str, start: int) -> Iterator[tuple[int, str]]:
    begin = 0
    for comma in re.finditer(r", ?(?=(\S+))", piece):
        so_far = piece[begin : comma.start()]
        if re.match(r"\s*note\b|.* because ", so_far, re.I):
            break
        if comma[0] == ", " and _begins_entry(comma[1]):
            yield start + begin, so_far
            begin = comma.end()
    yield start + begin, piece[begin:].rstrip(", ")


def _begins_entry(word: str) -> bool:
    """A first word, a time or a measure; a number after a comma is more likely a decimal."""
    known = word.casefold() in _FIRST_WORDS or re.fullmatch(_WHEN, word, re.I) is not None
    return known or word.casefold() in _MEASURES


_MEASURES = ("copper", "ammonia", "nitrite", "ph", "salinity", "temperature", "oxygen", "alkalinity", "temp")


def _tank_of_reading(found: Sequence[Common]) -> str:
    """The tank that a following `, ammonia 0.1 mg/L` is about."""
    last = found[-1] if found else None
    return last.__dict__["tank"] if last is not None and last.kind == "reading" else ""


class _Part:
    """One entry's words: the time and the reason are taken off, then the rest is read by its kind."""

    def __init__(self, text: str, scope: Scope, tank: str) -> None:
        self._text, self._scope, self._tank = text.strip(), scope, tank

    def entries(self) -> list[Common]:
        hidden = re.search(f"[{HIDDEN}]", self._text)
        if hidden:
            message = f"a character that does not show (U+{ord(hidden[0]):04X}) stands in the words"
            raise Wrong("L730", message, "type it again", part=hidden[0])
        leading = _LEADING.match(self._text)
        if leading:
            self._text = self._text[leading.end() :]
        word, _, rest = self._text.partition(" ")
        first = word.casefold()
        if first == "note":
            at = self._moment(leading[1] if leading else None)
            return self._build("note", {"at": at}, GRAMMAR["note"][0](Words(rest.split()), self._scope))
        rest, _, why = rest.partition(" because ") if not rest.startswith("because ") else ("", "", rest[8:])
        trailing = _TRAILING.search(f" {rest}")
        if trailing and leading:
            raise Wrong("L735", "two times are given", "write one", part=trailing[1])
        if trailing:
            rest = f" {rest}"[: trailing.start()].strip()
        when = trailing[1] if trailing else leading[1] if leading else None
        shared = {"because": " ".join(why.split()) or None}
        if first == "withdraw":
            return self._withdraw(Words(rest.split()), when, shared)
        if first == "correct":
            return self._correct(rest, when, shared)
        return self._read(first, word, rest, self._moment(when), shared)

    def _read(self, first: str, word: str, rest: str, at: dt.datetime, shared: Fields) -> list[Common]:
        kind = _KIND_OF.get(first)
        if kind is None and self._tank and self._scope.measured.meant(first):
            words = Words([word, *rest.split()])
            found: Sequence[Fields] = [reading_of(self._tank, words, self._scope)]
            kind = "reading"
        elif kind is None:
            hint = near_hint(near_names(first, _FIRST_WORDS)) or "an entry begins with one of: " + ", ".join(GRAMMAR)
            raise Wrong(
                "L730", f"{quoted(word)} is not a kind of entry" if word else "nothing was typed", hint, part=word
            )
        else:
            words = Words(rest.split())
            found = GRAMMAR[kind][0](words, self._scope)
        words.end()
        return self._build(kind, {"at": at, **shared}, found)

    def _build(self, kind: str, shared: Fields, found: Sequence[Fields]) -> list[Common]:
        scope = self._scope
        why = shared.get("because")
        return [
            _made(
                kind,
                {
                    "id": scope.ids.new(scope.written),
                    "at": shared["at"],
                    "written": scope.written,
                    "by": scope.by,
                    **({"why": why} if kind == "skipped" else {"note": why}),
                    **fields,
                },
            )
            for fields in found
        ]

    def _withdraw(self, words: Words, when: str | None, shared: Fields) -> list[Common]:
        of = self._known_id(words)
        words.end()
        return self._correction({"of": of, "why": shared["because"]}, when)

    def _correct(self, rest: str, when: str | None, shared: Fields) -> list[Common]:
        words = Words(rest.split())
        target = self._scope.log.by_id[self._known_id(words)]
        seen = set()
        while isinstance(target, Correction) and target.id not in seen:  # what it was meant to set right
            seen.add(target.id)
            target = self._scope.log.by_id.get(target.of, target)
        at = self._moment(when) if when else _in_zone(target.at, self._scope)
        once = replace(self._scope, at=at, written=target.written, by=target.by)
        word, _, rest = words.rest.partition(" ")
        if not word:
            raise Wrong("L731", "what it should have said is missing", "write the whole entry again after the id")
        part = _Part(f"{word} {rest}", once, "")
        if word.casefold() == "note":
            found = part.entries()
        else:
            found = part._read(word.casefold(), word, rest, at, {})
        if len(found) != 1:
            raise Wrong("L735", "one entry cannot be set right by several", "write the others as entries of their own")
        instead = found[0].model_copy(update={"id": target.id})
        return self._correction({"of": target.id, "instead": instead, "why": shared["because"]}, None)

    def _correction(self, fields: Fields, when: str | None) -> list[Common]:
        scope = self._scope
        common = {"at": self._moment(when), "written": scope.written, "by": scope.by}
        return [_made("correction", {"id": scope.ids.new(scope.written), **common, **fields})]

    def _known_id(self, words: Words) -> str:
        words.need("the id of the entry", "`pratique log` shows it after each entry")
        typed = words.left[0]
        words.at += 1
        known = self._scope.log.by_id
        found = meant_id(typed)
        if found not in known:
            hint = near_hint(near_names(found, known)) or "`pratique log` shows the id after each entry"
            raise Wrong("L737", f"there is no entry {quoted(typed)}", hint, part=typed)
        return found

    def _moment(self, when: str | None) -> dt.datetime:
        """The moment that `when` says; what lies after the moment of writing has not happened."""
        scope = self._scope
        at = scope.at if when is None else _read_moment(when, scope)
        if at.astimezone(dt.UTC) > scope.written.astimezone(dt.UTC):
            shown = f"{at.astimezone(scope.room.zone):%Y-%m-%dT%H:%M}"
            hint = "an entry says what has happened; for the day before write such as `at yesterday 20:00`"
            raise Wrong("L734", f"{quoted(when or shown)} has not come yet", hint, part=when or "")
        return at


def _in_zone(moment: dt.datetime, scope: Scope) -> dt.datetime:
    return moment.astimezone(scope.room.zone)


def _read_moment(text: str, scope: Scope) -> dt.datetime:
    """`08:30` on the day of `scope.at`, `yesterday 20:00`, or a date with a time."""
    day, _, clock = text.casefold().replace(" at ", " ").partition(" ")
    today = _in_zone(scope.at, scope).date()
    if day in ("today", "yesterday"):
        today -= dt.timedelta(days=day == "yesterday")
    elif re.match(_DATE, text):
        when = read_when(text.replace(" at ", " "))
        if when.time is None:
            hint = f"write the time of day too, such as `{when.date}T08:30`"
            raise Wrong("L731", f"{quoted(text)} does not say at what time", hint, part=text)
        return _absolute(when, scope)
    else:
        clock = text
    read_clock_time(clock)
    return _absolute(read_when(f"{today}T{clock}"), scope)


def _absolute(when: Any, scope: Scope) -> dt.datetime:
    try:
        return absolute(when, scope.room.zone)
    except LocalTimeError as error:
        raise Wrong(error.code, error.message, error.hint, part=when.text) from None


def _made(kind: str, fields: Fields) -> Common:
    try:
        return KINDS[kind].model_validate(fields)
    except ValidationError as error:
        fault = explain(error, f'"kind":"{kind}"')[0]
        raise Wrong(fault.code, fault.message, fault.hint, fault.note, part=fault.part) from None


def _placed(wrong: Wrong, text: str, start: int, part: str, file: str, line: int) -> Problem:
    column, width = start + 1 + len(part) - len(part.lstrip()), len(part.strip())
    found = text.find(wrong.part, start) if wrong.part else -1
    if found >= 0:
        column, width = found + 1, len(wrong.part)
    shown = text if len(text) <= _CLOSEST_CALL else ""
    place = Place(file=file, line=line, column=column, width=max(width, 1), text=shown)
    return Problem(code=wrong.code, message=wrong.message, places=(place,), note=wrong.note, hint=wrong.hint)
