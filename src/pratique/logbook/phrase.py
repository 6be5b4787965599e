"""The short words that wet hands type after `pratique log`, understood as entries.

    [WHEN] KIND … [at WHEN] [because …]         correct ID KIND …         withdraw ID [because …]

`kinds` has the form of each kind. Several entries stand on one line, parted by `;`, or by `,` where a kind (or,
after a reading, another measure) follows; a time before an entry holds for those after it, up to the next, and one at
the end of a reading of several measures for all of them. Names are matched whole, the longest first; a near name is
offered, never taken. WHEN is `08:30`, `yesterday 20:00` or `2027-03-05T08:30`, in the room's time zone.

What is refused, so that nothing is written: words that cannot be understood for certain (unknown names, missing
units, impossible figures, words left over), what has not happened yet, and words that contradict each other (a
bottle that does not hold what the treatment is). What is kept with a warning: see `check`.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pydantic import ValidationError

from pratique.letters import HIDDEN, named
from pratique.logbook.bottle import Fields
from pratique.logbook.entry import KINDS, Common, Correction
from pratique.logbook.faults import explain
from pratique.logbook.ids import meant_id
from pratique.logbook.kinds import GRAMMAR, reading_of
from pratique.logbook.moments import is_moment, leading_moment, read_moment, trailing_day_and_time, trailing_moment
from pratique.logbook.quotes import COMMAND, Line, from_shell, unquoted
from pratique.logbook.scope import MEASURES, Scope
from pratique.logbook.words import Words
from pratique.problem import Place, Problem, near_hint, near_names, quoted
from pratique.room.wrong import Wrong

_KIND_OF = {word: kind for kind, (_, others) in GRAMMAR.items() for word in (kind, *others)}
_FIRST_WORDS = (*_KIND_OF, "correct", "withdraw")
_TAKEN_BACK = "`withdraw ID because …` takes one back that is written, `correct ID …` sets it right"

_LONGEST_LINE = 20_000
_LONGEST_SHOWN = 4000


@dataclass(frozen=True, slots=True)
class Understood:
    """The entries that the words say, in their order; with an error among `problems` some part was not understood."""

    entries: tuple[Common, ...]
    problems: tuple[Problem, ...] = ()


def parse_entry(words: Sequence[str], scope: Scope, *, file: str = "pratique log", line: int = 1) -> Understood:
    """The entries in `words`, a command line or a line of a file named `file`. Never raises for what was typed.

    Problems have the codes L730 to L739, the codes of quantities (U2xx) and of times (F115 to F117).
    """
    return _parsed(from_shell(words), scope, file, line)


def _parsed(typed: Line, scope: Scope, file: str, line: int) -> Understood:
    text = typed.text
    if len(text) > _LONGEST_LINE:
        wrong = Wrong("L730", f"a line of {len(text):,} characters is too long to be typed", "is it the right file?")
        return Understood((), (_placed(wrong, typed, 0, "", file, line),))
    entries: list[Common] = []
    problems: list[Problem] = []
    tank, failed, head = "", False, None
    parts = list(_parts(text))
    for (start, part), shared in zip(parts, _times_of_readings([part for _, part in parts]), strict=True):
        if failed and _goes_on(part):
            continue  # it belongs to a reading that was not understood
        head = _bare(part)[1] or head
        try:
            found = _understand(part, scope, tank, shared or head)
        except Wrong as wrong:
            problems.append(_placed(wrong, typed, start, part, file, line))
            tank, failed = "", True
        else:
            entries += found
            scope.typed.extend(found)
            tank, failed = _tank_of_reading(found), False
    return Understood(tuple(entries), tuple(problems))


def parse_lines(text: str, scope: Scope, *, file: str) -> Understood:
    """The entries of a whole text, such as a paper log typed up: blank lines and lines with `#` are skipped."""
    entries: list[Common] = []
    problems: list[Problem] = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip() and not line.lstrip().startswith("#"):
            found = _parsed_line(line, scope, file, number)
            entries += found.entries
            problems += found.problems
    return Understood(tuple(entries), tuple(problems))


def _parsed_line(text: str, scope: Scope, file: str, line: int) -> Understood:
    try:
        return _parsed(unquoted(text), scope, file, line)
    except Wrong as wrong:  # a quote without an end
        return Understood((), (_placed(wrong, Line(text, text, range(len(text))), 0, "", file, line),))


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
        if " because " in so_far or _FREE.match(_bare(so_far)[0]):
            break
        if comma[0] == ", " and _begins_entry(comma[1]) and not is_moment(so_far.strip()):
            yield start + begin, so_far
            begin = comma.end()
    yield start + begin, piece[begin:].rstrip(", ")


def _times_of_readings(parts: Sequence[str]) -> list[str | None]:
    """For each part the time at the end of a reading of several measures, where it is the only one in it."""
    found: list[str | None] = [None] * len(parts)
    end = len(parts)
    for index in reversed(range(len(parts))):
        if _goes_on(parts[index]):
            continue
        reading = [part.partition(" because ")[0] for part in parts[index:end]]
        times = [leading_moment(part.strip())[1] or trailing_moment(part)[1] for part in reading]
        if end - index > 1 and not any(times[:-1]):
            found[index:end] = [times[-1]] * (end - index)
        end = index
    return found


def _goes_on(part: str) -> bool:
    """True for a further measure of the reading before it."""
    return _is_measure(part.split()[0] if part.strip() else "")


def _begins_entry(word: str) -> bool:
    """A first word, a time or a measure; a number after a comma is more likely a decimal."""
    return word.casefold() in _FIRST_WORDS or is_moment(word) or _is_measure(word)


def _is_measure(word: str) -> bool:
    return word.casefold() in MEASURES or any(word.casefold() in others for others in MEASURES.values())


def _tank_of_reading(found: Sequence[Common]) -> str:
    """The tank that a following `, ammonia 0.1 mg/L` is about."""
    last = found[-1] if found else None
    return last.__dict__["tank"] if last is not None and last.kind == "reading" else ""


@dataclass(frozen=True, slots=True)
class _Typed:
    """The words of one entry taken apart: its first word, the time and the reason, and what is between."""

    first: str
    rest: str
    when: str | None = None
    why: str | None = None


def _bare(text: str) -> tuple[str, str | None]:
    """The words of an entry without the time before them, and that time; the `pratique log` of a sheet is left out."""
    text, leading = leading_moment(text.strip().removeprefix(COMMAND))
    return text.removeprefix(COMMAND), leading


def _taken_apart(text: str) -> _Typed:
    hidden = HIDDEN.search(text) or re.search("[\t\n]", text)
    if hidden:
        message = f"{named(hidden[0])} stands in the words"
        raise Wrong("L730", message, "type it again without it", part=hidden[0])
    text, leading = _bare(text)
    first, _, rest = text.partition(" ")
    if _FREE.match(text):
        words, trailing = (rest, leading) if leading else trailing_day_and_time(rest.strip())
        return _Typed(first, words, trailing)
    rest, _, why = f" {rest} ".partition(" because ")
    rest, trailing = trailing_moment(rest.strip())
    if leading and trailing:
        raise Wrong("L735", "two times are given", "write one of them", part=trailing)
    return _Typed(first, rest, leading or trailing, why.strip() or None)


_FREE = re.compile(r"(?:correct \S+ )?note\b", re.I)


def _understand(text: str, scope: Scope, tank: str, head: str | None) -> Sequence[Common]:
    """The entries of one part of the line; `tank` is that of a reading just before it, `head` the time before it."""
    typed = _taken_apart(text)
    words = Words(typed.rest.split())
    first = typed.first.casefold()
    if first in ("correct", "withdraw"):
        instead = _instead(words, typed, scope) if first == "correct" else None
        of = _known_id(words, scope) if instead is None else instead.id
        words.end()
        at = _moment(typed.when if instead is None else None, scope)
        return [_made("correction", scope, at, {"of": of, "instead": instead, "because": typed.why})]
    at = words.moment = _moment(typed.when or head, scope)
    kind, found = _fields(typed.first, words, scope, tank)
    return [_made(kind, scope, at, {"because": typed.why, **fields}) for fields in found]


def _fields(word: str, words: Words, scope: Scope, tank: str) -> tuple[str, Sequence[Fields]]:
    """The kind that `word` says, and what its words say of each entry."""
    kind = _KIND_OF.get(word.casefold())
    found: Sequence[Fields]
    if kind is not None:
        found = GRAMMAR[kind][0](words, scope)
    elif tank and scope.measured.meant(word):
        kind, words.items = "reading", [word, *words.items]
        found = [reading_of(tank, words, scope)]
    else:
        hint = near_hint(near_names(word.casefold(), _FIRST_WORDS)) or (
            f"an entry begins with one of: {', '.join(GRAMMAR)}; {_TAKEN_BACK}"
        )
        message = f"{quoted(word)} is not a kind of entry" if word else "no entry was typed"
        raise Wrong("L730", message, hint, part=word)
    words.end()
    return kind, found


def _instead(words: Words, typed: _Typed, scope: Scope) -> Common:
    """What should have stood there: at the same time as before, unless another is given."""
    of = target = scope.log.by_id[_known_id(words, scope)]
    seen = {of.id}
    while isinstance(target, Correction) and target.of not in seen:  # what it was meant to set right
        seen.add(target.of)
        target = scope.log.by_id.get(target.of, target)
    words.need("what it should have said", "write the whole entry again after the id")
    word = words.left[0]
    words.at += 1
    at = words.moment = _moment(typed.when, scope) if typed.when else target.at
    kind, found = _fields(word, words, replace(scope, corrects=target.id), "")
    if len(found) != 1:
        raise Wrong("L735", "one entry cannot be set right by several", "write the others as entries of their own")
    return _made(kind, replace(scope, written=target.written, by=target.by), at, {"id": target.id, **found[0]})


def _known_id(words: Words, scope: Scope) -> str:
    words.need("the id of the entry", "`pratique log` shows it after each entry")
    typed = words.left[0]
    words.at += 1
    known = scope.log.by_id
    found = meant_id(typed)
    if found not in known:
        hint = near_hint(near_names(found, known)) or "`pratique log` shows the id after each entry"
        raise Wrong("L737", f"there is no entry {quoted(typed)}", hint, part=typed)
    return found


def _moment(when: str | None, scope: Scope) -> dt.datetime:
    """The moment that `when` says; what lies after the moment of writing has not happened."""
    zone = scope.room.zone
    at = scope.at if when is None else read_moment(when, scope.at, zone)
    if at.astimezone(dt.UTC) > scope.written.astimezone(dt.UTC):
        word = when or f"{at.astimezone(zone):%Y-%m-%dT%H:%M}"
        hint = "an entry says what has happened; for the day before write such as `at yesterday 20:00`"
        raise Wrong("L734", f"{quoted(word)} has not come yet", hint, part=when or "")
    return at


def _made(kind: str, scope: Scope, at: dt.datetime, fields: Fields) -> Common:
    """`because` and `remark` of the fields become the reason or the note."""
    said = {"id": fields.get("id") or scope.ids.new(scope.written), "at": at, "written": scope.written, "by": scope.by}
    said |= {key: value for key, value in fields.items() if key not in ("because", "remark")}
    why, remark = fields.get("because"), fields.get("remark")
    if why or remark:
        key = "why" if "why" in KINDS[kind].model_fields else "note"
        said[key] = f"{why} ({remark})" if why and remark else why or remark
    try:
        return KINDS[kind].model_validate(said)
    except ValidationError as error:
        fault = explain(error, f'"kind":"{kind}"', tagged=False)[0]
        raise Wrong(fault.code, fault.message, fault.hint, fault.note, part=fault.part) from None


def _placed(wrong: Wrong, typed: Line, start: int, part: str, file: str, line: int) -> Problem:
    begin, width = start + len(part) - len(part.lstrip()), len(part.strip())
    found = typed.text.find(wrong.part, start) if wrong.part else -1
    if found >= 0:
        begin, width = found, len(wrong.part)
    column, width = typed.place(begin, width)
    shown = typed.typed if len(typed.typed) <= _LONGEST_SHOWN else ""
    place = Place(file=file, line=line, column=column, width=width, text=shown)
    return Problem(code=wrong.code, message=wrong.message, places=(place,), note=wrong.note, hint=wrong.hint)
