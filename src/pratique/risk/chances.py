"""The chance of a course as a range: by strain, never averaged over them, with what it hangs on most."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np

from pratique.knowledge import store
from pratique.knowledge.model import Sourced, cite
from pratique.problem import Problem
from pratique.risk.course import Course
from pratique.risk.draws import Array, Draws, draws_of
from pratique.risk.survival import Integrator, of_any

LOW, MIDDLE, HIGH = 5, 50, 95
"""Percentiles of the draws of one strain."""

AS_READ = 26.0
"""degC at which the times of a stage are told."""

KEPT = 512
"""Courses whose chance is kept in memory while the program runs; nothing is written to a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrainChance:
    """A chance (0 to 1) by one strain: the middle of its draws, and the ends between which nine in ten lie."""

    strain: str
    title: str
    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """By every strain; `low` and `high` are the ends over all of them. There is no middle: strains are not averaged."""

    strains: tuple[StrainChance, ...]

    @property
    def low(self) -> float:
        return min(strain.low for strain in self.strains)

    @property
    def high(self) -> float:
        return max(strain.high for strain in self.strains)

    @property
    def worst(self) -> StrainChance:
        """By the strain that lets most through."""
        return max(self.strains, key=lambda strain: (strain.high, strain.middle, strain.low))

    def without(self, strain: str) -> Chance | None:
        """By all strains but one; None where it is the only one."""
        others = tuple(other for other in self.strains if other.strain != strain)
        return Chance(strains=others) if others else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weight:
    """How much one quantity moves the chance: the mean chance where it is in its lower and in its upper third.

    By the strain that it moves most, `strain`; None where it is the strain itself.
    """

    what: str
    strain: str | None
    low: str
    high: str
    chance_low: float
    chance_high: float

    @property
    def size(self) -> float:
        return abs(self.chance_high - self.chance_low)


def modelled() -> tuple[str, ...]:
    """The pathogens with a life cycle that numbers suffice for."""
    return tuple(id_ for id_, cycle in store.life_cycles().items() if cycle.strains)


def not_modelled(agent: str) -> Problem | None:
    """Why there is no chance for an agent: the numbers that nobody has published."""
    if agent in modelled():
        return None
    cycle = store.life_cycles().get(agent)
    reasons = "; ".join(f"{r.text} ({r.source}, {r.confidence})" for r in cycle.no_model) if cycle else ""
    return Problem(
        code="X760",
        message=f"how likely {store.pathogen(agent).short} gets through is not known",
        note=reasons or "no times of its stages off and on the fish were published at any temperature",
        hint="there is a model for " + " and ".join(store.pathogen(id_).short for id_ in modelled()),
    )


def out_of_reach(agent: str, low: float, high: float) -> Problem | None:
    """Why nothing is reckoned at these temperatures (degC)."""
    limits = limits_of(agent)
    if limits.low <= low and high <= limits.high:
        return None
    odd = low if low < limits.low else high
    return Problem(
        code="X762",
        message=f"nothing is known of {store.pathogen(agent).short} at {odd:g} degC that a chance could rest on",
        note=f"the model holds from {limits.low:g} to {limits.high:g} degC",
        source=cite(limits),
        hint="in cold water cysts wait for months; bring the water into that range, or count from when it is",
    )


def limits_of(agent: str) -> Sourced:
    """The temperatures (degC) within which the model holds."""
    return store.life_cycles()[agent].needed("temperature")


def within(agent: str, course: Course) -> Problem | None:
    """Why a course cannot be reckoned, or None."""
    return out_of_reach(agent, min(span.low for span in course.spans), max(span.high for span in course.spans))


@lru_cache(maxsize=KEPT)
def chances(agent: str, course: Course, parasites: float | None = None) -> Chance:
    """The chance that `agent` is on a fish when the course ends, if it was on one when it began."""
    return chance_of(list(_by_draw(agent, course, parasites)))


def chance_of(found: list[tuple[Draws, Array]]) -> Chance:
    """Draws of each strain as its ends."""
    strains = []
    for draws, values in found:
        low, middle, high = (float(p) for p in np.percentile(values, (LOW, MIDDLE, HIGH)))
        strains.append(
            StrainChance(strain=draws.strain.id, title=draws.strain.title, low=low, middle=middle, high=high)
        )
    return Chance(strains=tuple(strains))


def _by_draw(agent: str, course: Course, parasites: float | None) -> tuple[tuple[Draws, Array], ...]:
    drawn = [draws.with_burden(parasites) for draws in draws_of(agent)]
    return tuple((draws, of_any(draws, each)) for draws, each in zip(drawn, _each(agent, course), strict=True))


@lru_cache(maxsize=KEPT)
def _each(agent: str, course: Course) -> tuple[Array, ...]:
    """By strain, the chance of one parasite: how many there are is no part of the walk."""
    return tuple(integrator.chance_each(course) for integrator in _integrators(agent))


@cache
def _integrators(agent: str) -> tuple[Integrator, ...]:
    return tuple(Integrator(draws) for draws in draws_of(agent))


def weights(agent: str, course: Course, parasites: float | None = None) -> tuple[Weight, ...]:
    """What the chance hangs on, the most first: the strain, and each quantity by the strain it moves most."""
    return weights_of(list(_by_draw(agent, course, parasites)), agent, ("reach", "burden", "rhythm"))


def weights_of(found: list[tuple[Draws, Array]], agent: str, names: tuple[str, ...]) -> tuple[Weight, ...]:
    """As `weights`, of chances by draw; `names` are fields of `Draws`."""
    cycle = store.life_cycles()[agent]
    means = sorted((float(np.mean(values)), draws.strain.title) for draws, values in found)
    (least, lowest), (most, highest) = means[0], means[-1]
    which = Weight(
        what="which strain it is", strain=None, low=lowest, high=highest, chance_low=least, chance_high=most
    )
    said = {
        "reach": f"{cycle.free} of one {cycle.cyst.removesuffix('s')} that get onto a fish (never measured)",
        "burden": "parasites on the fish on arrival (not known)",
        "rhythm": "share that keeps to the hours before light",
        "cysts": "cysts in the water when the last fish left (not known)",
        "release": "how long a cyst takes, half of them",
        "stay": "how long it stays on the fish, half of them",
    }
    times = ("release",) if "cysts" in names else ("release", "stay")
    weigh = [which]
    for name in (*names, *times):
        weigh.append(max((_weight(*one, name, said[name]) for one in found), key=lambda weight: weight.size))
    return tuple(sorted((w for w in weigh if w.low != w.high), key=lambda weight: -weight.size))


def _weight(draws: Draws, values: Array, name: str, what: str) -> Weight:
    """The lower and the upper third of the draws of one strain."""
    field = getattr(draws, name)
    drawn = np.exp(field.at(np.full(draws.count, AS_READ))) / 24 if name in ("release", "stay") else field
    order = np.argsort(drawn)
    third = max(len(order) // 3, 1)
    least, most = order[:third], order[-third:]
    return Weight(
        what=what, strain=draws.strain.title, low=_plain(float(drawn[least].mean()), name),
        high=_plain(float(drawn[most].mean()), name), chance_low=float(values[least].mean()),
        chance_high=float(values[most].mean()),
    )  # fmt: skip


def _plain(value: float, name: str) -> str:
    if name == "rhythm":
        return f"{value:.0%}".replace("%", " %")
    return f"{value:.1f} d" if name in ("release", "stay") else f"{value:.0f}"


def means(agent: str, course: Course, parasites: float | None = None) -> dict[str, float]:
    """Title of each strain to the mean chance over its draws: what a simulation over them comes to."""
    return {draws.strain.title: float(np.mean(values)) for draws, values in _by_draw(agent, course, parasites)}
