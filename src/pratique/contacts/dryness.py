"""When a water ceases to hold what was in it because it was dried out with all its tanks."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field

from pratique.contacts.gather import LATE, Basis, Placed, dried_by_task
from pratique.contacts.model import Mark, Node
from pratique.history.events import LONG_AGO, Readied
from pratique.schedule.calendar import plus_hours


def dry_marks(basis: Basis) -> Iterator[Placed]:
    """For each water that was dried: when no water was left in it, when that had lasted, when it was filled again.

    A water counts as dry once every tank of it is noted as dry while no animal is in it; one with a sump never does.
    """
    history = basis.history
    by_task: dict[str, list[Readied]] = {}
    for readied in dried_by_task(history):
        by_task.setdefault(basis.room.tanks[readied.tank].water, []).append(readied)
    for name, water in basis.room.waters.items():
        record = history.of_water(name)
        dried = [entry for entry in (*record.readied, *by_task.get(name, ())) if entry.what == "dried"]
        if dried and water.sump is None:
            yield from _of_water(basis, ("water", name), {tank.name for tank in water.tanks}, dried)


@dataclass(slots=True)
class _Water:
    """A water while its events go by."""

    tanks: set[str]
    dry: dict[str, dt.datetime] = field(default_factory=dict)
    since: dt.datetime | None = None
    animals: int = 0


def _of_water(basis: Basis, node: Node, tanks: set[str], dried: list[Readied]) -> Iterator[Placed]:
    half = basis.dry / 2
    state = _Water(tanks)
    for at, what, tank, change, entry_id in sorted(_events(basis, node[1], dried), key=_key(basis)):
        if what == "dried" and not state.animals:
            state.dry[tank] = at
            if state.since is None and set(state.dry) == tanks:
                state.since = at
                yield basis.place(entry_id, 6, Mark(at, node, "dry", entry_id=entry_id))
        elif what == "left":
            state.animals = max(state.animals + change, 0)
        elif what == "wet":
            state.animals += change
            if state.since is not None:
                yield from _ended(node, state.since, at, half)
                yield basis.place(entry_id, 0, Mark(at, node, "wet", entry_id=entry_id))
            state.since = None
            state.dry.pop(tank, None)
    if state.since is not None:
        yield from _ended(node, state.since, plus_hours(basis.history.at, 1e-3), half)


def _ended(node: Node, since: dt.datetime, until: dt.datetime, half: float) -> Iterator[Placed]:
    """Dry for long enough, if it was so before it was wet again."""
    end = plus_hours(since, half)
    if end.timestamp() < until.timestamp():
        yield (end.timestamp(), LATE, 0, Mark(end, node, "end", f"it stood dry for {half:g} h"))


_Event = tuple[dt.datetime, str, str, int, str]


def _key(basis: Basis) -> Callable[[_Event], tuple[float, int]]:
    def key(event: _Event) -> tuple[float, int]:
        return (event[0].timestamp(), basis.order.get(event[4], -1))

    return key


def _events(basis: Basis, water: str, dried: Iterable[Readied]) -> Iterator[_Event]:
    """What wets a tank of this water, who comes and goes, and when it was noted as dry."""
    record = basis.history.of_water(water)
    tanks = {tank.name for tank in basis.room.waters[water].tanks}
    for entry in dried:
        yield (entry.at, "dried", entry.tank, 0, entry.entry_id)
    for sort in (record.readings, record.additions, record.exchanges, record.feedings, record.gear):
        for event in sort:
            yield (event.at, "wet", event.tank, 0, event.entry_id)
    for carried in record.carried:
        yield (carried.at, "wet", carried.to, 0, carried.entry_id)
    for stay in record.stays:
        if stay.start is None:
            yield (LONG_AGO, "wet", stay.tank, stay.count, "")
    for passage in basis.by_water.get(water, ()):
        if passage.to in tanks:
            yield (passage.at, "wet", passage.to, passage.count, passage.entry_id)
        if passage.from_ in tanks:
            yield (passage.at, "left", passage.from_, -passage.count, passage.entry_id)
