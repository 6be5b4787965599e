"""Nitrite is judged as sea water: chloride keeps it out of the gills, and limits for fresh water do not hold.

The reference has no limit for sea water, so none is given; what is given is how much chloride stands against it.
"""

from __future__ import annotations

from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.water.salinity import density


def sea_water_limit() -> Sourced | None:
    """The nitrite (mg/L) that harms in sea water, or None: no number is on file, and no verdict is possible."""
    return store.water_figures().number("nitrite_harms")


def chloride(salinity: float, temperature: float = 25.0) -> float:
    """Chloride in mg/L of water of `salinity` (g/kg) at degC. Source: MEMORY (composition of sea salt).

    >>> round(chloride(35.0), -2)
    19700.0
    """
    share = store.water_figures().needed("chloride_of_salt").value / 100
    return salinity * share * density(salinity, temperature)
