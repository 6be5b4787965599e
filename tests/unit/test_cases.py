"""Each file in cases/bad gives exactly the code in its name, at the line marked in it; good ones none."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from pratique.problem import Problem
from pratique.render.problems import render_problems
from pratique.room import read, syntax
from pratique.room.load import load_room_text
from pratique.room.model import RoomFile
from pratique.room.read import read_bytes
from pratique.room.shape import keys_of, model_within

CASES = Path(__file__).parent.parent / "cases"
BAD = sorted((CASES / "bad").glob("*.yaml"))
GOOD = sorted((CASES / "good").glob("*.yaml"))
MARK = "# <-- here"

MADE_IN_TESTS = {
    "F101": "test_read.py: files that are not there, folders, pipes, links in a circle",
    "F102": "test_read.py: UTF-16 and broken UTF-8",
    "F106": "test_read.py: a file of 5 MB",
    "F126": "test_translate.py: a complaint of a kind that no field can give today",
}
"""Codes whose cases cannot be kept as text files, and where they are made instead."""

NARROW = (
    "F107-duplicate-tank",
    "F111-animals-under-a-tank",
    "F112-volume-of-three-tanks",
    "F120-water-keys-on-a-shared-tank",
    "F124-three-measures",
    "F130-into-a-ward",
    "U212-gravity",
    "U215-stock-made-by-hand",
    "U216-formalin",
)
"""Cases that are also kept as they look on a screen of 40 columns."""

FORBIDDEN = re.compile(r"\b(invalid|illegal|please|simply|NoneType|Traceback|pydantic|input_type)\b|<class")


def problems_in(path: Path) -> list[Problem]:
    return load_room_text(path.read_text(encoding="utf-8"), path.name)[1]


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_bad_case(path: Path, golden: Callable[[Path, str], None]) -> None:
    code = path.name[:4]
    problems = problems_in(path)
    assert {problem.code for problem in problems} == {code}
    lines = path.read_text(encoding="utf-8").splitlines()
    marked = [number for number, line in enumerate(lines, 1) if MARK in line]
    first = problems[0].place
    assert first is not None
    assert not marked or first.line == marked[0]
    golden(path.with_suffix(".txt"), render_problems(problems, outcome="nothing was worked out") + "\n")


@pytest.mark.parametrize("name", NARROW)
def test_bad_case_on_a_narrow_screen(name: str, golden: Callable[[Path, str], None]) -> None:
    text = render_problems(problems_in(CASES / "bad" / f"{name}.yaml"), outcome="nothing was worked out", width=40)
    golden(CASES / "narrow" / f"{name}.txt", text + "\n")


NUMBER_AND_UNIT = re.compile(r"(?<![\w.,])[0-9][0-9.,]* (?:degC|degF|g/kg|mg/mL|mg/L|cm|mm|mL|L|in|%)(?![\w/])")


@pytest.mark.parametrize("unicode", [True, False])
@pytest.mark.parametrize("width", [100, 60, 40, 24, 8])
def test_problems_fit_a_narrow_screen(width: int, unicode: bool) -> None:
    for path in BAD:
        problems = problems_in(path)
        shown = render_problems(problems, outcome="nothing was worked out", unicode=unicode, width=width)
        for line in shown.splitlines():
            is_place = re.match(r" +(-->|:::) \S", line)
            bare = line.strip().rstrip(",;.)`")
            assert is_place or len(line) <= width or width < 40 or " " not in bare, line
        if width >= 40:
            texts = " ".join(text for problem in problems for text in (problem.message, problem.note, problem.hint))
            joined = set(NUMBER_AND_UNIT.findall(shown))
            lost = [found for found in NUMBER_AND_UNIT.findall(texts) if found not in joined]
            assert unicode is False or not lost, path.name


@pytest.mark.parametrize("path", BAD, ids=lambda path: path.stem)
def test_messages_keep_to_the_style(path: Path) -> None:
    for problem in problems_in(path):
        texts = [problem.message, problem.note, problem.hint]
        assert problem.message, "a sentence is needed"
        assert problem.hint, "every mistake in a room file has a way out"
        for text in texts:
            own_words = re.sub("`[^`]*`", "", text)
            assert not FORBIDDEN.search(own_words), text
            assert not text.endswith((".", "!"))
            assert "\n" not in text
        assert problem.message[0] in "`" or problem.message[0].islower()


@pytest.mark.parametrize("path", [*BAD, *GOOD], ids=lambda path: path.stem)
def test_the_reader_without_c_finds_the_same(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    expected = problems_in(path)
    monkeypatch.setattr(syntax, "LOADER", yaml.BaseLoader)
    monkeypatch.setattr(read, "LOADER", yaml.BaseLoader)
    found = problems_in(path)
    assert [problem.code for problem in found] == [problem.code for problem in expected]
    if path.name[:4] != "F104":  # where the two readers give up differs by a line or a column
        assert found == expected


@pytest.mark.parametrize("path", GOOD, ids=lambda path: path.stem)
def test_good_case(path: Path) -> None:
    room, problems = load_room_text(path.read_text(encoding="utf-8"), path.name)
    assert problems == []
    assert room is not None


def test_every_golden_text_has_its_case() -> None:
    texts = {path.stem for path in (CASES / "bad").glob("*.txt")}
    assert texts == {path.stem for path in BAD}


def test_every_code_of_the_room_has_a_case() -> None:
    source = Path(__file__).parents[2] / "src" / "pratique"
    found = set()
    for path in [*(source / "room").glob("*.py"), source / "quantity.py"]:
        found |= set(re.findall(r'"([FU]\d{3})"', path.read_text(encoding="utf-8")))
    cased = {path.name[:4] for path in BAD}
    assert found - cased - set(MADE_IN_TESTS) == set()
    assert cased - found == set(), "a case for a code that nothing emits"


def test_every_key_of_every_model_is_in_some_good_case() -> None:
    wanted = set(_keys(RoomFile, ""))
    seen: set[str] = set()
    for path in GOOD:
        document, _ = read_bytes(path.name, path.read_bytes())
        seen |= set(_written(document.data, RoomFile, ""))
    assert wanted - seen == set()


def _keys(model: type, prefix: str) -> list[str]:
    found = []
    for key, field in keys_of(model).items():
        found.append(prefix + key)
        inner = model_within(field.annotation)
        if inner is not None:
            found += _keys(inner, f"{prefix}{key}.")
    return found


def _written(data: object, model: type, prefix: str) -> list[str]:
    """Paths of keys without the names of entries."""
    if not isinstance(data, dict):
        return []
    found = []
    for key, field in keys_of(model).items():
        if key not in data:
            continue
        found.append(prefix + key)
        inner = model_within(field.annotation)
        if inner is None:
            continue
        value = data[key]
        is_single = field.annotation is inner
        entries = [value] if is_single else list(value.values()) if isinstance(value, dict) else value
        for entry in entries:
            found += _written(entry, inner, f"{prefix}{key}.")
    return found
