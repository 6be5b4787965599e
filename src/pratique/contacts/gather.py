"""Every contact that is on record, in order of time: animals, gear, hands, things carried, and what ended each.

Entries of one moment stand in the order in which the log has them, so a sheet ticked in one go counts in its order.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from pratique.contacts.model import Contact, Item, Level, Node, Way
from pratique.contacts.whereabouts import Whereabouts
from pratique.history.events import Carried, Passage, Readied
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.logbook.ids import slug
from pratique.room.resolve import Room
from pratique.room.times import absolute

LATE = 1 << 40
"""After every entry of the same moment."""

Placed = tuple[float, int, int, Item]
"""When (s), which entry, which part of it, and the item: what they are sorted by."""


@dataclass(slots=True)
class Basis:
    """What every part of the record is gathered from. `dry` (h): gear unused for so long is dry."""

    history: History
    where: Whereabouts
    dry: float
    order: dict[str, int] = field(default_factory=dict)
    by: dict[str, str] = field(default_factory=dict)
    fish: dict[tuple[str, str], Way] = field(default_factory=dict)
    by_water: dict[str, list[Passage]] = field(default_factory=dict)

    @property
    def room(self) -> Room:
        return self.history.room

    def water(self, tank: str) -> Node | None:
        """The water of a tank; None where the room has no such tank."""
        known = self.room.tanks.get(tank)
        return ("water", known.water) if known is not None else None

    def place(self, entry_id: str, part: int, item: Item) -> Placed:
        return (item.at.timestamp(), self.order.get(entry_id, -1), part, item)


def basis_of(history: History, where: Whereabouts) -> Basis:
    """What the record is gathered from."""
    transfer = store.treatment("tank-transfer")
    found = Basis(history, where, transfer.needed("dry").value + transfer.needed("drying_margin").value)
    for number, entry in enumerate(history.log.entries):
        found.order[entry.id] = number
        if entry.by:
            found.by[entry.id] = entry.by
    room = history.room
    for animal in room.residents:
        found.fish["", animal.label] = "fish" if animal.group.is_fish else "animal"
    for name, batch in room.batches.items():
        for animal in batch.animals:
            found.fish[name, animal.label] = "fish" if animal.group.is_fish else "animal"
    for passage in where.passages:
        ends = {room.tanks[tank].water for tank in (passage.from_, passage.to) if tank in room.tanks}
        for water in ends:
            found.by_water.setdefault(water, []).append(passage)
    return found


def in_order(placed: Iterable[Placed]) -> tuple[Item, ...]:
    """The items by their moment, then as the log has them."""
    return tuple(entry[3] for entry in sorted(placed, key=lambda entry: entry[:3]))


def animal_contacts(basis: Basis) -> Iterator[Placed]:
    """Animals that went from water to water, and those that came from outside."""
    for passage in basis.where.passages:
        to = basis.water(passage.to)
        if to is None:
            continue
        from_ = basis.water(passage.from_)
        if from_ == to:
            continue
        way = basis.fish.get((passage.batch, passage.animal), "fish")
        level: Level = "direct" if way == "fish" else "wet"
        whose = f" of {passage.batch}" if passage.batch else ""
        what = f"{passage.count} {passage.animal}{whose}" if passage.count > 1 else f"{passage.animal}{whose}"
        if from_ is None:
            what = passage.batch or what
            from_, way = ("outside", passage.batch or passage.animal), "arrival"
        yield basis.place(passage.entry_id, 4, Contact(passage.at, from_, to, way, level, what, passage.entry_id))
    yield from _residents(basis)


def _residents(basis: Basis) -> Iterator[Placed]:
    """Residents whose file says since when they are here."""
    for animal in basis.room.residents:
        written = basis.room.written.animals[int(animal.path[1])]
        to = basis.water(animal.tank)
        if written.since is None or to is None:
            continue
        at = absolute(written.since, basis.room.zone)
        way = basis.fish.get(("", animal.label), "fish")
        level: Level = "direct" if way == "fish" else "wet"
        what = f"{animal.count} {animal.label}"
        yield (at.timestamp(), -1, 4, Contact(at, ("outside", animal.label), to, "arrival", level, what))


def carried_contacts(basis: Basis) -> Iterator[Placed]:
    """Rock, sand, media and water; from nobody knows where, any water may have been it."""
    for water in basis.room.waters:
        for carried in basis.history.of_water(water).carried:
            from_, to = basis.water(carried.from_), ("water", water)
            if carried.from_ and from_ is None:
                continue
            if from_ != to:
                yield basis.place(carried.entry_id, 4, _carried(carried, from_, ("water", water)))


def _carried(carried: Carried, from_: Node | None, to: Node) -> Contact:
    what = ", ".join(carried.things)
    if from_ is None:
        return Contact(carried.at, None, to, "unnamed", "possible", what, carried.entry_id)
    way: Way = "water" if "water" in carried.things else "thing"
    level: Level = "direct" if way == "water" else "wet"
    return Contact(carried.at, from_, to, way, level, what, carried.entry_id)


def dried_by_task(history: History) -> Iterator[Readied]:
    """The n-th task `dry` of a batch is about the tank that the n-th move left."""
    room = history.room
    names = {slug(name): name for name in room.batches}
    for id_, mark in history.tasks.items():
        parts = id_.split("/")
        if mark.what != "done" or len(parts) != 4 or parts[2] != "dry" or not parts[3].isdigit():
            continue
        visits = history.visits.get(names.get(parts[0], ""), ())
        apart = [visit for visit in visits if room.tanks[visit.tank].use != "display"]
        if 1 <= int(parts[3]) <= len(apart):
            tank = apart[int(parts[3]) - 1].tank
            yield Readied(at=mark.at, what="dried", tank=tank, gear="", entry_id=mark.entry_id)
