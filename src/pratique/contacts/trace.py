"""Who has been exposed, and from where it could have come: the whole answer about one tank, batch, animal or set.

    room + history + plan  ->  contacts in order of time  ->  forward and backward  ->  Trace
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace

from pratique.clocks.rules import fallow_rule
from pratique.contacts import notes
from pratique.contacts.clocks import clock_effects
from pratique.contacts.dryness import dry_marks
from pratique.contacts.fishless import fallow_marks
from pratique.contacts.gather import Basis, animal_contacts, basis_of, carried_contacts, in_order
from pratique.contacts.hands import hand_contacts
from pratique.contacts.held import held_items, to_clean
from pratique.contacts.model import LEVELS, Hop, Level, Nearby, Node, Origin, Reached, Record, Source, Trace
from pratique.contacts.near import Drops, drops_of, near_of
from pratique.contacts.origin import Kind, first_sign, origin_of, waters_of
from pratique.contacts.paths import hops_from, hops_to, latest_hop
from pratique.contacts.spread import Exposure, Spread, backward, forward
from pratique.contacts.unexposed import unexposed_waters
from pratique.contacts.wet_gear import gear_contacts
from pratique.contacts.whereabouts import whereabouts
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.problem import Refusal
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.model import Plan
from pratique.schedule.plan import make_plan


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What was asked: `since` and `agent` (the id of a pathogen) are left out where nobody said."""

    kind: Kind
    name: str
    since: dt.datetime | None = None
    agent: str = ""


def make_trace(room: Room, history: History, request: Request) -> Trace | Refusal:
    """The answer as of the moment of the history; a refusal (X613) where what was asked about was nowhere."""
    plan = make_plan(room, history)
    where = whereabouts(history, plan)
    basis = basis_of(history, where)
    sign = first_sign(history, waters_of(room, where, request.kind, request.name, history), history.at)
    seen = sign or history.at
    since = request.since or plus_hours(seen, -store.contacts().needed("look_back").value)
    origin = origin_of(room, where, request.kind, request.name, since=since, seen=seen, at=history.at)
    if isinstance(origin, Refusal):
        return origin
    drops = drops_of(room, request.agent)
    record = record_of(basis, drops, request.agent)
    spreads = {level: forward(record, origin.seeds, level) for level in LEVELS}
    reached = tuple(_reached(basis, plan, origin, record, spreads, request.agent, sign))
    exposed_gear = tuple(_gear(spreads))
    return Trace(
        origin=origin,
        agent=request.agent,
        at=history.at,
        since=since,
        since_why=_since_why(request, sign),
        seen=seen,
        seen_why="the first sign on record" if sign is not None else "no sign is on record: up to now",
        from_log=not history.is_empty,
        reached=reached,
        sources=tuple(_sources(basis, record, origin, since)),
        unexposed=tuple(unexposed_waters(room, where, record.items, spreads["possible"], drops, since)),
        held=tuple(held_items(basis, reached, request.agent)),
        to_clean=tuple(to_clean(basis, reached, exposed_gear, request.agent)),
        notes=tuple(notes.notes_of(basis, drops, request.agent, since)),
        problems=tuple(notes.problems_of(basis, since)),
    )


def record_of(basis: Basis, drops: Drops, agent: str) -> Record:
    """Everything by which something could pass from water to water, in order."""
    placed = [
        *animal_contacts(basis),
        *carried_contacts(basis),
        *gear_contacts(basis),
        *hand_contacts(basis),
        *dry_marks(basis),
    ]
    long = fallow_rule(store.pathogen(agent)).long if agent else None
    placed += list(fallow_marks(basis, in_order(placed), long.value if long is not None else None))
    room = basis.room
    waters: tuple[Node, ...] = tuple(("water", name) for name in room.waters)
    near = near_of(room, drops, no_log=basis.history.is_empty)
    return Record(items=in_order(placed), waters=waters, near=near)


def _since_why(request: Request, sign: dt.datetime | None) -> str:
    if request.since is not None:
        return "as asked"
    days = store.contacts().needed("look_back").value / 24
    return f"{days:g} d before the first sign on record" if sign is not None else f"{days:g} d before now"


def _best(spreads: dict[Level, Spread], node: Node) -> tuple[Level, Exposure] | None:
    """The strongest exposure that still lasts, else the strongest there was."""
    found = [(level, exposure) for level in LEVELS for exposure in spreads[level].get(node, ())]
    lasting = [entry for entry in found if entry[1].until is None]
    return next(iter(lasting or found), None)


def _reached(
    basis: Basis,
    plan: Plan,
    origin: Origin,
    record: Record,
    spreads: dict[Level, Spread],
    agent: str,
    sign: dt.datetime | None,
) -> Iterator[Reached]:
    found = []
    for name, water in basis.room.waters.items():
        best = _best(spreads, ("water", name))
        if best is None:
            continue
        level, exposure = best
        goes_on = exposure.via is not None and exposure.via.way in ("spray", "set") and exposure.until is None
        here = basis.where.standing(basis.room, name)
        is_origin = name in origin.waters
        reached = Reached(
            water=name,
            tanks=tuple(tank.name for tank in water.tanks),
            level=level,
            since=exposure.at,
            last=basis.history.at if goes_on else _last(spreads, level, exposure),
            goes_on=goes_on,
            until=exposure.until,
            ended=exposure.ended,
            path=_path(origin, exposure, is_origin=is_origin),
            latest=latest_hop(exposure),
            here=here,
            drops=tuple(_drops(record, spreads["possible"], exposure)) if not goes_on else (),
            is_origin=is_origin,
        )
        found.append(_with_clocks(basis, plan, reached, agent, sign))
    order = {level: number for number, level in enumerate(LEVELS)}
    yield from sorted(found, key=lambda r: (not r.is_origin, r.until is not None, order[r.level], instant(r.since)))


def _last(spreads: dict[Level, Spread], level: Level, exposure: Exposure) -> dt.datetime:
    """The latest contact with something wet or stronger; of a possible exposure the latest of any strength."""
    others = spreads["wet" if level == "direct" else level].get(exposure.node, ())
    return max((e.last for e in (exposure, *others) if e.until is None), key=instant, default=exposure.last)


def _drops(record: Record, spread: Spread, exposure: Exposure) -> Iterator[Nearby]:
    """Drops that go on from exposed waters near by."""
    if exposure.until is None:
        for other, nearby in record.near.get(exposure.node, ()):
            held = next((found for found in spread.get(other, ()) if found.until is None), None)
            own = held is not None and held.before is not None and held.before.node == exposure.node
            if nearby.way == "spray" and held is not None and not own:
                yield nearby


def _path(origin: Origin, exposure: Exposure, *, is_origin: bool) -> tuple[Hop, ...]:
    """From the origin on; where the animals asked about had been before, that is the first step."""
    first = exposure.chain()[0].node
    hops = hops_to(exposure)
    if is_origin or first[0] != "water" or first[1] in origin.waters:
        return hops
    came = Hop(
        from_=origin.name, to=first[1], at=exposure.chain()[0].at, way="fish", level="direct",
        text="the animals asked about were here",
    )  # fmt: skip
    return (came, *hops)


def _with_clocks(basis: Basis, plan: Plan, reached: Reached, agent: str, sign: dt.datetime | None) -> Reached:
    """Of the origin a clock is started again by the sign, which is on record; of others by the latest contact."""
    at = sign if reached.is_origin else reached.last
    if at is None or reached.until is not None:
        return reached
    effects = clock_effects(
        basis, plan, reached.water, reached.here, at, level=reached.level, agent=agent, sign=reached.is_origin
    )
    return replace(reached, clocks=tuple(effects))


def _gear(spreads: dict[Level, Spread]) -> Iterator[tuple[Node, Level, Exposure]]:
    """Sets that are still wet with it."""
    for node in spreads["possible"]:
        best = _best(spreads, node) if node[0] == "gear" else None
        if best is not None and best[1].until is None:
            yield (node, *best)


def _sources(basis: Basis, record: Record, origin: Origin, since: dt.datetime) -> Iterator[Source]:
    spreads = {level: backward(record, origin.targets, level) for level in LEVELS}
    targets = {node for node, _ in origin.targets}
    found: list[Source] = []
    for node in spreads["possible"]:
        if node in targets or node[0] not in ("water", "outside"):
            continue
        ways = [
            (level, exposure)
            for level in LEVELS
            for exposure in spreads[level].get(node, ())
            if instant(exposure.at) >= instant(since)
        ]
        if ways:
            level, exposure = ways[0]
            found.append(_source(basis, node, level, exposure, since))
    order = {level: number for number, level in enumerate(LEVELS)}
    yield from sorted(found, key=lambda s: (order[s.level], not s.signs, -s.latest.timestamp(), s.name))


def _source(basis: Basis, node: Node, level: Level, exposure: Exposure, since: dt.datetime) -> Source:
    room = basis.room
    if node[0] == "outside":
        batch = room.batches.get(node[1])
        says = f"from {batch.written.source}, {batch.written.trust}" if batch is not None else "from outside"
        signs = batch.signs if batch is not None else ()
        return Source(
            name=node[1], kind="outside", level=level, latest=exposure.at, path=hops_from(exposure), says=says,
            signs=signs,
        )  # fmt: skip
    seen = [
        sign
        for entry in basis.history.of_water(node[1]).signs
        if instant(since) <= instant(entry.at)
        for sign in entry.signs
    ]
    seen += [sign for animal in room.residents_by_water.get(node[1], ()) for sign in animal.signs]
    return Source(
        name=node[1], kind="water", level=level, latest=exposure.at, path=hops_from(exposure),
        signs=tuple(dict.fromkeys(seen)),
    )  # fmt: skip
