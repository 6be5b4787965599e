"""Chlorine and thiosulfate against the hatchery book, stoichiometry and printed sums."""

from __future__ import annotations

import pytest

from pratique.figure import Figure
from pratique.knowledge import store
from pratique.water import chlorine
from validation import percent_off, record

US_GALLON = 3.785411784
US_FL_OZ_ML = 29.5735295625
THIOSULFATE = 2 * 22.990 + 2 * 32.06 + 3 * 15.999


def grams(ratio: chlorine.Ratio) -> float:
    level, gallon = Figure.exact(200, "mg/L"), Figure.exact(US_GALLON, "L")
    return chlorine.thiosulfate_for(level, gallon, "pentahydrate", ratio).value


def test_thio_01() -> None:
    """The book: 5.6 g for a US gallon at 200 mg/L (7.4 to 1); by stoichiometry 5.30 g."""
    assert grams("reaction") == pytest.approx(5.30, rel=0.001)
    assert grams("book") == pytest.approx(5.6, rel=0.001)
    off = percent_off(grams("book"), 5.6)
    against = "hatchery book, 5.6 g to a US gallon (PIPER82; thio_01)"
    record("thiosulfate pentahydrate by the book's ratio, the one in use", against, off, "%", subject="disinfection")
    off = percent_off(grams("reaction"), 5.6)
    record(
        "thiosulfate pentahydrate, just what the reaction needs",
        "hatchery book, 5.6 g to a US gallon (PIPER82; thio_01)",
        off,
        "%",
        subject="disinfection",
    )


@pytest.mark.parametrize(
    ("form", "mass"),
    [
        pytest.param("pentahydrate", THIOSULFATE + 5 * 18.015, id="thio_03"),
        pytest.param("anhydrous", THIOSULFATE, id="anhydrous"),
    ],
)
def test_the_ratios_are_two_mol_to_one(form: chlorine.Thiosulfate, mass: float) -> None:
    found = chlorine.thiosulfate_for(Figure.exact(1, "mg/L"), Figure.exact(1, "L"), form, "reaction").value * 1000
    off = percent_off(found, 2 * mass / 70.90)
    record(
        f"thiosulfate, {form}, for chlorine",
        "atomic weights, 2 mol to 1 mol (thio_03)",
        off,
        "%",
        subject="disinfection",
    )
    assert abs(off) < 0.1


def test_thio_06() -> None:
    assert chlorine.chlorine_of_titrant(1, 0.1) == pytest.approx(3.54, rel=0.005)
    off = percent_off(chlorine.chlorine_of_titrant(1, 0.1), 3.54)
    record("chlorine for 1 mL of 0.1 N thiosulfate", "printed factor (thio_06)", off, "%", subject="disinfection")


def test_cl_01() -> None:
    """One US fl oz of 5.25 % to a US gallon is 410 mg/L, whichever of the two the label counts."""
    millilitres = chlorine.bleach_for(410, 10_000 * US_GALLON, 5.25)
    assert millilitres / US_FL_OZ_ML == pytest.approx(10_000, rel=0.005)
    off = percent_off(millilitres / US_FL_OZ_ML, 10_000)
    record(
        "bleach of 5.25 % for 410 mg/L", "printed: 1 US fl oz to a US gallon (cl_01)", off, "%", subject="disinfection"
    )


def test_cl_03() -> None:
    assert chlorine.diluted(5.25, 10) == 5250
    off = percent_off(chlorine.diluted(5.25, 10), 5250)
    record("one part of 5.25 % bleach in ten", "printed sum (cl_03)", off, "%", subject="disinfection")


def test_cl_05() -> None:
    assert chlorine.bleach_for(200, 1, 5.25) == pytest.approx(3.81, rel=0.01)
    off = percent_off(chlorine.bleach_for(200, 1, 5.25), 3.81)
    record("bleach of 5.25 % for 200 mg/L in a litre", "printed sum (cl_05)", off, "%", subject="disinfection")


def test_one_in_five_hundred_is_about_105() -> None:
    """Treatments 21: 1:500 of 5.25 %."""
    assert round(chlorine.diluted(5.25, 500)) == 105
    off = percent_off(chlorine.diluted(5.25, 500), 105)
    record("one part of 5.25 % bleach in 500", "printed, about 105 mg/L", off, "%", subject="disinfection")


def test_practice_ends_at_the_stoichiometry() -> None:
    """Treatments 21: 2:1 to 7:1 in use; the low end would leave chlorine behind."""
    ranked = store.treatment("thiosulfate-neutralising").numbers["pentahydrate_per_chlorine"]
    practice = next(number for number in ranked if number.source == "COMMON")
    assert (practice.low, practice.high) == (2, 7)
    needed = chlorine.thiosulfate_for(Figure.exact(1, "mg/L"), Figure.exact(1, "L"), "pentahydrate", "reaction")
    assert practice.high == pytest.approx(needed.value * 1000)
