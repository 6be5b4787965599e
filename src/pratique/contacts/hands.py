"""Hands and the order of work: whoever works in one tank and then in another within one round may carry something on.

Every entry that names a tank is taken for work in it: a task ticked, a look, a feeding, a reading. Entries without a
name may be anybody's. Hands are taken to be washed when a round is over.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.contacts.gather import Basis, Placed
from pratique.contacts.model import Contact, Node
from pratique.history.events import Passage
from pratique.knowledge import store
from pratique.logbook.entry import Common
from pratique.logbook.ids import slug

IDLE = ("note", "opened", "bought", "spoiled", "skipped", "correction")
"""Kinds that put no hand into a tank."""


@dataclass(slots=True)
class _Round:
    """The work of one person (nameless: anybody's) from tank to tank."""

    number: int
    last: float


def hand_contacts(basis: Basis) -> Iterator[Placed]:
    """From the water of each act to the person, and from the person to the water of each later act of the round."""
    gap = store.contacts().needed("round").value * 3600
    tending = _Tending(basis)
    rounds: dict[str, _Round] = {}
    limit = basis.history.at.timestamp()
    for entry in basis.history.log.entries:
        now = entry.at.timestamp()
        if now > limit:
            return
        for part, water in enumerate(tending.waters_of(entry)):
            who = entry.by or ""
            mine = rounds.get(who)
            if mine is None or now - mine.last > gap:
                mine = rounds[who] = _Round(mine.number + 1 if mine is not None else 0, now)
            mine.last = now
            at = entry.at.astimezone(basis.room.zone)
            yield from _act(basis, entry, at, part, water, rounds, gap)


def _act(
    basis: Basis, entry: Common, at: dt.datetime, part: int, water: Node, rounds: dict[str, _Round], gap: float
) -> Iterator[Placed]:
    who, now = entry.by or "", entry.at.timestamp()
    others = ((name, found) for name, found in rounds.items() if name in (who, "") or not who)
    for name, found in others:
        if now - found.last <= gap:
            contact = Contact(at, _node(name, found), water, "hands", "possible", name or who, entry.id)
            yield basis.place(entry.id, 10 + 4 * part, contact)
    to = _node(who, rounds[who])
    yield basis.place(entry.id, 12 + 4 * part, Contact(at, water, to, "hands", "possible"))


def _node(name: str, found: _Round) -> Node:
    return ("hands", f"{name}/{found.number}")


class _Tending:
    """Which waters an entry says somebody worked in."""

    def __init__(self, basis: Basis) -> None:
        self._basis = basis
        self._batches = {slug(name): name for name in basis.room.batches}
        self._waters = {slug(name): name for name in basis.room.waters}
        self._starts = {name: [at for at, _ in visits] for name, visits in basis.where.visits.items()}
        self._left: dict[str, Passage] = {p.entry_id: p for p in reversed(basis.where.passages) if p.from_}

    def waters_of(self, entry: Common) -> list[Node]:
        """In order; none for what puts no hand into a tank."""
        if entry.kind in IDLE:
            return []
        fields = entry.__dict__
        if entry.kind == "done":
            found = [self._of_task(fields["task"], entry)]
        elif entry.kind == "move":
            left = self._left.get(entry.id)
            from_ = fields.get("from_") or (left.from_ if left is not None else "")
            found = [self._basis.water(from_ or ""), self._basis.water(fields["to"])]
        else:
            found = [self._basis.water(fields.get("tank") or "")]
        return [node for node in dict.fromkeys(found) if node is not None]

    def _of_task(self, task: str, entry: Common) -> Node | None:
        first = task.split("/")[0]
        if first in self._waters and first not in self._batches:
            return ("water", self._waters[first])
        name = self._batches.get(first, "")
        index = bisect_right(self._starts.get(name, []), entry.at.timestamp()) - 1
        return self._basis.water(self._basis.where.visits[name][index][1]) if index >= 0 else None
