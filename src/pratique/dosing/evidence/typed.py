"""Readings and additions as they are typed on the command line or in a small file, one a line."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from zoneinfo import ZoneInfo

from pratique.problem import Place, Problem, quoted
from pratique.quantity import Measure, QuantityError, parse_measure
from pratique.room.times import LocalTimeError, absolute, read_when
from pratique.room.wrong import Wrong, wrong_quantity

MOST_BYTES = 200_000
"""A file of readings beyond this is some other file."""

_EXAMPLE = "write such as `2027-03-05T08:00 2.1 mg/L`"
_WHEN = r"[^\s,]*[0-9][Tt][0-9][^\s,]*|[^\s,]+ [0-9]{1,2}:[0-9]{2}[^\s,]*|[^\s,]+"
_ENTRY = re.compile(rf"(?P<when>{_WHEN})[\s,]+(?P<level>.+)")
_BETWEEN = re.compile(r";|\n|,(?=\s*[0-9]{4}-)|,(?=\s+[0-9]{1,4}[-/.][0-9]{1,2}[-/.])")


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedReading:
    """A level that was read at a moment; its ends are its own error where one was typed with it."""

    at: dt.datetime
    level: Measure
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line:
    text: str
    place: Place | None = None


def read_readings(
    given: str, *, dimension: str, zone: ZoneInfo
) -> tuple[tuple[TypedReading, ...], tuple[Problem, ...]]:
    """Readings in the order of time, from text or from the file that `given` names; or everything wrong with them.

    `dimension` is `level`, or `parts` for formalin. Times without an offset are in `zone`.
    """
    lines, problem = _lines(given)
    if problem is not None:
        return (), (problem,)
    found: list[TypedReading] = []
    problems: list[Problem] = []
    for line in lines:
        try:
            found.append(_read_line(line, dimension, zone))
        except Wrong as wrong:
            problems.append(not_read(wrong, line.text, line.place))
    if not lines:
        problems.append(Problem(code="D500", message="there is no reading", hint=_EXAMPLE))
    return tuple(sorted(found, key=lambda reading: reading.at.astimezone(dt.UTC))), tuple(problems)


def not_read(wrong: Wrong, text: str, place: Place | None = None, code: str = "D500") -> Problem:
    """A mistake in an entry: what is wrong, and in which entry where the sentence does not show all of it."""
    note = "" if place is not None or quoted(text) in wrong.message else f"in {quoted(text)}"
    return Problem(
        code=wrong.code if wrong.code.startswith("D") else code,
        message=wrong.message,
        places=(_narrowed(place, wrong.part),) if place is not None else (),
        note=wrong.note or note,
        hint=wrong.hint or _EXAMPLE,
    )


def _narrowed(place: Place, part: str) -> Place:
    column = place.text.find(part, place.column - 1) if part else -1
    return place if column < 0 else replace(place, column=column + 1, width=len(part))


def read_moment(text: str, zone: ZoneInfo, what: str) -> dt.datetime:
    """A moment with its hour. Wrong where it has none, or does not exist in the zone."""
    when = read_when(text)
    if when.time is None:
        hint = f"write the hour too, such as `{when.date:%Y-%m-%d}T08:00`"
        raise Wrong("F115", f"{quoted(text)} has no time of day, and {what} needs its hour", hint, part=text)
    try:
        return absolute(when, zone)
    except LocalTimeError as error:
        raise Wrong(error.code, error.message, error.hint, part=text) from None


def _read_line(line: _Line, dimension: str, zone: ZoneInfo) -> TypedReading:
    found = _ENTRY.fullmatch(line.text)
    if found is None:
        raise Wrong("F115", f"{quoted(line.text)} is not a moment and a level", _EXAMPLE, part=line.text)
    at = read_moment(found["when"], zone, "a reading")
    try:
        level = parse_measure(found["level"], dimension)
    except QuantityError as error:
        wrong = wrong_quantity(error)
        raise Wrong(wrong.code, wrong.message, wrong.hint, part=wrong.part or found["level"]) from None
    if level.value < 0:
        raise Wrong("U212", f"{quoted(found['level'])} is negative", "write what the kit showed", part=found["level"])
    return TypedReading(at=at, level=replace(level, low=max(level.low, 0.0)), place=line.place)


def _lines(given: str) -> tuple[list[_Line], Problem | None]:
    path = Path(given)
    try:
        is_file = path.is_file()
    except (OSError, ValueError):
        is_file = False
    if is_file:
        return _lines_of_file(path)
    if given.strip() and not re.search(r"\s", given.strip()):
        hint = f"{_EXAMPLE}, several with commas; or name a file with one a line"
        return [], Problem(code="D500", message=f"{quoted(given)} is neither a reading nor a file", hint=hint)
    parts = (" ".join(part.split()).strip(", ") for part in _BETWEEN.split(given))
    return [_Line(text=part) for part in parts if part], None


def _lines_of_file(path: Path) -> tuple[list[_Line], Problem | None]:
    try:
        with path.open("rb") as file:
            raw = file.read(MOST_BYTES + 1)
        text = raw.decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        hint = "save it as UTF-8 text, one reading a line"
        return [], Problem(code="D500", message=f"the file of readings {quoted(path)} cannot be read", hint=hint)
    if len(raw) > MOST_BYTES:
        message = f"{quoted(path)} is too large to be a file of readings"
        return [], Problem(code="D500", message=message, hint="one reading a line, such as `2027-03-05T08:00 2.1 mg/L`")
    return list(_written_lines(str(path), text)), None


def _written_lines(name: str, text: str) -> Iterator[_Line]:
    for number, whole in enumerate(text.splitlines(), 1):
        written = re.sub(r"(^|\s)#.*", "", whole).rstrip().rstrip(",;")
        entry = written.strip()
        if entry:
            column = len(written) - len(written.lstrip()) + 1
            place = Place(file=name, line=number, column=column, width=len(entry), text=whole)
            yield _Line(text=" ".join(entry.split()), place=place)
