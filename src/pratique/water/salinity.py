"""Salinity from what an instrument shows, by TEOS-10 (library gsw, imported when first needed).

g/kg is the reference salinity of TEOS-10, the mass of salt in a kilogram of sea water. The practical
salinity (PSS-78, what most instruments call ppt) is smaller by 35 to 35.165.
"""

from __future__ import annotations

from functools import lru_cache

from pratique.room.brine import Salinity

GRAMS_PER_PRACTICAL = 35.16504 / 35
"""g/kg of reference salinity for each unit of practical salinity (TEOS-10, by definition)."""

_MOST = 100.0
"""g/kg. No tank is saltier; a gravity above it is answered with this."""


def grams_per_kg(salinity: Salinity) -> float:
    """Reference salinity in g/kg. A specific gravity is solved for at its own reading and reference temperature.

    Glass expansion of the hydrometer is ignored. Source: TEOS-10, density of sea water at sea level.
    """
    if not salinity.is_gravity:
        return salinity.value
    assert salinity.at is not None
    assert salinity.reference is not None
    return salinity_from_gravity(salinity.value, salinity.at, salinity.reference)


@lru_cache(maxsize=512)
def salinity_from_gravity(gravity: float, temperature: float, reference: float) -> float:
    """g/kg of water at `temperature` (degC) whose density is `gravity` times pure water at `reference` (degC).

    Lighter than pure water is answered with 0, heavier than brine of 100 g/kg with 100.
    """
    wanted = gravity * density(0.0, reference)
    low, high = 0.0, _MOST
    for _ in range(60):  # the density rises with salinity throughout; halving beats a derivative for clarity
        middle = (low + high) / 2
        low, high = (middle, high) if density(middle, temperature) < wanted else (low, middle)
    return (low + high) / 2


def gravity_of(salinity: float, temperature: float = 25.0, reference: float = 25.0) -> float:
    """Specific gravity of water of `salinity` (g/kg) at `temperature`, against pure water at `reference` (degC)."""
    return density(salinity, temperature) / density(0.0, reference)


def density(salinity: float, temperature: float) -> float:
    """kg/m3 of water of `salinity` (g/kg) at `temperature` (degC) and one atmosphere. Source: TEOS-10."""
    import gsw

    return float(gsw.rho_t_exact(salinity, temperature, 0.0))
