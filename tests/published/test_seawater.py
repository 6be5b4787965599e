"""Sea water: the program's salinity and gravity against gsw's own density and against the EOS-80 polynomial.

The polynomial is written out here as an independent standard (Millero & Poisson 1981; UNESCO 44) and first
checked against its own check values.
"""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.room.brine import read_salinity
from pratique.water.salinity import (
    GRAMS_PER_PRACTICAL,
    density,
    grams_per_kg,
    gravity_of,
    salinity_from_gravity,
)
from validation import percent_off, record

UNESCO44 = "Fofonoff & Millard 1983, UNESCO Technical Papers in Marine Science 44; Millero & Poisson 1981"


def eos80(practical: float, celsius_68: float) -> float:
    """kg/m3 at one atmosphere by the International Equation of State 1980 (PSS-78, degC on IPTS-68)."""
    s, t = practical, celsius_68
    water = (
        999.842594 + 6.793952e-2 * t - 9.095290e-3 * t**2 + 1.001685e-4 * t**3 - 1.120083e-6 * t**4 + 6.536332e-9 * t**5
    )
    a = 8.24493e-1 - 4.0899e-3 * t + 7.6438e-5 * t**2 - 8.2467e-7 * t**3 + 5.3875e-9 * t**4
    b = -5.72466e-3 + 1.0227e-4 * t - 1.6546e-6 * t**2
    return water + a * s + b * s**1.5 + 4.8314e-4 * s**2


@pytest.mark.parametrize(
    ("id_", "practical", "celsius", "expected"),
    [("eos80_01", 0, 5, 999.96675), ("eos80_04", 35, 25, 1023.34306)],
)
def test_the_polynomial_gives_its_check_values_and_the_program_agrees(
    id_: str, practical: float, celsius: float, expected: float
) -> None:
    """UNESCO44. The program reckons by TEOS-10, which differs by less than 0.01 kg/m3 here."""
    assert eos80(practical, celsius) == pytest.approx(expected, abs=1e-5)
    assert density(practical * GRAMS_PER_PRACTICAL, celsius / 1.00024) == pytest.approx(expected, abs=0.01)
    off = density(practical * GRAMS_PER_PRACTICAL, celsius / 1.00024) - expected
    against = f"check value of UNESCO 44 ({id_})"
    record(f"density of water, {practical} PSU, {celsius} °C", against, off, "kg/m³", subject="salinity")


@pytest.mark.parametrize("practical", [0, 5, 14, 20, 30, 35, 40])
@pytest.mark.parametrize("celsius", [5, 15, 20, 25, 30])
def test_density_over_the_whole_range_of_tanks(practical: float, celsius: float) -> None:
    """UNESCO44: 0.02 kg/m3 is 0.00002 of gravity, a twentieth of the finest mark of a hydrometer."""
    assert density(practical * GRAMS_PER_PRACTICAL, celsius / 1.00024) == pytest.approx(
        eos80(practical, celsius), abs=0.02
    )
    off = density(practical * GRAMS_PER_PRACTICAL, celsius / 1.00024) - eos80(practical, celsius)
    against = "polynomial of EOS-80, written out in the tests, 5 to 30 °C"
    record("density of water, 0 to 40 PSU", against, off, "kg/m³", subject="salinity")


@pytest.mark.parametrize("salinity", [0.0, 14.0, 33.2, 35.0])
@pytest.mark.parametrize("celsius", [10.0, 25.0])
def test_gravity_is_a_ratio_of_gsw_densities(salinity: float, celsius: float) -> None:
    expected = gsw.rho_t_exact(salinity, celsius, 0) / gsw.rho_t_exact(0, 25, 0)
    assert gravity_of(salinity, celsius, 25) == pytest.approx(float(expected))
    off = percent_off(gravity_of(salinity, celsius, 25), float(expected))
    record(
        "specific gravity, 0 to 35 g/kg", "densities of the library we use (gsw, TEOS-10)", off, "%", subject="salinity"
    )


@pytest.mark.parametrize(
    ("id_", "text", "expected"),
    [
        ("sal_sg_01", "1.025 sg at 25 degC", 33.2),
        ("sal_sg_03", "1.025 sg at 25 degC, reference 60 degF", 35.9),
        ("sal_sg_04", "1.020 sg at 25 degC", 26.6),
        ("sal_sg_06", "1.0264 sg at 25 degC", 35.0),
    ],
)
def test_practical_salinity_from_a_hydrometer(id_: str, text: str, expected: float) -> None:
    """UNESCO44, computed, glass expansion ignored. g/kg is half a percent more than the practical scale."""
    written = read_salinity(text)
    found = grams_per_kg(written) / GRAMS_PER_PRACTICAL
    assert found == pytest.approx(expected, abs=0.1)
    what = text.replace("degC", "°C").replace("degF", "°F")
    against = f"EOS-80, computed and rounded ({id_})"
    record(f"salinity from {what}", against, found - expected, "PSU", subject="salinity")


def test_low_salinity_by_the_hydrometer() -> None:
    """sal_hypo_01, UNESCO44, computed: 14 ppt is 1.0105 at 25/25, and 1.009 is 11.96 ppt, not 12 to 14."""
    assert gravity_of(14 * GRAMS_PER_PRACTICAL) == pytest.approx(1.0105, abs=1e-4)
    practical = salinity_from_gravity(1.009, 25, 25) / GRAMS_PER_PRACTICAL
    assert practical == pytest.approx(11.96, abs=0.05)
    against = "EOS-80, computed and rounded (sal_hypo_01)"
    off = gravity_of(14 * GRAMS_PER_PRACTICAL) - 1.0105
    record("specific gravity of 14 PSU at 25 °C", against, off, "sg", subject="salinity")
    off = practical - 11.96
    record("salinity from 1.009 sg at 25 °C", against, off, "PSU", subject="salinity")


def test_salinity_as_written_is_taken_as_written() -> None:
    assert grams_per_kg(read_salinity("34 g/kg")) == 34


def test_the_ends_of_what_is_solved_for() -> None:
    assert salinity_from_gravity(0.99, 25, 25) == pytest.approx(0, abs=1e-9)
    assert salinity_from_gravity(1.2, 25, 25) == pytest.approx(100)


@settings(max_examples=60, deadline=None)
@given(salinity=st.floats(0.5, 45), celsius=st.floats(4, 32), reference=st.sampled_from([4.0, 15.5555556, 20.0, 25.0]))
def test_there_and_back(salinity: float, celsius: float, reference: float) -> None:
    """Round robin: salinity to gravity to salinity, and gravity to salinity to gravity."""
    gravity = gravity_of(salinity, celsius, reference)
    assert salinity_from_gravity(gravity, celsius, reference) == pytest.approx(salinity, abs=1e-6)
    assert gravity_of(salinity_from_gravity(gravity, celsius, reference), celsius, reference) == pytest.approx(gravity)
