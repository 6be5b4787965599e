"""Entries that do not fit what is known: refused or kept with a warning, by rule."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from logbook.typed import AT, room, scope, understood
from pratique.logbook.book import build_log
from pratique.logbook.check import Standing, State, check_entry, check_names
from pratique.logbook.file import append, read_log
from pratique.logbook.phrase import parse_entry

POSITIONS = (
    Standing(animal="kole tang", batch="spring tangs", tank="blue tub", count=1),
    Standing(animal="sixline wrasse", batch="spring tangs", tank="blue tub", count=1),
    Standing(animal="ocellaris clownfish", tank="reef", count=2),
)
STATE = State(positions=POSITIONS, shelf={"copper bottle": (5.0, "mL")}, volumes={"ward": 75.0})


def codes(words: str, state: State = STATE, **fields: Any) -> list[str]:
    (entry,) = understood(words, **fields)
    problems = check_entry(entry, state)
    assert all(problem.severity == "warning" and problem.hint for problem in problems)
    return [problem.code for problem in problems]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("dose ward 5 mL of copper bottle", []),
        ("dose ward 5.1 mL of copper bottle", ["L740"]),
        ("change ward 25 % with 6 mL of copper bottle", ["L740"]),
        ("spoiled copper bottle 6 mL", ["L740"]),
        ("spoiled copper bottle", []),
        ("dose ward 60 mL of formalin", []),
        ("change ward 80 L", ["L745"]),
        ("change ward 100 %", []),
        ("top-off ward 80 L", ["L745"]),
        ("change reef 500 L", []),
        ("move spring tangs ward", []),
        ("move spring tangs from blue tub to ward", []),
        ("move spring tangs from green tub to ward", ["L741"]),
        ("move spring tangs blue tub", ["L741"]),
        ("move kole tang from ward to long tank", ["L741"]),
        ("move late angel ward", ["L741"]),
        ("move 2 kole tang ward", ["L742"]),
        ("move rock from reef to ward", []),
        ("death blue tub kole tang", []),
        ("death ward kole tang", ["L741"]),
        ("death reef 3 ocellaris clownfish", ["L742"]),
        ("sign ward kole tang dust", ["L741"]),
        ("sign ward dust", []),
        ("arrived spring tangs ward", ["L743"]),
        ("arrived late angel ward", []),
        ("found reef kole tang", []),
    ],
)
def test_what_is_kept_with_a_warning(words: str, expected: list[str]) -> None:
    assert codes(words) == expected


def test_the_warning_says_what_is_known() -> None:
    (entry,) = understood("death ward kole tang")
    (problem,) = check_entry(entry, STATE)
    assert problem.message == "`kole tang` is not in `ward`"
    assert "`blue tub`" in problem.hint


def test_an_entry_typed_twice() -> None:
    first = understood("dose ward 1 mL of copper bottle", at=AT - dt.timedelta(minutes=4))[0]
    log = build_log([first])[0]
    state = State(log=log)
    assert codes("dose ward 1 mL of copper bottle", state, log=log) == ["L744"]
    assert codes("dose ward 1 mL of copper bottle because the pump stood", state, log=log) == ["L744"]
    assert codes("dose ward 2 mL of copper bottle", state, log=log) == []
    assert codes("dose ward 1 mL of copper bottle at 17:00", state, log=log) == []


def test_what_has_not_happened_is_refused_wherever_it_comes_from() -> None:
    (entry,) = understood("fed reef")
    (problem,) = check_entry(entry.model_copy(update={"at": AT + dt.timedelta(minutes=1)}), STATE)
    assert (problem.code, problem.severity) == ("L734", "error")


def test_a_correction_is_judged_by_what_it_says_instead() -> None:
    (entry,) = understood("dose ward 1 mL of copper bottle")
    log = build_log([entry])[0]
    for words, expected in (
        (f"correct {entry.id} dose ward 9 mL of copper bottle", ["L740"]),
        (f"withdraw {entry.id}", []),
    ):
        (correction,) = parse_entry([words], scope(log=log)).entries
        assert [problem.code for problem in check_entry(correction, STATE)] == expected


def test_names_the_room_file_no_longer_has(tmp_path: Path) -> None:
    path = tmp_path / "room.log.jsonl"
    entries = understood("fed reef; fed ward; move spring tangs from blue tub to ward; opened formalin")
    gone = [entry.model_copy(update={"tank": "old ward"}) for entry in entries[:2]]
    moved = entries[2].model_copy(update={"to": "old ward", "batch": "winter tangs"})
    append(path, [*gone, moved, entries[3].model_copy(update={"product": "old bottle"})])
    log, problems = read_log(path)
    assert problems == []
    found = check_names(log, room())
    assert [problem.code for problem in found] == ["L746"] * 3
    assert all(problem.severity == "warning" for problem in found)
    tank = next(problem for problem in found if "tank" in problem.message.split("`")[0])
    assert "`old ward` 3 times" in tank.message
    assert [place.line for place in tank.places] == [1, 2, 3]
    assert check_names(build_log(entries)[0], room()) == []
