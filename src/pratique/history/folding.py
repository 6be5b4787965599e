"""The entries of a log taken one after the other: each kind puts what it says under the water it concerns."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from pratique.history import events as e
from pratique.history.places import Places
from pratique.logbook import entry as kinds
from pratique.logbook.entry import Common
from pratique.logbook.ids import slug
from pratique.room.resolve import Room


class Folding:
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
        """The next entry in order of time."""
        at = entry.at.astimezone(self.zone)
        if self.since is None:
            self.since = at
        act = _ACTS.get(entry.kind)
        if act is not None:
            act(self, entry, at)

    def put(self, sort: str, tank: str, event: object) -> None:
        """An event under the water of a tank; nothing where the room has no such tank."""
        known = self.room.tanks.get(tank)
        if known is not None:
            self.by_water[known.water][sort].append(event)

    def use(self, product: str | None, **amounts: float) -> None:
        """Amounts used, bought or spoiled of a product, in its unit."""
        bottle = self.bottles.get(product or "")
        if bottle is not None:
            totals = {key: getattr(bottle, key) + amount for key, amount in amounts.items()}
            self.bottles[product or ""] = replace(bottle, **totals)

    def shared_out(self) -> dict[str, dict[str, list[Any]]]:
        """Each sort of event by water: a move within one water stands once, one between two under both."""
        waters = {name: tank.water for name, tank in self.room.tanks.items()}
        found = {water: dict(sorts) for water, sorts in self.by_water.items()}
        for passage in self.places.passages:
            ends = {waters[tank] for tank in (passage.from_, passage.to) if tank in waters}
            for water in sorted(ends):
                found.setdefault(water, {}).setdefault("passages", []).append(passage)
        for stay in self.places.all_stays():
            found.setdefault(waters[stay.tank], {}).setdefault("stays", []).append(stay)
        return found


def _bottle(product: Any) -> e.Bottle:
    left = product.left.value if product.left is not None else None
    return e.Bottle(unit=product.strength.per, left=left)


def with_left(bottle: e.Bottle) -> e.Bottle:
    """The bottle with what is left in it, never below nought."""
    if bottle.left is None:
        return bottle
    return replace(bottle, left=max(bottle.left + bottle.bought - bottle.used - bottle.spoiled, 0.0))


def _reading(self: Folding, entry: kinds.Reading, at: dt.datetime) -> None:
    value = entry.value
    self.put("readings", entry.tank, e.Reading(
        at=at, tank=entry.tank, what=entry.what, value=value.value, unit=value.unit, low=value.low, high=value.high,
        text=value.text, kit=entry.kit or "", entry_id=entry.id,
    ))  # fmt: skip


def _dose(self: Folding, entry: kinds.Dose, at: dt.datetime) -> None:
    self.use(entry.product, used=entry.amount.value)
    self.put("additions", entry.tank, e.Addition(
        at=at, tank=entry.tank, treatment=entry.treatment or "", product=entry.product, amount=entry.amount.value,
        unit=entry.amount.unit, into=entry.into, entry_id=entry.id,
    ))  # fmt: skip


def _change(self: Folding, entry: kinds.WaterChange, at: dt.datetime) -> None:
    volume, amount = entry.volume, entry.amount
    if amount is not None:
        self.use(entry.product, used=amount.value)
    share = volume.unit == "%"
    self.put("exchanges", entry.tank, e.Exchange(
        at=at, tank=entry.tank, litres=None if share else volume.value, share=volume.value / 100 if share else None,
        product=entry.product or "", amount=amount.value if amount else 0.0, unit=amount.unit if amount else "",
        entry_id=entry.id,
    ))  # fmt: skip


def _animals(self: Folding, entry: Common, at: dt.datetime) -> None:
    self.places.take(entry, at)


def _move(self: Folding, entry: kinds.Move, at: dt.datetime) -> None:
    self.places.take(entry, at)
    if not entry.things:
        return
    carried = e.Carried(at=at, things=entry.things, from_=entry.from_ or "", to=entry.to, entry_id=entry.id)
    self.put("carried", entry.to, carried)


def _sign(self: Folding, entry: kinds.Sign, at: dt.datetime) -> None:
    self.put("signs", entry.tank, e.Seen(
        at=at, tank=entry.tank, animal=entry.animal or "", batch=entry.batch or "", signs=entry.signs, entry_id=entry.id
    ))  # fmt: skip


def _fed(self: Folding, entry: kinds.Fed, at: dt.datetime) -> None:
    fed = e.Feeding(at=at, tank=entry.tank, treatment=entry.treatment or "", entry_id=entry.id)
    self.put("feedings", entry.tank, fed)


def _look(self: Folding, entry: kinds.Look, at: dt.datetime) -> None:
    """A look of everybody it may have been at; a sign seen with it, or food refused, is a sign like any other."""
    batch = entry.batch or ""
    tank = entry.tank or self.places.tank_of(batch)
    known = self.room.tanks.get(tank)
    if known is None:
        return
    self.put("looks", tank, e.Looked(
        at=at, tank=tank, batch=batch, animal=entry.animal or "", heads=entry.heads, eating=entry.eating,
        breaths=entry.breaths, signs=entry.signs, how=entry.how, findings=entry.findings or "", by=entry.by or "",
        entry_id=entry.id,
    ))  # fmt: skip
    there = {stay.batch for stay in self.places.standing if self.room.tanks[stay.tank].water == known.water}
    for name in sorted({batch} if batch else there):
        self.looks[slug(name or known.water)].append(at)
    signs = (*entry.signs, *(["not-eating"] if entry.eating is False and "not-eating" not in entry.signs else []))
    if signs and entry.how != "necropsy":
        seen = e.Seen(at=at, tank=tank, animal=entry.animal or "", batch=batch, signs=signs, entry_id=entry.id)
        self.put("signs", tank, seen)


def _dip(self: Folding, entry: kinds.Dip, at: dt.datetime) -> None:
    """Nothing goes into a water, but the bottle has less in it."""
    if entry.amount is not None:
        self.use(entry.product, used=entry.amount.value)


def _task(self: Folding, entry: kinds.Done | kinds.Skipped, at: dt.datetime) -> None:
    why = entry.why or "" if isinstance(entry, kinds.Skipped) else ""
    self.tasks[entry.task] = e.TaskMark(at=at, what=entry.kind, why=why, entry_id=entry.id)
    parts = entry.task.split("/")
    if entry.kind == "done" and "look" in parts[1:3]:
        self.looks[parts[0]].append(at)


def _gear(self: Folding, entry: kinds.GearUse, at: dt.datetime) -> None:
    if entry.tank in self.room.tanks:
        use = e.GearUse(at=at, gear=entry.gear, tank=entry.tank, entry_id=entry.id)
        self.gear[entry.gear].append(use)
        self.put("gear", entry.tank, use)


def _readied(self: Folding, entry: kinds.Cleaned | kinds.Dried, at: dt.datetime) -> None:
    found = e.Readied(at=at, what=entry.kind, tank=entry.tank or "", gear=entry.gear or "", entry_id=entry.id)
    if found.gear:
        self.gear_readied[found.gear].append(found)
    else:
        self.put("readied", found.tank, found)


def _opened(self: Folding, entry: kinds.Opened, at: dt.datetime) -> None:
    bottle = self.bottles.get(entry.product)
    if bottle is not None:
        self.bottles[entry.product] = replace(bottle, opened=bottle.opened or at)


def _bought(self: Folding, entry: kinds.Bought, at: dt.datetime) -> None:
    self.use(entry.product, bought=entry.amount.value)


def _spoiled(self: Folding, entry: kinds.Spoiled, at: dt.datetime) -> None:
    bottle = self.bottles.get(entry.product)
    if bottle is None:
        return
    if entry.amount is not None:
        self.use(entry.product, spoiled=entry.amount.value)
    elif bottle.left is not None:  # all of it
        self.use(entry.product, spoiled=max(bottle.left + bottle.bought - bottle.used - bottle.spoiled, 0.0))


_ACTS: dict[str, Callable[[Folding, Any, dt.datetime], None]] = {
    "reading": _reading,
    "dose": _dose,
    "change": _change,
    "move": _move,
    "arrival": _animals,
    "death": _animals,
    "found": _animals,
    "sign": _sign,
    "fed": _fed,
    "look": _look,
    "dip": _dip,
    "done": _task,
    "skipped": _task,
    "gear": _gear,
    "cleaned": _readied,
    "dried": _readied,
    "opened": _opened,
    "bought": _bought,
    "spoiled": _spoiled,
}
"""Kind to what it does; notes, top-offs and the end of a dip change nothing that is asked."""
