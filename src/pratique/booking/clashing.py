"""What clashes, by its names."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.booking.case import Case
from pratique.booking.clash import Clash


@dataclass(frozen=True, slots=True, kw_only=True)
class Clashing:
    """The smallest set of wishes, limits and waters that cannot be had together, and who is in the waters already.

    `is_smallest` is False where the search could not tell for one of them whether it is needed.
    """

    wishes: tuple[str, ...]
    limits: tuple[str, ...]
    waters: tuple[str, ...]
    taken_by: tuple[str, ...]
    is_smallest: bool


def named(case: Case, clash: Clash) -> Clashing:
    """The names behind the numbers of a clash."""
    return Clashing(
        wishes=tuple(case.wants[number].name for number in clash.wishes),
        limits=tuple(case.limits[number].name for number in clash.limits),
        waters=tuple(case.waters[number] for number in clash.waters),
        taken_by=tuple(dict.fromkeys(taken.who for number in clash.waters for taken in case.taken[number])),
        is_smallest=clash.is_smallest,
    )
