"""Oxygen at saturation against printed values, and what leaving out the vapour in the air costs."""

from __future__ import annotations

import math

import gsw
import pytest

from pratique.water import oxygen
from pratique.water.salinity import GRAMS_PER_PRACTICAL
from validation import percent_off, record


def test_do_01() -> None:
    """6.4 mg/L read near 500 m is 6.8 at the sea; the book's factor is 1.06."""
    at_the_sea = 6.4 / oxygen.pressure_part(500)
    off = percent_off(at_the_sea, 6.4 * 1.06)
    record(
        "oxygen corrected to sea level from 500 m",
        "factor of a hatchery book (PIPER82; do_01)",
        off,
        "%",
        subject="oxygen",
    )
    assert abs(off) < 0.2
    assert round(at_the_sea, 1) == 6.8


def test_do_02() -> None:
    off = percent_off(oxygen.saturation(25, 0), 8.26)
    record("oxygen at saturation, fresh water, 25 °C", "printed table (EN 25814; do_02)", off, "%", subject="oxygen")
    assert abs(off) < 0.2


def test_do_05() -> None:
    """The library's own check value, in µmol/kg, and ours made from it by the density."""
    printed = 214.655936
    assert float(gsw.O2sol_SP_pt(35.0256, 22.7862)) == pytest.approx(printed, rel=1e-8)
    salinity = 35.0256 * GRAMS_PER_PRACTICAL
    kilograms = float(gsw.rho_t_exact(salinity, 22.7862, 0)) / 1000
    moles = oxygen.saturation(22.7862, salinity) / kilograms / 31.998 * 1000
    off = percent_off(moles, printed)
    record(
        "oxygen at saturation, sea water",
        "check value of the library we use (TEOS-10; do_05)",
        off,
        "%",
        subject="oxygen",
    )
    assert abs(off) < 0.001


def test_the_reference_value_for_sea_water() -> None:
    assert round(oxygen.saturation(25, 35 * GRAMS_PER_PRACTICAL), 2) == 6.77


@pytest.mark.parametrize(("height", "most"), [(500, 0.2), (1000, 0.5), (3000, 1.5)])
def test_what_vapour_would_take_away(height: float, most: float) -> None:
    """Vapour pressure over water at 25 degC after Benson and Krause, coefficients from memory."""
    kelvin = 298.15
    vapour = math.exp(11.8571 - 3840.70 / kelvin - 216961 / kelvin**2)
    dry = oxygen.pressure_part(height)
    off = percent_off(dry, (dry - vapour) / (1 - vapour))
    record(f"oxygen at saturation at {height} m", "the same with vapour in the air, 25 °C", off, "%", subject="oxygen")
    assert 0 < off < most
