"""What 37 % formalin is, counted in three ways, and the oxygen it takes."""

from __future__ import annotations

from pratique.knowledge.model import Treatment

MILLIGRAMS_PER_LITRE = 1e6
"""In one g/mL: densities are kept in mg/L like every mass per volume."""


def formaldehyde_in(level: float, treatment: Treatment) -> float:
    """mg/L of formaldehyde in `level` µL/L of the 37 % product (37 g in 100 mL; treatments 20)."""
    return level * treatment.needed("formaldehyde_per_100uL").value / 100


def by_volume(milligrams: float, treatment: Treatment) -> float:
    """µL/L of the 37 % product in `milligrams` mg/L of it by weight (1.08 g/mL; treatments 20).

    Labels and rules count by volume; some books count by weight, which is about 7 % less by volume.
    """
    return milligrams / (treatment.needed("density").value / MILLIGRAMS_PER_LITRE)


def oxygen_taken(level: float, treatment: Treatment) -> float:
    """mg/L of oxygen that `level` µL/L takes within `oxygen_hours` (PIPER82 p 276: 1 part for each 5)."""
    return level / treatment.needed("oxygen_per").value
