"""Every code that can be shown has a page, and every page has a code that can be shown."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pratique.knowledge import store
from pratique.knowledge.pages import CodePage

SOURCE = Path(__file__).parents[2] / "src" / "pratique"
PAGES_TO_COME = ""
"""Subjects whose pages are not written yet: take a letter out once its last page is there."""

CODE = re.compile(r'"([FUKDSWXL]\d{3})"')

RETIRED: frozenset[str] = frozenset()
"""Codes nothing emits any more. Their pages stay, so that they never change their meaning."""


def emitted() -> set[str]:
    return {code for path in SOURCE.rglob("*.py") for code in CODE.findall(path.read_text(encoding="utf-8"))}


def interlock_codes() -> set[str]:
    """These have their page in the rule itself."""
    return {rule.code for rule in store.interlocks()}


def letters() -> list[object]:
    to_come = pytest.mark.xfail(strict=True, reason="pages still to be written")
    found = sorted({code[0] for code in emitted()})
    return [pytest.param(letter, marks=to_come if letter in PAGES_TO_COME else ()) for letter in found]


@pytest.mark.parametrize("letter", letters())
def test_every_code_has_a_page(letter: str) -> None:
    wanted = {code for code in emitted() if code.startswith(letter)}
    assert wanted - set(store.codes()) - interlock_codes() == set()


def test_every_page_has_something_that_emits_it() -> None:
    assert set(store.codes()) - emitted() - RETIRED == set()


def test_retired_codes_keep_their_pages_and_are_not_emitted() -> None:
    assert set(store.codes()) >= RETIRED
    assert not RETIRED & emitted()


def test_no_code_has_two_pages() -> None:
    written = re.findall(r"^- code: (\w+)$", (SOURCE / "knowledge/data/codes.yaml").read_text("utf-8"), re.M)
    assert len(written) == len(set(written)) == len(store.codes())
    assert written == sorted(written)
    assert not set(written) & interlock_codes()


@pytest.mark.parametrize("page", store.codes().values(), ids=lambda page: page.code)
def test_pages_are_whole_and_plain(page: CodePage) -> None:
    assert page.title[0].islower() or page.title[0] == "`"
    assert not page.title.endswith(".")
    assert page.why.endswith(".")
    assert page.example.strip()
    assert page.instead.strip()
    assert page.example != page.instead
    assert set(page.sources) <= set(store.sources())
    for text in (page.title, page.why, page.instead):
        assert not re.search(r"\b(invalid|illegal|please|simply)\b", text, re.I)
