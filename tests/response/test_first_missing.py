"""Every single thing of the shelf missing in turn, and any set of them: three steps, said, not recommended."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from first_rooms import HOUSE, respond, words_of
from pratique.response.model import RunSheet

ITEMS: dict[str, tuple[dict[str, Any], str, str]] = {
    "chelate": ({"shelf": {"chelate": None}}, "of chelate", "copper"),
    "formalin": ({"shelf": {"formalin": None}}, "of formalin", "formalin"),
    "peroxide": ({"shelf": {"peroxide": None}}, "of peroxide", "peroxide"),
    "fluke powder": ({"shelf": {"fluke powder": None}}, "of fluke powder", "praziquantel"),
    "salt": ({"salt": None}, "g of salt", "salt"),
    "mixed water": ({"mixed_water": None}, "of the mixed water", "mixed water"),
    "ward": ({"tanks": {"ward": None}}, "into ward", "tank"),
    "dip bucket": ({"vessels": None}, "dip bucket", "vessel"),
    "white set": ({"gear": None}, "white set", "net"),
    "syringes": ({"syringes": None}, "syringe", "syringe"),
    "copper meter": ({"kits": {"copper meter": None}}, "of chelate", "copper"),
    "ammonia drops": ({"kits": {"ammonia drops": None}}, "ammonia drops", "ammonia"),
    "pH pen": ({"kits": {"pH pen": None}}, "pH pen", "pH"),
    "refractometer": ({"kits": {"refractometer": None}}, "refractometer", "salinity"),
    "oxygen probe": ({"kits": {"oxygen probe": None}}, "oxygen probe", "oxygen"),
}
"""Thing to how it is taken away, the words that would recommend it, and the word that says it is missing."""

NEEDED: dict[str, tuple[str, ...]] = {
    "amyloodinium": (
        *("chelate", "ward", "dip bucket", "white set", "syringes", "copper meter", "ammonia drops", "pH pen"),
        "refractometer",
    ),
    "brooklynella": ("formalin", "ward", "dip bucket", "white set", "syringes", "ammonia drops", "oxygen probe"),
    "neobenedenia": ("fluke powder", "ward", "dip bucket", "white set", "ammonia drops"),
}
"""What tonight's work against an agent cannot do without in this room."""


def removed(*items: str) -> dict[str, Any]:
    changes: dict[str, Any] = {}
    for item in items:
        for key, value in ITEMS[item][0].items():
            if isinstance(value, dict) and isinstance(changes.get(key), dict):
                changes[key] |= value
            else:
                changes[key] = dict(value) if isinstance(value, dict) else value
    return changes


def holds(sheet: RunSheet, gone: tuple[str, ...]) -> None:
    """What is true of every sheet, whatever is missing."""
    assert [act.phase for act in sheet.now] == ["now"] * 3
    text = words_of(sheet) + "\n".join(sheet.log_lines)
    for item in gone:
        assert ITEMS[item][1] not in text, item
    for option in sheet.options:
        assert (option.answer is None) or (option.refused is None)
        assert option.answer is not None or not option.chosen
        assert option.answer is not None or option.refused is not None or option.note
    for gap in sheet.gaps:
        assert gap.what and gap.instead and gap.lacks


def is_said(sheet: RunSheet, item: str) -> bool:
    word = ITEMS[item][2]
    refused = [option.refused.message for option in sheet.options if option.refused is not None]
    return any(word in text for text in (*(gap.what for gap in sheet.gaps), *refused))


@pytest.mark.parametrize("agent", NEEDED)
@pytest.mark.parametrize("item", ITEMS)
def test_each_thing_missing_in_turn(agent: str, item: str) -> None:
    sheet, _ = respond(cover=(agent,), changes=removed(item))
    holds(sheet, (item,))
    if item in NEEDED[agent]:
        assert is_said(sheet, item)
        assert any(ITEMS[item][2] in gap.what for gap in sheet.gaps)


def test_with_everything_there_nothing_is_missing() -> None:
    for agent in NEEDED:
        sheet, _ = respond(cover=(agent,))
        assert sheet.gaps == ()
        assert sheet.needs.short == () or {need.kind for need in sheet.needs.short} <= {"mixed water"}


def test_a_salt_that_is_missing_is_said_once_the_water_is_too() -> None:
    sheet, _ = respond(changes=removed("salt", "mixed water"))
    assert [gap.kind for gap in sheet.gaps] == ["salt"]
    assert "no salt is on file" in sheet.gaps[0].what


AGENTS = ("amyloodinium", "brooklynella", "cryptocaryon", "uronema", "neobenedenia", "gill-flukes", "vibrio")


@settings(max_examples=60, deadline=None)
@given(
    gone=st.sets(st.sampled_from(sorted(ITEMS))).map(lambda found: tuple(sorted(found))),
    cover=st.lists(st.sampled_from(AGENTS), unique=True, min_size=1, max_size=3).map(tuple),
    causes=st.lists(st.sampled_from(["low-oxygen", "ammonia", "unheard-of"]), unique=True, max_size=2).map(tuple),
    dying=st.lists(st.sampled_from(["Lemon", "ocellaris clownfish"]), max_size=3).map(tuple),
)
def test_any_set_missing(
    gone: tuple[str, ...], cover: tuple[str, ...], causes: tuple[str, ...], dying: tuple[str, ...]
) -> None:
    sheet, _ = respond(cover=cover, changes=removed(*gone), causes=causes, dying=dying)
    holds(sheet, gone)
    again, _ = respond(cover=cover, changes=removed(*gone), causes=causes, dying=dying)
    assert words_of(again) == words_of(sheet)
    alive = sum(animal.get("count", 1) for animal in HOUSE["animals"])
    assert sum(going.count for going in sheet.goings) == alive
    reached = {agent for option in sheet.options if option.chosen and option.role != "dip" for agent in option.covers}
    assert set(sheet.uncovered) == set(cover) - reached


SORES = {
    "by": "Dr. Example", "for": "Lemon", "drug": "oxolinic acid", "product": "powder", "way": "bath", "dose": "5 mg/L",
    "every": "24 h", "days": "5 d",
}  # fmt: skip
POWDER = {"active": "antibiotic", "strength": "100 % w/w as oxolinic acid", "left": "50 g"}


@pytest.mark.parametrize("whom", ["Lemon", "reef", "ward"])
def test_a_prescription_on_file_is_said_and_still_not_given(whom: str) -> None:
    changes = {"shelf": {"powder": POWDER}, "prescriptions": {"red sores": SORES | {"for": whom}}}
    sheet, _ = respond(cover=("vibrio",), changes=changes)
    (option,) = [option for option in sheet.options if option.treatment == "antibiotic-course"]
    assert option.refused is not None
    assert (option.refused.code, option.answer, option.chosen) == ("D454", None, False)
    is_for_them = whom != "ward"
    assert ("`red sores` of Dr. Example" in option.refused.message) is is_for_them
    assert "a veterinarian decides" in option.refused.message
    if is_for_them:
        assert option.command == "pratique dose reef antibiotic-course --prescription 'red sores'"
    (gap,) = [gap for gap in sheet.gaps if "antibiotic" in gap.what]
    assert gap.buy.startswith("a veterinarian decides, nobody else")
    assert ("say that `red sores` is on file" in gap.buy) is is_for_them
