"""Who stands near whom: drops that reach from water to water, and gear whose uses nobody wrote down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pratique.contacts.model import Nearby, Node
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.room.about import Distance
from pratique.room.resolve import Room

AS_WORST = "amyloodinium"
"""Where no agent is named it may be the one whose drops go furthest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pair:
    """Two waters, the nearest distance between them on file (cm, the low end of its error), and what it means."""

    one: str
    other: str
    gap: float
    barrier: bool
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Drops:
    """How far drops go (`limit`, None where nothing is known of this agent), and the pairs that were measured."""

    limit: Sourced | None
    pairs: tuple[Pair, ...]


def drops_of(room: Room, agent: str) -> Drops:
    """By the air of the room and the agent, or the worst where none is named. Source: RT06 (velvet)."""
    limit = _limit(room, agent)
    nearest: dict[frozenset[str], Pair] = {}
    for distance in room.written.room.distances:
        pair = _pair(room, distance, limit)
        key = frozenset((pair.one, pair.other))
        known = nearest.get(key)
        if known is None or (pair.reached, -pair.gap) > (known.reached, -known.gap):
            nearest[key] = pair
    return Drops(limit=limit, pairs=tuple(nearest.values()))


def _limit(room: Room, agent: str) -> Sourced | None:
    known = store.pathogen(agent or AS_WORST)
    still = known.number("spray_distance_still") if room.written.room.air == "still" else None
    return still or known.number("spray_distance")


def _pair(room: Room, distance: Distance, limit: Sourced | None) -> Pair:
    one, other = (room.tanks[name].water if name in room.tanks else name for name in distance.between)
    gap = distance.gap.low
    reached = limit is not None and not distance.barrier and gap <= cm(limit)
    return Pair(one=one, other=other, gap=gap, barrier=distance.barrier, reached=reached)


def cm(distance: Sourced) -> float:
    """A distance in cm, whatever unit the knowledge files keep it in."""
    return distance.value * {"cm": 1.0, "m": 100.0, "mm": 0.1}[distance.unit]


def near_of(room: Room, drops: Drops, *, no_log: bool) -> dict[Node, tuple[tuple[Node, Nearby], ...]]:
    """Node to those near it. Without a log a set of gear may have been in any water it is meant for."""
    found: dict[Node, list[tuple[Node, Nearby]]] = {}
    links: list[Nearby] = [*_sprays(drops), *(_sets(room) if no_log else ())]
    for nearby in links:
        one: Node = ("water", nearby.one)
        other: Node = ("water", nearby.other)
        found.setdefault(one, []).append((other, nearby))
        found.setdefault(other, []).append((one, nearby))
    return {node: tuple(others) for node, others in found.items()}


def _sprays(drops: Drops) -> Iterator[Nearby]:
    for pair in drops.pairs:
        if pair.reached:
            yield Nearby(one=pair.one, other=pair.other, way="spray", what=f"{pair.gap:g} cm apart")


def _sets(room: Room) -> Iterator[Nearby]:
    """Every two waters that one set is meant for."""
    for name, gear in room.written.gear.items():
        use = {"transfers": "transfer"}.get(gear.for_, gear.for_)
        waters = list(dict.fromkeys(tank.water for tank in room.tanks.values() if use in ("all", tank.use)))
        for number, one in enumerate(waters):
            for other in waters[number + 1 :]:
                yield Nearby(one=one, other=other, way="set", what=name)
