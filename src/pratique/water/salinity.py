"""Salinity from what an instrument shows, by TEOS-10 (library gsw, imported when first needed)."""

from __future__ import annotations

from pratique.room.fields import Salinity


def grams_per_kg(salinity: Salinity) -> float:
    """Reference salinity in g/kg. A specific gravity is solved for at its own reading and reference temperature.

    Glass expansion of the hydrometer is ignored. Source: TEOS-10, density of sea water at sea level.
    """
    if not salinity.is_gravity:
        return salinity.value
    assert salinity.at is not None
    assert salinity.reference is not None
    return salinity_from_gravity(salinity.value, salinity.at, salinity.reference)


def salinity_from_gravity(gravity: float, temperature: float, reference: float) -> float:
    """g/kg of water at `temperature` (degC) whose density is `gravity` times pure water at `reference` (degC)."""
    import gsw

    density = gravity * float(gsw.rho_t_exact(0.0, reference, 0.0))
    low, high = 0.0, 100.0
    for _ in range(60):  # the density rises with salinity throughout; halving beats a derivative for clarity
        middle = (low + high) / 2
        low, high = (middle, high) if float(gsw.rho_t_exact(middle, temperature, 0.0)) < density else (low, middle)
    return (low + high) / 2


def gravity_of(salinity: float, temperature: float = 25.0, reference: float = 25.0) -> float:
    """Specific gravity of water of `salinity` (g/kg) at `temperature`, against pure water at `reference` (degC)."""
    import gsw

    return float(gsw.rho_t_exact(salinity, temperature, 0.0)) / float(gsw.rho_t_exact(0.0, reference, 0.0))
