"""Which agents a first response has to cover: those the signs cannot tell apart, and the fast killer while in doubt."""

from __future__ import annotations

from pratique.dosing.facts import VELVET_SIGNS
from pratique.knowledge import store
from pratique.response.observed import Observed
from pratique.response.ranking import Fit, Ranking
from pratique.response.suspicion import Suspicion


def is_unspecific(observed: Observed) -> bool:
    """True where every sign seen only says that a fish is unwell, or none was seen at all."""
    signs = store.signs()
    return all(signs[sign].general for sign in observed.present)


def cover_of(observed: Observed, ranking: Ranking) -> tuple[str, ...]:
    """Ids of agents that cannot be told apart at the top, the one that may kill soonest first.

    Within `close` points of the best, and with a usual sign's worth of points or as many as the best has. The fast
    killer is added while it is in doubt. Signs that are only general cover nothing: they name nothing to act on.
    """
    if is_unspecific(observed):
        return ()
    scoring, best = store.scoring(), ranking.best
    least = max(best - scoring.points("close"), min(best, scoring.points("typical_seen")))
    found = {fit.id for fit in ranking.agents if fit.points > 0 and fit.points >= least}
    found |= {fit.id for fit in ranking.agents if fit.id == fastest() and in_doubt(observed, fit)}
    return tuple(sorted(found, key=lambda id_: (store.tempo()[id_].hours, id_)))


def fastest() -> str:
    """The agent that may kill soonest of all."""
    return min(store.tempo().values(), key=lambda entry: (entry.hours, entry.agent)).agent


def in_doubt(observed: Observed, fit: Fit) -> bool:
    """True while the fast killer has to be feared: a usual sign of it, and none that speaks against it.

    Breathing, gasping, the outflow and a coat like dust keep it in doubt whatever else is seen (agents 12, rule: act
    on the faster one).
    """
    if fit.points <= 0:
        return False
    weights = store.pathogen(fit.id).signs
    seen = {weights[sign].weight for sign in observed.present if sign in weights}
    return bool(VELVET_SIGNS & set(observed.present)) or ("typical" in seen and "unusual" not in seen)


def suspect(observed: Observed, ranking: Ranking) -> Suspicion:
    """What the run sheet starts from."""
    return Suspicion(
        tank=observed.tank,
        at=observed.at,
        signs=observed.present,
        cover=cover_of(observed, ranking),
        causes=tuple(fit.id for fit in ranking.first_causes if fit.water),
        dying=observed.dying,
        dead=observed.dead,
    )
