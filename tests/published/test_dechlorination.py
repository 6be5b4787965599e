"""Chlorine and thiosulfate against the hatchery book, stoichiometry and printed sums."""

from __future__ import annotations

import pytest

from cleaning_rooms import cleaning, empty_room
from pratique.dosing.product import active_of
from pratique.knowledge import store
from pratique.water import chlorine
from validation import percent_off, record

US_GALLON = 3.785411784
US_FL_OZ_ML = 29.5735295625
THIOSULFATE = 2 * 22.990 + 2 * 32.06 + 3 * 15.999


def ratio(form: str, source: str) -> float:
    """mg of the salt for each mg of chlorine, as one of the competing sources has it."""
    ranked = store.treatment("thiosulfate-neutralising").numbers[f"{form}_per_chlorine"]
    return next(number.value for number in ranked if number.source == source)


def bleach() -> float:
    """mg of chlorine in a mL of a bleach whose label says 5.25 %, as a dose is worked out from it."""
    return active_of(empty_room(), "bleach").per_unit


def test_thio_01() -> None:
    """The book: 5.6 g for a US gallon at 200 mg/L (7.4 to 1); by stoichiometry 5.30 g."""
    by_book = chlorine.thiosulfate_for(200, US_GALLON, "pentahydrate")
    by_reaction = 200 * US_GALLON * ratio("pentahydrate", "DERIVED") / 1000
    assert by_reaction == pytest.approx(5.30, rel=0.001)
    assert by_book == pytest.approx(5.6, rel=0.001)
    against = "hatchery book, 5.6 g to a US gallon (PIPER82; thio_01)"
    what = "thiosulfate pentahydrate by the book's ratio, the one in use"
    record(what, against, percent_off(by_book, 5.6), "%", subject="disinfection")
    what = "thiosulfate pentahydrate, just what the reaction needs"
    record(what, against, percent_off(by_reaction, 5.6), "%", subject="disinfection")


@pytest.mark.parametrize(
    ("form", "mass"),
    [
        pytest.param("pentahydrate", THIOSULFATE + 5 * 18.015, id="thio_03"),
        pytest.param("anhydrous", THIOSULFATE, id="anhydrous"),
    ],
)
def test_the_ratios_are_two_mol_to_one(form: str, mass: float) -> None:
    off = percent_off(ratio(form, "DERIVED"), 2 * mass / 70.90)
    against = "atomic weights, 2 mol to 1 mol (thio_03)"
    record(f"thiosulfate, {form}, for chlorine", against, off, "%", subject="disinfection")
    assert abs(off) < 0.1


def test_thio_06() -> None:
    """1 mL of 0.1 N is 0.1 mmol of the salt; by the ratio of the reaction it takes up 3.54 mg of chlorine."""
    found = 0.1 * (THIOSULFATE + 5 * 18.015) / ratio("pentahydrate", "DERIVED")
    assert found == pytest.approx(3.54, rel=0.005)
    against = "printed factor (thio_06)"
    what = "chlorine for 1 mL of 0.1 N thiosulfate"
    record(what, against, percent_off(found, 3.54), "%", subject="disinfection")


def test_cl_01() -> None:
    """One US fl oz of 5.25 % to a US gallon is 410 mg/L, whichever of the two the label counts."""
    found = bleach() * US_FL_OZ_ML / US_GALLON
    assert found == pytest.approx(410, rel=0.005)
    against = "printed: 410 mg/L (cl_01)"
    what = "1 US fl oz of 5.25 % bleach to a US gallon"
    record(what, against, percent_off(found, 410), "%", subject="disinfection")


@pytest.mark.parametrize(
    ("parts", "printed", "against"),
    [
        pytest.param(10, 5250, "printed sum (cl_03)", id="cl_03"),
        pytest.param(500, 105, "printed, about 105 mg/L (treatments 21)", id="1:500"),
    ],
)
def test_one_part_of_bleach_in_so_many(parts: int, printed: float, against: str) -> None:
    found = bleach() * 1000 / parts
    assert found == pytest.approx(printed)
    what = f"one part of 5.25 % bleach in {parts}"
    record(what, against, percent_off(found, printed), "%", subject="disinfection")


def test_cl_05() -> None:
    """3.81 mL to the litre; a dose is rounded up to what can be measured."""
    answer = cleaning("chlorine-disinfection")
    assert answer.add is not None
    assert answer.water is not None
    found = answer.add.value / answer.water.value
    assert found == pytest.approx(3.81, rel=0.01)
    what = "bleach of 5.25 % for 200 mg/L in a litre, rounded up to a measure"
    record(what, "printed sum (cl_05)", percent_off(found, 3.81), "%", subject="disinfection")


def test_practice_ends_at_the_stoichiometry() -> None:
    """Treatments 21: 2:1 to 7:1 in use; the low end would leave chlorine behind."""
    ranked = store.treatment("thiosulfate-neutralising").numbers["pentahydrate_per_chlorine"]
    practice = next(number for number in ranked if number.source == "COMMON")
    assert (practice.low, practice.high) == (2, 7)
    assert practice.high == ratio("pentahydrate", "DERIVED")
