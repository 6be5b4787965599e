"""What a first response for each water would need now: the needs of the run sheet, gathered over waters and agents."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pratique.knowledge import store
from pratique.response.chosen import choose_place
from pratique.response.need import Need, Needs
from pratique.response.needs import needs_of
from pratique.response.scene import Scene, case_of
from pratique.response.shelf.model import Wanted
from pratique.response.suspicion import Suspicion

FASTEST = "amyloodinium"
"""The agent a room has to be able to answer tonight: it kills within 12 to 48 h (agents 20, a12)."""


def fast_killers() -> tuple[str, ...]:
    """Agents that leave no day to lose, by response.yaml."""
    return tuple(entry.agent for entry in store.response().pressing)


def emergencies(scene: Scene, agents: Iterable[str]) -> Iterator[Needs]:
    """The needs of every water that has fish, or is to have them next, against each agent."""
    agents = tuple(agents)
    for water in scene.room.waters.values():
        for agent in agents:
            case = case_of(scene, Suspicion(tank=water.tanks[0].name, at=scene.at, cover=(agent,)))
            if case.movers or case.rays:
                yield needs_of(case, choose_place(case), agent)


def gathered(found: Iterable[Needs]) -> tuple[Wanted, ...]:
    """The same thing for several waters and agents once, with the most that any of them takes, what lacks first."""
    rows: dict[tuple[str, str], Wanted] = {}
    for needs in found:
        for item in needs.items:
            key = (item.kind, item.treatment or item.what)
            known = rows.get(key)
            if known is None:
                rows[key] = Wanted(need=item, waters=(needs.water,), pathogens=(needs.pathogen,))
                continue
            rows[key] = Wanted(
                need=max(known.need, item, key=_demand),
                waters=tuple(dict.fromkeys((*known.waters, needs.water))),
                pathogens=tuple(dict.fromkeys((*known.pathogens, needs.pathogen))),
            )
    return tuple(sorted(rows.values(), key=lambda row: row.need.enough))


def _demand(need: Need) -> tuple[bool, float]:
    """What lacks before what does not; then the larger amount."""
    return not need.enough, need.need.value if need.need is not None else 0.0
