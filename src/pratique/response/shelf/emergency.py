"""What a first response for each water would need now: the needs of the run sheet, gathered over waters and agents."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pratique.knowledge import store
from pratique.response.chosen import choose_place
from pratique.response.cover import fastest
from pratique.response.need import Need, Needs
from pratique.response.needs import needs_of
from pratique.response.scene import Scene, case_of
from pratique.response.shelf.model import Wanted
from pratique.response.suspicion import Suspicion


def fast_killers() -> tuple[str, ...]:
    """Agents that leave no day to lose, by response.yaml."""
    return tuple(entry.agent for entry in store.response().pressing)


def emergencies(scene: Scene, agents: Iterable[str]) -> Iterator[Needs]:
    """The needs of every water that has fish, against each agent; where none has, of those that are to have them."""
    agents = tuple(agents)
    cases = [
        case_of(scene, Suspicion(tank=water.tanks[0].name, at=scene.at, cover=(agent,)))
        for water in scene.room.waters.values()
        for agent in agents
    ]
    living = [case for case in cases if case.movers or case.rays]
    for case in [case for case in living if not case.assumed] or living:
        yield needs_of(case, choose_place(case), case.cover[0])


VITAL = {"product": "no medicine that is held", "tank": "no free bare tank"}


def lacks(needs: Needs) -> Iterator[str]:
    """What has to be there the same evening and is not; salt water may still be mixed where there is salt."""
    short = {item.kind: item for item in needs.short}
    vital = (next((item for item in needs.short if item.kind == kind), None) for kind in VITAL)  # held before bath
    yield from (said for item in vital if item is not None and (said := _lacking(item)))
    if {"mixed water", "salt"} <= short.keys():
        have = short["mixed water"].have
        yield "too little salt water, and salt" if have is not None and have.value else "no salt water"
    if any(_reads_copper(item) for item in needs.short):
        yield "no kit that reads the copper"


def _lacking(item: Need) -> str:
    """Of a bottle that is there, whether it holds too little; that it lacks its kit is said of the kit."""
    if not item.name:
        return VITAL[item.kind]
    is_less = item.need is not None and item.have is not None and item.have.value < item.need.value
    return f"too little of `{item.name}`" if is_less else ""


def _reads_copper(item: Need) -> bool:
    return item.kind == "test" and item.what.endswith("copper")


def is_vital(item: Need) -> bool:
    """True for what is among `lacks` where it is not there; salt stands for the water it makes."""
    return item.kind in (*VITAL, "salt") or _reads_copper(item)


def unanswered(scene: Scene, needs: Iterable[Needs]) -> Iterator[tuple[Needs, tuple[str, ...]]]:
    """The waters in which the fastest killer could not be answered tonight, each with what is missing.

    One in which a medicine against it is held already has its answer.
    """
    for one in needs:
        missing = tuple(lacks(one))
        if one.pathogen == fastest() and missing and not _is_held(scene, one.water):
            yield one, missing


def _is_held(scene: Scene, water: str) -> bool:
    against = {answer.treatment for answer in store.response().answers_to(fastest())}
    there = {holds.treatment for holds in scene.room.waters[water].conditions.holds}
    there |= {planned.treatment for planned in scene.planned_in(water)}
    return any(store.treatment(id_).kind == "immersion" for id_ in there & against)


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
