"""The room and its log folded up to one moment: what was where, what was read, given and done, water by water.

    room + log  ->  fold(room, log, at)  ->  History

One pass over the entries, and everything is kept by the water it concerns, so that a question about one tank never
goes through the whole log. An entry that names what the room file does not have is left out (L746 says so).
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from pratique.history import events as e
from pratique.history.places import Places
from pratique.logbook import entry as kinds
from pratique.logbook.book import Log
from pratique.logbook.entry import Common
from pratique.room.resolve import Room

MOVING_ACTS = ("arrive", "transfer", "move", "release")
"""Acts by which a batch comes into a tank; one marked done is taken for the move it is, if no move is on record."""


@dataclass(frozen=True, kw_only=True)
class History:
    """What is on record by the moment `at`. Two histories are equal where the same happened by the same moment.

    `visits`: where the greater part of each batch was; `looks`: when somebody looked, by the first part of a task's
    id (a batch, or the water of residents); `since`: the first entry, None where there is none.
    """

    room: Room = field(compare=False, repr=False)
    log: Log = field(compare=False, repr=False)
    at: dt.datetime
    since: dt.datetime | None
    waters: Mapping[str, e.WaterRecord]
    visits: Mapping[str, tuple[e.Visit, ...]]
    passages: tuple[e.Passage, ...]
    stays: tuple[e.Stay, ...]
    tasks: Mapping[str, e.TaskMark]
    looks: Mapping[str, tuple[dt.datetime, ...]]
    gear: Mapping[str, tuple[e.GearUse, ...]]
    gear_readied: Mapping[str, tuple[e.Readied, ...]]
    bottles: Mapping[str, e.Bottle]

    @property
    def is_empty(self) -> bool:
        return self.since is None

    def of_water(self, water: str) -> e.WaterRecord:
        """Everything about one water; an empty record where there is nothing."""
        return self.waters.get(water, e.NOTHING)

    @cached_property
    def moving(self) -> frozenset[str]:
        """The first part of each id of a task of moving that is marked done."""
        parts = (id_.split("/") for id_, mark in self.tasks.items() if mark.what == "done")
        return frozenset(words[0] for words in parts if len(words) > 2 and words[2] in MOVING_ACTS)

    @cached_property
    def passages_of(self) -> Mapping[str, tuple[e.Passage, ...]]:
        """Batch (empty for residents) to its comings and goings."""
        found: defaultdict[str, list[e.Passage]] = defaultdict(list)
        for passage in self.passages:
            found[passage.batch].append(passage)
        return {batch: tuple(entries) for batch, entries in found.items()}

    @cached_property
    def standing(self) -> tuple[e.Stay, ...]:
        """Who is where at the moment `at`."""
        return tuple(stay for stay in self.stays if stay.end is None)

    @cached_property
    def presence(self) -> Mapping[str, tuple[tuple[str, e.Span], ...]]:
        """Water to each batch (empty for residents) that was in it, with the stretches in which somebody of it was."""
        spans: dict[tuple[str, str], list[e.Span]] = {}
        for stay in self.stays:
            start = stay.start or _ALWAYS
            known = spans.setdefault((self.room.tanks[stay.tank].water, stay.batch), [])
            if known and (known[-1][1] is None or start.timestamp() <= known[-1][1].timestamp()):
                end = None if stay.end is None or known[-1][1] is None else max(stay.end, known[-1][1])
                known[-1] = (known[-1][0], end)
            else:
                known.append((start, stay.end))
        found: defaultdict[str, list[tuple[str, e.Span]]] = defaultdict(list)
        for (water, batch), stretches in spans.items():
            found[water] += [(batch, span) for span in stretches]
        return {water: tuple(entries) for water, entries in found.items()}

    def in_water(self, water: str, moment: dt.datetime | None = None) -> tuple[e.Stay, ...]:
        """Who is in a water, or was at an earlier `moment`."""
        stays = self.of_water(water).stays
        if moment is None:
            return tuple(stay for stay in stays if stay.end is None)
        return tuple(stay for stay in stays if _covers(stay, moment))

    def count_of(self, batch: str, animal: str) -> int:
        """How many of one name of a batch are alive by the record; nought where they have not come."""
        return sum(stay.count for stay in self.standing if (stay.batch, stay.animal) == (batch, animal))


_ALWAYS = dt.datetime(1990, 1, 1, tzinfo=dt.UTC)
"""Before any entry there can be."""


def _covers(stay: e.Stay, moment: dt.datetime) -> bool:
    now = moment.astimezone(dt.UTC)
    begun = stay.start is None or stay.start.astimezone(dt.UTC) <= now
    return begun and (stay.end is None or now < stay.end.astimezone(dt.UTC))


def fold(room: Room, log: Log, at: dt.datetime) -> History:
    """The history of `room` by `log` up to and with the moment `at` (which has an offset)."""
    folding = _Folding(room)
    limit = at.timestamp()
    for entry in log.entries:
        if entry.at.timestamp() > limit:
            break
        folding.take(entry)
    return folding.history(log, at)


class _Folding:
    """Takes the entries in order of time."""

    def __init__(self, room: Room) -> None:
        self.room, self.zone = room, room.zone
        self.places = Places(room)
        self.since: dt.datetime | None = None
        self.by_water: defaultdict[str, defaultdict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
        self.tasks: dict[str, e.TaskMark] = {}
        self.looks: defaultdict[str, list[dt.datetime]] = defaultdict(list)
        self.gear: defaultdict[str, list[e.GearUse]] = defaultdict(list)
        self.gear_readied: defaultdict[str, list[e.Readied]] = defaultdict(list)
        self.bottles = {name: _bottle(product) for name, product in room.written.shelf.items()}

    def take(self, entry: Common) -> None:
        at = entry.at.astimezone(self.zone)
        if self.since is None:
            self.since = at
        act = _ACTS.get(entry.kind)
        if act is not None:
            act(self, entry, at)

    def put(self, sort: str, tank: str, event: object) -> None:
        known = self.room.tanks.get(tank)
        if known is not None:
            self.by_water[known.water][sort].append(event)

    def use(self, product: str | None, **amounts: float) -> None:
        bottle = self.bottles.get(product or "")
        if bottle is not None:
            totals = {key: getattr(bottle, key) + amount for key, amount in amounts.items()}
            self.bottles[product or ""] = replace(bottle, **totals)

    def history(self, log: Log, at: dt.datetime) -> History:
        self.places.close()
        self._share_out()
        waters = {
            water: e.WaterRecord(**{sort: tuple(found) for sort, found in sorts.items()})
            for water, sorts in self.by_water.items()
        }
        return History(
            room=self.room,
            log=log,
            at=at,
            since=self.since,
            waters=waters,
            visits={batch: tuple(found) for batch, found in self.places.visits.items()},
            passages=tuple(self.places.passages),
            stays=tuple(self.places.stays),
            tasks=self.tasks,
            looks={key: tuple(found) for key, found in self.looks.items()},
            gear={key: tuple(found) for key, found in self.gear.items()},
            gear_readied={key: tuple(found) for key, found in self.gear_readied.items()},
            bottles={name: _left(bottle) for name, bottle in self.bottles.items()},
        )

    def _share_out(self) -> None:
        """Comings, goings and stays by water: a move within one water stands once, one between two under both."""
        waters = {name: tank.water for name, tank in self.room.tanks.items()}
        for passage in self.places.passages:
            ends = {waters[tank] for tank in (passage.from_, passage.to) if tank in waters}
            for water in sorted(ends):
                self.by_water[water]["passages"].append(passage)
        for stay in self.places.stays:
            self.by_water[waters[stay.tank]]["stays"].append(stay)


def _bottle(product: Any) -> e.Bottle:
    left = product.left.value if product.left is not None else None
    return e.Bottle(unit=product.strength.per, left=left)


def _left(bottle: e.Bottle) -> e.Bottle:
    if bottle.left is None:
        return bottle
    return replace(bottle, left=max(bottle.left + bottle.bought - bottle.used - bottle.spoiled, 0.0))


def _reading(self: _Folding, entry: kinds.Reading, at: dt.datetime) -> None:
    value = entry.value
    self.put("readings", entry.tank, e.Reading(
        at=at, tank=entry.tank, what=entry.what, value=value.value, unit=value.unit, low=value.low, high=value.high,
        text=value.text, kit=entry.kit or "", entry_id=entry.id,
    ))  # fmt: skip


def _dose(self: _Folding, entry: kinds.Dose, at: dt.datetime) -> None:
    self.use(entry.product, used=entry.amount.value)
    self.put("additions", entry.tank, e.Addition(
        at=at, tank=entry.tank, treatment=entry.treatment or "", product=entry.product, amount=entry.amount.value,
        unit=entry.amount.unit, into=entry.into, entry_id=entry.id,
    ))  # fmt: skip


def _change(self: _Folding, entry: kinds.WaterChange, at: dt.datetime) -> None:
    volume, amount = entry.volume, entry.amount
    if amount is not None:
        self.use(entry.product, used=amount.value)
    share = volume.unit == "%"
    self.put("exchanges", entry.tank, e.Exchange(
        at=at, tank=entry.tank, litres=None if share else volume.value, share=volume.value / 100 if share else None,
        product=entry.product or "", amount=amount.value if amount else 0.0, unit=amount.unit if amount else "",
        entry_id=entry.id,
    ))  # fmt: skip


def _animals(self: _Folding, entry: Common, at: dt.datetime) -> None:
    self.places.take(entry, at)


def _move(self: _Folding, entry: kinds.Move, at: dt.datetime) -> None:
    self.places.take(entry, at)
    if not entry.things:
        return
    carried = e.Carried(at=at, things=entry.things, from_=entry.from_ or "", to=entry.to, entry_id=entry.id)
    self.put("carried", entry.to, carried)


def _sign(self: _Folding, entry: kinds.Sign, at: dt.datetime) -> None:
    self.put("signs", entry.tank, e.Seen(
        at=at, tank=entry.tank, animal=entry.animal or "", batch=entry.batch or "", signs=entry.signs, entry_id=entry.id
    ))  # fmt: skip


def _fed(self: _Folding, entry: kinds.Fed, at: dt.datetime) -> None:
    fed = e.Feeding(at=at, tank=entry.tank, treatment=entry.treatment or "", entry_id=entry.id)
    self.put("feedings", entry.tank, fed)


def _task(self: _Folding, entry: kinds.Done | kinds.Skipped, at: dt.datetime) -> None:
    why = entry.why or "" if isinstance(entry, kinds.Skipped) else ""
    self.tasks[entry.task] = e.TaskMark(at=at, what=entry.kind, why=why, entry_id=entry.id)
    parts = entry.task.split("/")
    if entry.kind == "done" and "look" in parts[1:3]:
        self.looks[parts[0]].append(at)


def _gear(self: _Folding, entry: kinds.GearUse, at: dt.datetime) -> None:
    if entry.tank in self.room.tanks:
        use = e.GearUse(at=at, gear=entry.gear, tank=entry.tank, entry_id=entry.id)
        self.gear[entry.gear].append(use)
        self.put("gear", entry.tank, use)


def _readied(self: _Folding, entry: kinds.Cleaned | kinds.Dried, at: dt.datetime) -> None:
    found = e.Readied(at=at, what=entry.kind, tank=entry.tank or "", gear=entry.gear or "", entry_id=entry.id)
    if found.gear:
        self.gear_readied[found.gear].append(found)
    else:
        self.put("readied", found.tank, found)


def _opened(self: _Folding, entry: kinds.Opened, at: dt.datetime) -> None:
    bottle = self.bottles.get(entry.product)
    if bottle is not None:
        self.bottles[entry.product] = replace(bottle, opened=bottle.opened or at)


def _bought(self: _Folding, entry: kinds.Bought, at: dt.datetime) -> None:
    self.use(entry.product, bought=entry.amount.value)


def _spoiled(self: _Folding, entry: kinds.Spoiled, at: dt.datetime) -> None:
    bottle = self.bottles.get(entry.product)
    if bottle is None:
        return
    if entry.amount is not None:
        self.use(entry.product, spoiled=entry.amount.value)
    elif bottle.left is not None:  # all of it
        self.use(entry.product, spoiled=max(bottle.left + bottle.bought - bottle.used - bottle.spoiled, 0.0))


_ACTS: dict[str, Callable[[_Folding, Any, dt.datetime], None]] = {
    "reading": _reading,
    "dose": _dose,
    "change": _change,
    "move": _move,
    "arrival": _animals,
    "death": _animals,
    "found": _animals,
    "sign": _sign,
    "fed": _fed,
    "done": _task,
    "skipped": _task,
    "gear": _gear,
    "cleaned": _readied,
    "dried": _readied,
    "opened": _opened,
    "bought": _bought,
    "spoiled": _spoiled,
}
"""Kind to what it does; notes and top-offs change nothing that is asked."""
