"""Whole situations in, the checked answer out: a case for each job and mistake that a first response meets.

What has to be done is common practice, no published source; the amounts are worked out by hand beside each case.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from first_rooms import FRIDAY, ZONE, respond, words_of
from pratique.dosing.dip import Dip
from pratique.render.terminal import render_sheet
from pratique.response.chosen import choose_place
from pratique.response.model import Option, RunSheet
from pratique.response.scene import case_of, scene_of
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.first import first_parts
from pratique.sheets.rows import Sheet

Golden = Callable[[Path, str], None]

CASES = sorted((Path(__file__).parents[1] / "cases" / "response").glob("*.yaml"))
KNOWN = {
    *("place", "now", "taken", "goings", "counts", "says", "never", "order", "phase", "begins", "ways", "problems"),
    *("passed", "notes", "missing", "uncovered", "absent", "refused", "log"),
}


def answer(path: Path) -> tuple[RunSheet, Room, dict[str, Any]]:
    case = yaml.safe_load(path.read_text(encoding="utf-8"))
    expect = case["expect"]
    assert set(expect) <= KNOWN, set(expect) - KNOWN
    changes = yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader).get("room", {})
    changes = _nulls(changes)
    seen: Any = {key: tuple(case.get(key, ())) for key in ("signs", "causes", "dying", "dead")}
    sheet, room = respond(
        case.get("tank", "reef"), tuple(case.get("cover", ())), changes, log=tuple(case.get("log", ())), **seen
    )
    return sheet, room, expect


def _nulls(tree: Any) -> Any:
    """The base loader reads everything as text; only `null` is none."""
    if isinstance(tree, dict):
        return {key: _nulls(value) for key, value in tree.items()}
    if isinstance(tree, list):
        return [_nulls(value) for value in tree]
    return None if tree == "null" else tree


def amount_of(option: Option, room: Room) -> str:
    answer = option.answer
    assert answer is not None
    if isinstance(answer, Dip):
        return f"{answer.minutes.value:g} min" if answer.dose is None else words.amount(answer.dose.add, room)
    return words.amount(answer.steps[0].add, room)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_answer_is_the_checked_one(path: Path) -> None:
    sheet, room, expect = answer(path)
    text, options = words_of(sheet), {option.treatment: option for option in sheet.options}
    assert sheet.place == expect.get("place", "")
    assert len(sheet.now) == 3
    for words_ in expect.get("now", ()):
        assert any(words_ in act.text for act in sheet.now), words_
    for words_ in expect.get("says", ()):
        assert words_ in text, words_
    for words_ in expect.get("never", ()):
        assert words_ not in text, words_
    for words_ in expect.get("missing", ()):
        assert any(words_ in gap.what for gap in sheet.gaps), words_
    if "taken" in expect:
        assert {o.treatment: amount_of(o, room) for o in sheet.options if o.chosen} == expect["taken"]
    for id_, code in expect.get("refused", {}).items():
        problem = options[id_].refused
        assert problem is not None
        assert problem.code == code
    for id_, note in expect.get("notes", {}).items():
        assert note in options[id_].note
    assert not set(expect.get("absent", ())) & set(options)
    assert list(sheet.uncovered) == expect.get("uncovered", [])
    assert set(expect.get("problems", ())) <= {problem.code for problem in sheet.problems}


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_who_goes_when_and_in_which_order(path: Path) -> None:
    sheet, _, expect = answer(path)
    goings = {going.animal: going for going in sheet.goings}
    for animal, to in expect.get("goings", {}).items():
        assert goings[animal].to == to
    for animal, count in expect.get("counts", {}).items():
        assert goings[animal].count == count
    text = words_of(sheet)
    places = [text.index(word) for word in expect.get("order", ())]
    assert places == sorted(places)
    for id_, phase in expect.get("phase", {}).items():
        acts = [act for act in sheet.acts if act.act == id_]
        assert acts[0].phase == phase
    if "begins" in expect:
        moments = [act.at for act in sheet.acts if act.act == "rest"]
        wall = expect["begins"]
        wall = wall if isinstance(wall, dt.datetime) else dt.datetime.fromisoformat(wall)
        assert moments == [wall.replace(tzinfo=ZONE)]
    if "ways" in expect:
        found = [(way.title, len(way.dose.steps), way.hours) for way in sheet.ways]
        assert len(found) == len(expect["ways"])
        for (title, steps, hours), (begins, count, late) in zip(found, expect["ways"], strict=True):
            assert title.startswith(begins)
            assert (steps, hours) == (count, late)
    assert set(expect.get("log", ())) <= set(sheet.log_lines)


def test_a_place_that_was_passed_over_says_why() -> None:
    path = next(path for path in CASES if path.stem.startswith("b14"))
    sheet, room, expect = answer(path)
    from first_rooms import history

    case = case_of(scene_of(room, history(room), FRIDAY), sheet.suspicion)
    assert [list(entry) for entry in choose_place(case).passed_over if entry[0] == "ward"] == expect["passed"]


PAGES = [(path, 100) for path in CASES] + [(path, 40) for path in CASES if path.stem.startswith(("a3", "no-water"))]


@pytest.mark.parametrize(("path", "width"), PAGES, ids=lambda value: getattr(value, "stem", str(value)))
def test_the_page_is_the_one_that_was_read(path: Path, width: int, golden: Golden) -> None:
    sheet, room, _ = answer(path)
    page = Sheet(title=f"First response · {path.stem}", parts=first_parts(sheet, room))
    golden(path.with_name(f"{path.stem}.{width}.txt"), render_sheet(page, width=width))


def test_every_job_and_mistake_that_a_response_meets_has_a_case() -> None:
    wanted = {
        *("A3", "A7", "A13", "A14", "B12", "B13", "B14", "B15", "B19", "B22", "B26", "B27", "B28", "B29"),
        *("B36", "B39", "B42"),
    }
    found = {job for path in CASES for job in yaml.safe_load(path.read_text(encoding="utf-8"))["practice"]}
    assert wanted <= found
