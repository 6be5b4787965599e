"""`pratique why`: every word that a sheet prints has its page, and a near miss is offered what was meant."""

from __future__ import annotations

import pytest

from pratique.knowledge import store
from pratique.sheets.rows import Facts, Lines, Sheet, Table
from pratique.sheets.why import known_words, near_words, why_sheet
from pratique.sheets.why_active import actives


def told(sheet: Sheet) -> str:
    """All cells of a page, one a line."""
    cells: list[str] = []
    for part in sheet.parts:
        if isinstance(part, Facts):
            cells += [cell.text for _, cell in part.pairs]
        elif isinstance(part, Lines):
            cells += [cell.text for cell in part.lines]
        elif isinstance(part, Table):
            cells += [cell.text for row in part.rows for cell in row]
    return "\n".join(cells)


@pytest.mark.parametrize(
    ("word", "title"),
    [
        ("copper", "copper · an active"),
        ("Cu", "copper · an active"),
        ("metronidazole", "metronidazole · an active"),
        ("bicarbonate", "bicarbonate · an active"),
        ("praziquantel", "praziquantel-bath · praziquantel"),
        ("chelated", "copper-chelated · copper, chelated"),
        ("tank transfer", "tank-transfer · tank transfer"),
        ("Marine Velvet", "amyloodinium · Amyloodinium ocellatum"),
        ("low oxygen", "low-oxygen · too little oxygen"),
        ("a stopped pump", "stopped-pump · a stopped pump"),
        ("came", "came · how fast it came"),
        ("came.hours", "came.hours · how fast it came"),
        ("gill only", "gill-only · gills only"),
        ("watch only", "watch-only · watch only"),
        ("hadf11", "HADF11 · source"),
        ("size", "size · key of the room file"),
        ("size.grain", "size.grain · how large they are"),
    ],
)
def test_a_word_finds_its_page(word: str, title: str) -> None:
    sheet = why_sheet(word)
    assert sheet is not None
    assert sheet.title == title


def test_every_word_that_can_be_offered_has_a_page() -> None:
    assert [word for word in known_words() if word and why_sheet(word) is None] == []


def test_every_active_names_its_treatments_and_what_they_may_not_meet() -> None:
    for active in actives():
        sheet = why_sheet(active)
        assert sheet is not None
        for id_ in store.treatments_with(active):
            assert id_ in f"{sheet.title}\n{told(sheet)}", (active, id_)
    page = why_sheet("copper")
    assert page is not None
    assert "D401: copper is not given with corals in the water\n" in told(page)
    assert "D421" not in told(page)


def test_a_sign_tells_of_causes_too() -> None:
    page = why_sheet("gasping")
    assert page is not None
    assert "too little oxygen" in told(page)
    assert "velvet" in told(page)


def test_a_cause_says_what_settles_it_and_when_it_is_weighed() -> None:
    page = why_sheet("copper-overdose")
    assert page is not None
    assert store.causes()["copper-overdose"].look in told(page)
    assert "or a reading says so" in told(page)


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("coper", "copper"),
        ("velvett", "velvet"),
        ("overdose", "copper-overdose"),
        ("hypos", "hyposalinity"),
        ("D44", "D440"),
        ("crypt", "crypto"),
    ],
)
def test_a_near_miss_is_offered_what_was_meant(typed: str, meant: str) -> None:
    assert why_sheet(typed) is None
    assert meant in near_words(typed)
    assert len(near_words(typed)) <= 3


def test_what_is_near_nothing_is_offered_nothing() -> None:
    assert near_words("xyzzy") == []
