"""Readings, claims and additions at the very edge of what they can tell."""

from __future__ import annotations

import pytest

from dosing_rooms import dose, make_room
from evidence_rooms import course, refused, request_for, rise
from pratique.dosing.evidence.claim import judge_claim
from pratique.dosing.evidence.curves import slip_of_reading
from pratique.figure import Figure
from pratique.water.fit import Reading

POWDER = {"active": "copper", "form": "chelated", "strength": "1 % w/w as Cu"}


def said(notes: tuple[str, ...], words: str) -> bool:
    return any(words in note for note in notes)


def test_the_level_of_the_last_reading_is_the_level_now() -> None:
    found = course("copper-chelated", "2027-03-04T18:00 2.40 mg/L, 2027-03-05T18:00 2.30 mg/L")
    assert found.now.value == pytest.approx(2.30)


@pytest.mark.parametrize(("last", "began_below"), [("2.0 mg/L", False), ("1.99 mg/L", True)])
def test_a_level_at_the_floor_still_works(last: str, began_below: bool) -> None:
    found = course("copper-chelated", f"2027-03-04T18:00 {last}, 2027-03-05T06:00 1.95 mg/L")
    assert found.leaves is not None
    assert found.leaves.began_below is began_below


@pytest.mark.parametrize("claim", ["1 mL ± 0.1 mL per 40 L", "1 mL per 40 L ± 1 L"])
def test_a_claim_has_no_error(claim: str) -> None:
    assert refused(judge_claim(request_for("copper-ionic"), f"{claim} gives 0.025 mg/L")) == "D511"


@pytest.mark.parametrize(
    ("amount", "ends"),
    [("20 mL", (292.5, 307.5)), ("20 mL ± 1 mL", (285.0, 315.0))],
    ids=["the syringe's error", "the error that was typed"],
)
def test_an_addition_is_as_sure_as_it_was_measured(amount: str, ends: tuple[float, float]) -> None:
    room = make_room(syringes={"one": {"volume": "20 mL", "step": "1 mL"}})
    text = "2027-03-03T17:00 0 mg/L, 2027-03-04T18:00 1.5 mg/L"
    found = rise("copper-chelated", f"{amount} of chelate at 2027-03-03T18:00", text, room)
    assert (found.active.low, found.active.high) == pytest.approx(ends)


def test_a_powder_is_not_measured_with_a_syringe() -> None:
    room = make_room(syringes={"one": {"volume": "20 mL", "step": "1 mL"}}, shelf__chelate=POWDER)
    text = "2027-03-03T17:00 0 mg/L, 2027-03-04T18:00 1.5 mg/L"
    found = rise("copper-chelated", "30 g of chelate at 2027-03-03T18:00", text, room)
    assert (found.active.low, found.active.high) == pytest.approx((300.0, 300.0))


def test_of_a_medicine_without_a_kit_no_kit_is_spoken_of() -> None:
    assert not said(dose("praziquantel-bath", reading="1 mg/L").notes, "kit")
    bare = make_room(kits__meter={"measures": "copper", "forms": "ionic"})
    assert said(dose("copper-ionic", bare, reading="0.1 mg/L").notes, "the kit's error is not on file")


def test_no_slip_makes_something_of_nothing() -> None:
    read = Reading(hours=0.0, level=Figure(value=2.0, unit="mg/L", low=1.9, high=2.1))
    assert slip_of_reading(read, 0.0, "copper") == ""
    assert slip_of_reading(read, 0.2, "copper").startswith("10 ×")


def test_a_reading_that_is_a_fifth_off_is_no_slip() -> None:
    """The two gallons are a fifth apart, and so are many levels."""
    read = Reading(hours=0.0, level=Figure(value=2.4, unit="mg/L", low=2.39, high=2.41))
    assert slip_of_reading(read, 2.0, "copper") == ""


def test_a_level_that_may_be_below_the_floor_already_is_so_since_the_last_reading() -> None:
    found = course("copper-chelated", "2027-03-04T18:00 2.4 mg/L ± 0.1 mg/L, 2027-03-05T18:00 2.05 mg/L ± 0.1 mg/L")
    assert found.leaves is not None
    assert found.leaves.earliest == 24.0
    assert found.leaves.middle is not None
    assert found.leaves.middle > 24.0


@pytest.mark.parametrize(("weeks", "told"), [(9.9, True), (10.1, False)])
def test_nothing_is_foretold_beyond_ten_weeks(weeks: float, told: bool) -> None:
    second = 2.4 * (2.0 / 2.4) ** (24 / (24 + weeks * 7 * 24))
    text = f"2027-03-04T18:00 2.4 mg/L ± 0.00001 mg/L, 2027-03-05T18:00 {second:.8f} mg/L ± 0.00001 mg/L"
    leaves = course("copper-chelated", text).leaves
    assert leaves is not None
    assert (leaves.middle is not None) is told


@pytest.mark.parametrize("last", ["2.05", "2.1", "2.2", "2.3"])
def test_the_moment_it_falls_through_the_floor_is_told_to_the_minute(last: str) -> None:
    found = course("copper-chelated", f"2027-03-04T18:00 2.4 mg/L, 2027-03-05T18:00 {last} mg/L")
    assert found.leaves is not None
    assert found.leaves.middle is not None
    assert found.curves is not None
    assert found.curves.at(found.leaves.middle).value < 2.0 <= found.curves.at(found.leaves.middle - 1 / 60).value
