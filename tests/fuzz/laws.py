"""What holds for whatever is typed, one function a kind of input; each returns True where something was understood.

Nothing may raise but a refusal, and what is understood must be what stands there: a second reader agrees with it,
printing and reading it again gives the same, and a text without a digit holds no number.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import math
import re
from collections.abc import Iterable, Iterator
from functools import cache
from typing import Any

import click

from fuzz.readers import FACTORS, READERS, second_reading
from logbook.typed import AT, scope
from pratique.logbook.entry import Common, quantities
from pratique.logbook.faults import Fault
from pratique.logbook.line import read_line, to_line
from pratique.logbook.phrase import parse_entry
from pratique.problem import Problem
from pratique.quantity import CANONICAL, QuantityError, from_canonical, parse_measure
from pratique.render.problems import render_problems
from pratique.room.load import load_room_text
from pratique.room.wrong import Wrong

_STEERING = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffc\ud800-\udfff]"
)
"""What could steer a terminal or turn its line round; tabs and line ends are looked at where they matter."""

_CODE = re.compile(r"[A-Z][0-9]{3}")


def steering(text: str) -> str:
    """The first sign of `text` that no screen or page may be sent; empty where there is none."""
    found = _STEERING.search(text)
    return f"U+{ord(found[0]):04X}" if found else ""


def quantity_is_read_twice_alike(text: str, dimension: str) -> bool:
    """The program and the second reader agree on value and ends, or neither reads it."""
    expected = second_reading(text, dimension)
    try:
        found = parse_measure(text, dimension)
    except QuantityError as error:
        assert error.detail, text
        assert error.hint, text
        assert expected is None or len(" ".join(text.split())) > 80 or "large" in error.detail, (text, dimension, error)
        return False
    assert expected is not None, (text, dimension, found)
    for mine, other in zip((found.value, found.low, found.high), expected, strict=True):
        scale = max(abs(expected[0]), abs(other), abs(expected[1]))
        assert math.isfinite(mine), (text, found)
        assert abs(mine - float(other)) <= 1e-9 * float(scale) + 1e-13, (text, dimension, mine, float(other))
    for unit in FACTORS[dimension]:
        if not unit:
            continue
        shown = f"{from_canonical(found.value, unit, dimension):.12f} {unit}"
        if len(shown) <= 80:
            again = parse_measure(shown, dimension).value
            slack = float(FACTORS[dimension][unit]) * 1e-12
            assert math.isclose(again, found.value, rel_tol=1e-9, abs_tol=slack + 1e-12), (text, shown)
    return True


def value_is_what_stands_there(text: str, reader: str) -> bool:
    """Any reader of one value: refused with words, or finite, the same again, and no figure without a digit."""
    read = READERS[reader]
    try:
        found = read(text)
    except (Wrong, QuantityError, click.UsageError) as error:
        assert str(error), (reader, text)
        if isinstance(error, Wrong):
            assert _CODE.fullmatch(error.code), (reader, text)
        return False
    numbers = [number for number in _numbers(found) if number]
    assert all(map(math.isfinite, numbers)), (reader, text, found)
    typed = re.findall("[0-9]", text)
    assert typed or not numbers or reader == "yes", (reader, text, found)
    assert not any(sign.isdigit() and not sign.isascii() for sign in text) or not numbers, (reader, text, found)
    shown = getattr(found, "text", None)
    if isinstance(shown, str):
        assert shown == " ".join(text.split()), (reader, text, shown)
        assert read(shown) == found, (reader, text)
    return True


def _numbers(value: Any) -> Iterator[float]:
    if isinstance(value, bool | str | bytes | dt.date | dt.time | dt.timedelta) or value is None:
        return
    if isinstance(value, int | float):
        yield value
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from _numbers(getattr(value, field.name))
    elif hasattr(value, "model_fields_set"):
        for name in value.model_fields_set:
            yield from _numbers(getattr(value, name))
    elif isinstance(value, Iterable):
        for inner in value:
            yield from _numbers(inner)


@cache
def _scope() -> Any:
    return scope()


def typed_words_are_an_entry_or_refused(text: str) -> bool:
    """What was understood of words after `pratique log` is in them, and is read back from its line as it is."""
    found = parse_entry([text], _scope())
    words = " ".join(text.split())
    problems_can_be_shown(found.problems)
    for entry in found.entries:
        line = to_line(entry)
        assert read_line(line) == entry, (text, entry)
        assert entry.at <= AT, (text, entry)
        assert not steering(line.decode()), (text, line)
        for _, quantity, _ in quantities(entry):
            assert re.search("[0-9]", quantity.text), (text, quantity)
            assert set(re.findall("[0-9]+", quantity.text)) <= set(re.findall("[0-9]+", words)), (text, quantity)
            assert math.isfinite(quantity.value), (text, quantity)
    return bool(found.entries) and not found.problems


def line_is_an_entry_or_faults(raw: bytes) -> bool:
    """A line of the log file: an entry that is written and read as itself, or faults with codes."""
    found = read_line(raw)
    if isinstance(found, Common):
        assert read_line(to_line(found)) == found, raw
        assert not steering(to_line(found).decode()), raw
        return True
    assert found, raw
    for fault in found:
        assert isinstance(fault, Fault), raw
        assert re.fullmatch("L7[0-9]{2}", fault.code), (raw, fault)
        assert fault.hint or fault.note, (raw, fault)
    return False


def problems_can_be_shown(problems: Iterable[Problem]) -> None:
    """Every problem has a code and words, and nothing that steers a terminal is left in them."""
    problems = list(problems)
    for problem in problems:
        assert _CODE.fullmatch(problem.code), problem
        assert problem.message, problem
    for width in (100, 40):
        shown = render_problems(problems, width=width)
        assert not steering(shown), shown
        assert "\t" not in shown, shown


def room_text_is_a_room_or_refused(text: str) -> bool:
    """A sound room, or problems that say where; never both."""
    room, problems = load_room_text(text, "f.yaml")
    assert (room is None) == any(problem.is_error for problem in problems), text
    lines = re.split("\r\n|\n|\r", text)
    for problem in problems:
        for place in problem.places:
            assert 1 <= place.line <= len(lines), (text, problem)
    problems_can_be_shown(problems[:30])
    return room is not None


DIMENSIONS = tuple(sorted(CANONICAL))
