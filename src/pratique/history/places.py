"""Where every animal was when: arrivals, moves, deaths and finds taken one after the other.

The keeper was there and the program was not: an entry that does not fit what is believed is followed as far as
it goes. A batch that moves without having arrived arrives by it; animals moved out of a tank they were not in
are taken from wherever they were.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace

from pratique.history.events import How, Passage, Stay, Visit
from pratique.logbook.entry import Arrival, Common, Death, Found, Move
from pratique.room.resolve import Animal, Room

Who = tuple[str, str]
"""Batch (empty for residents) and name."""


class Places:
    """Takes entries in order of time. Unknown tanks and batches are left out."""

    def __init__(self, room: Room) -> None:
        self._room = room
        self._where: defaultdict[Who, dict[str, int]] = defaultdict(dict)
        self._by_label: defaultdict[str, list[Who]] = defaultdict(list)
        self._members = {name: _counts(batch.animals) for name, batch in room.batches.items()}
        self._came: set[Who] = set()
        self._open: dict[tuple[Who, str], Stay] = {}
        self._main: dict[str, Visit] = {}
        self.passages: list[Passage] = []
        self.stays: list[Stay] = []
        self.visits: defaultdict[str, list[Visit]] = defaultdict(list)
        for animal in room.residents:
            self._know(("", animal.label))
            self._change(("", animal.label), animal.tank, animal.count, None)
        for name, members in self._members.items():
            for label in members:
                self._know((name, label))

    def take(self, entry: Common, at: dt.datetime) -> None:
        """The next entry in order of time."""
        match entry:
            case Arrival() if entry.batch in self._members:
                self._arrived(entry, at)
            case Move() if entry.batch is not None or entry.animals:
                self._moved(entry, at)
            case Death() if entry.tank in self._room.tanks:
                self._died(entry, at)
            case Found() if entry.tank in self._room.tanks:
                self._found(entry, at)

    def all_stays(self) -> tuple[Stay, ...]:
        """Every stay in order, those that go on without an end."""
        return tuple(sorted([*self.stays, *self._open.values()], key=_order_of_stays))

    def all_visits(self) -> dict[str, list[Visit]]:
        """Each batch's visits in order, the one that goes on last."""
        found = {batch: list(visits) for batch, visits in self.visits.items()}
        for batch, visit in self._main.items():
            found.setdefault(batch, []).append(visit)
        return found

    @property
    def standing(self) -> tuple[Stay, ...]:
        """Who is where by the entries taken so far."""
        return tuple(self._open.values())

    @property
    def arrived(self) -> set[str]:
        """Batches of which some have come, be they alive or not."""
        return {batch for batch, _ in self._came if batch}

    def tank_of(self, batch: str) -> str:
        """Where the greater part of a batch is by the entries taken so far; empty where it is nowhere."""
        visit = self._main.get(batch)
        return visit.tank if visit is not None else ""

    def _know(self, who: Who) -> None:
        if who not in self._by_label[who[1]]:
            self._by_label[who[1]].append(who)

    def _arrived(self, entry: Arrival, at: dt.datetime) -> None:
        if entry.tank not in self._room.tanks:
            return
        for label, count in self._members[entry.batch].items():
            who = (entry.batch, label)
            if who in self._came:
                self._shift(who, self._elsewhere(who, entry.tank), entry.tank, None, at, "moved", entry.id)
            else:
                self._enter(who, entry.tank, count, at, "arrived", entry.id)
        self._settle(entry.batch, at, entry.id)

    def _moved(self, entry: Move, at: dt.datetime) -> None:
        if entry.to not in self._room.tanks:
            return
        for who in self._movers(entry):
            here = self._where[who]
            if not here:
                if who[0] and who not in self._came:
                    count = entry.count or self._members[who[0]].get(who[1], 1)
                    self._enter(who, entry.to, count, at, "arrived", entry.id)
                continue
            sources = [entry.from_] if entry.from_ is not None and here.get(entry.from_) else []
            self._shift(
                who, sources or self._elsewhere(who, entry.to), entry.to, entry.count, at, "moved", entry.id
            )
        for batch in dict.fromkeys(who[0] for who in self._movers(entry) if who[0]):
            self._settle(batch, at, entry.id)

    def _movers(self, entry: Move) -> list[Who]:
        if not entry.animals:
            members = self._members.get(entry.batch or "", {})
            return [(entry.batch or "", label) for label in members]
        found: list[Who] = []
        for label in entry.animals:
            known = [who for who in self._by_label[label] if entry.batch is None or who[0] == entry.batch]
            there = [who for who in known if entry.from_ is None or self._where[who].get(entry.from_)]
            found += (there or known)[:1]
        return found

    def _elsewhere(self, who: Who, tank: str) -> list[str]:
        return [name for name, count in self._where[who].items() if count and name != tank]

    def _died(self, entry: Death, at: dt.datetime) -> None:
        known = [who for who in self._by_label[entry.animal] if entry.batch is None or who[0] == entry.batch]
        water = self._room.tanks[entry.tank].water
        near = [tank.name for tank in self._room.waters[water].tanks]
        order = [entry.tank, *(name for name in near if name != entry.tank)]
        spots = [(who, tank) for tank in order for who in known if self._where[who].get(tank)]
        spots += [(who, tank) for who in known for tank in self._where[who] if (who, tank) not in spots]
        left = entry.count
        for who, tank in spots:
            gone = min(left, self._where[who].get(tank, 0))
            if gone:
                self._change(who, tank, -gone, at)
                self._pass(who, gone, tank, "", at, "died", entry.id)
                left -= gone
                if who[0]:
                    self._settle(who[0], at, entry.id)
        if left:  # somebody died who was not known to be there
            batch = entry.batch or ""
            self._pass((batch, entry.animal), left, entry.tank, "", at, "died", entry.id)

    def _found(self, entry: Found, at: dt.datetime) -> None:
        who = ("", entry.animal)
        self._know(who)
        self._enter(who, entry.tank, entry.count, at, "found", entry.id)

    def _enter(self, who: Who, tank: str, count: int, at: dt.datetime, how: How, entry_id: str) -> None:
        self._came.add(who)
        self._change(who, tank, count, at)
        self._pass(who, count, "", tank, at, how, entry_id)

    def _shift(
        self, who: Who, sources: list[str], to: str, count: int | None, at: dt.datetime, how: How, entry_id: str
    ) -> None:
        left = count if count is not None else sum(self._where[who].values())
        for tank in sources:
            moved = min(left, self._where[who].get(tank, 0))
            if moved and tank != to:
                self._change(who, tank, -moved, at)
                self._change(who, to, moved, at)
                self._pass(who, moved, tank, to, at, how, entry_id)
                left -= moved

    def _pass(
        self, who: Who, count: int, from_: str, to: str, at: dt.datetime, how: How, entry_id: str
    ) -> None:
        self.passages.append(
            Passage(at=at, how=how, animal=who[1], batch=who[0], count=count, from_=from_, to=to, entry_id=entry_id)
        )

    def _change(self, who: Who, tank: str, change: int, at: dt.datetime | None) -> None:
        now = self._where[who].get(tank, 0) + change
        self._where[who][tank] = now
        before = self._open.pop((who, tank), None)
        if before is not None and before.start != at:
            self.stays.append(replace(before, end=at))
        if now:
            self._open[who, tank] = Stay(animal=who[1], batch=who[0], tank=tank, count=now, start=at)
        else:
            del self._where[who][tank]

    def _settle(self, batch: str, at: dt.datetime, entry_id: str) -> None:
        """The tank with most of the batch; of equals the one it was in: it has moved when more than half of it has."""
        counts: defaultdict[str, int] = defaultdict(int)
        for label in self._members[batch]:
            for tank, count in self._where[batch, label].items():
                counts[tank] += count
        main = self._main.get(batch)
        here = main.tank if main is not None else ""
        most = max(counts, key=lambda tank: (counts[tank], tank == here, tank), default="")
        if most == here:
            return
        if main is not None:
            if main.start != at:
                self.visits[batch].append(replace(main, end=at))
            del self._main[batch]
        if most:
            self._main[batch] = Visit(tank=most, start=at, entry_id=entry_id)


def _counts(animals: Iterable[Animal]) -> dict[str, int]:
    found: dict[str, int] = {}
    for animal in animals:
        found[animal.label] = found.get(animal.label, 0) + animal.count
    return found


def _order_of_stays(stay: Stay) -> tuple[bool, float, str, str, str]:
    return (stay.start is not None, stay.start.timestamp() if stay.start else 0.0, stay.batch, stay.animal, stay.tank)
