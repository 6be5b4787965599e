"""Oxygen in water that has stood in air: TEOS-10 (library gsw, imported when first needed), made mg/L.

Method: the solubility of Garcia and Gordon (1992) as gsw gives it, times the density of the water. For places
above the sea the pressure of the standard atmosphere is taken; the vapour in the air is left out, which says up
to 0.5 % too much at 1000 m and 1.5 % at 3000 m.
"""

from __future__ import annotations

from pratique.knowledge import store
from pratique.water.salinity import GRAMS_PER_PRACTICAL, density

_TEMPERATURES = (-2.0, 40.0)
_SALINITIES = (0.0, 42.0)
_HEIGHTS = (-500.0, 5000.0)


def saturation(temperature: float, salinity: float, height: float = 0.0) -> float:
    """mg/L of oxygen at saturation, at degC, g/kg and `height` (m above the sea).

    ValueError outside -2 to 40 degC, 0 to 42 g/kg, -500 to 5000 m. Source: TEOS-10.

    >>> round(saturation(25, 0), 2), round(saturation(25, 35), 2)
    (8.26, 6.78)
    """
    _refuse_outside("temperature", temperature, _TEMPERATURES, "degC")
    _refuse_outside("salinity", salinity, _SALINITIES, "g/kg")
    import gsw

    moles = float(gsw.O2sol_SP_pt(salinity / GRAMS_PER_PRACTICAL, temperature))  # µmol/kg
    grams = moles * store.water_figures().needed("mass_oxygen").value * 1e-6  # g/kg
    return grams * density(salinity, temperature) * pressure_part(height)


def pressure_part(height: float) -> float:
    """Air pressure at `height` (m) as a part of that at the sea. ValueError outside -500 to 5000 m.

    Source: standard atmosphere (coefficients from memory).

    >>> round(pressure_part(500), 3)
    0.942
    """
    _refuse_outside("height", height, _HEIGHTS, "m")
    known = store.water_figures()
    return float((1 - known.needed("air_lapse").value * height) ** known.needed("air_power").value)


def _refuse_outside(name: str, value: float, ends: tuple[float, float], unit: str) -> None:
    if not ends[0] <= value <= ends[1]:
        raise ValueError(f"oxygen is not known at a {name} of {value:g} {unit}: {ends[0]:g} to {ends[1]:g} {unit}")
