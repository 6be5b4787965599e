"""Hints for strengths fit the active of the product, and what they propose can be read."""

from __future__ import annotations

import re
from typing import get_args

import pytest

from pratique.knowledge import store
from pratique.room.bottle_hints import EXAMPLES, counted_as
from pratique.room.bottles import read_strength
from pratique.room.load import load_room_text
from pratique.room.model import Active
from pratique.room.wrong import Wrong


def hint(text: str, active: str) -> str:
    with pytest.raises(Wrong) as caught:
        read_strength(text, active)
    return caught.value.hint


def test_every_active_has_examples_that_can_be_read_and_are_of_it() -> None:
    assert set(EXAMPLES) == set(get_args(Active))
    known = {name: record.active for record in store.substances().values() for name in record.names}
    for active, examples in EXAMPLES.items():
        for example in examples:
            substance = read_strength(example, active).substance
            assert known.get(substance, active) == active
        if active != "antibiotic":
            assert set(counted_as(active)) <= set(known)


@pytest.mark.parametrize("active", EXAMPLES)
@pytest.mark.parametrize(
    "text", ["37 %", "37 % v/v", "37 % as Cu", "5 mg/mL", "3 g in 750 mL", "strong", "2 pills of 0.25 g"]
)
def test_no_hint_names_a_substance_of_another_active(active: str, text: str) -> None:
    if text == "37 % as Cu" and active == "antibiotic":
        return  # nothing on file says what its label may count
    words = re.findall(r"` ?[^`]* as ([^`]+)`", hint(text, active))
    assert words
    assert set(words) <= set(counted_as(active))


@pytest.mark.parametrize(
    ("text", "active", "said"),
    [
        ("37 %", "formalin", "`37 % w/v as formaldehyde`"),
        ("3 % as hydrogen peroxide", "peroxide", "`3 % w/v as hydrogen peroxide`"),
        ("95 %", "praziquantel", "write `95 % w/w as praziquantel` (g in 100 g of powder)"),
        ("14 mg/mL", "copper", "`14 mg/mL as Cu` or `14 mg/mL as CuSO4.5H2O`"),
        ("3 g in 750 mL", "copper", "3 g ÷ 750 mL is `4 mg/mL as CuSO4.5H2O` if it was copper sulfate pentahydrate"),
        ("10 g in 330 mL", "copper", "is `30.3 mg/mL as CuSO4.5H2O`"),
        ("1 mg in 1000 m3", "copper", "is `1 mg in 1000 m3 as CuSO4.5H2O`"),
        ("3 g in 750 mL", "", "is `4 mg/mL as what the label names`"),
        ("1 tablet of 500 mg", "metronidazole", "write `500 mg per tablet as metronidazole`"),
        ("tablets, 0.25 g", "chloroquine phosphate", "write `250 mg per tablet as chloroquine phosphate`"),
        ("1 tablet in 10 L", "metronidazole", "write `500 mg per tablet as metronidazole`"),
        ("1,5 mg tablets", "metronidazole", "write `500 mg per tablet as metronidazole`"),
        ("strong", "", "write such as `10 mg/mL as Cu`, `37 % w/v as formaldehyde`"),
    ],
)
def test_what_a_hint_says(text: str, active: str, said: str) -> None:
    assert said in hint(text, active)


def test_a_note_about_copper_is_for_copper() -> None:
    for active, noted in (("copper", True), ("peroxide", False)):
        with pytest.raises(Wrong) as caught:
            read_strength("30 mg/mL", active)
        assert ("copper sulfate" in caught.value.note) == noted


def test_the_order_of_the_lines_does_not_matter() -> None:
    text = (
        "room: {time_zone: Europe/Lisbon}\ntanks: {q1: {use: ward, volume: {measured: 62 L}}}\n"
        "shelf: {bottle: {strength: 37 %, active: formalin}}\n"
    )
    (problem,) = load_room_text(text)[1]
    assert "as formaldehyde" in problem.hint
    (other, general) = load_room_text(text.replace("formalin", "formalins"))[1]
    assert {other.code, general.code} == {"F114", "U216"}
    assert "as what the label names" in other.hint + general.hint
