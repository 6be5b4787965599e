"""Who can be reached from whom: one walk over the contacts in order of time, forward or backward.

A node holds what it was exposed to until a mark ends it. A contact hands it on only if it comes after the exposure of
where it comes from. Waters near each other hand it on at every moment in which both hold water.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from pratique.contacts.model import LEVELS, Contact, Level, Mark, Node, Record

Seeds = Iterable[tuple[Node, dt.datetime]]


@dataclass(slots=True, eq=False)
class Exposure:
    """One stretch in which a node held something: from `at` on, by `via` out of `before`; `until` None where it lasts.

    `last` is the latest contact that brought it again, `last_via`, out of the water `last_from`. Walking backward, `at`
    is the last moment at which what was in the node could still get through, `until` the moment after which it has to
    have come in, and `before` is where `via` led.
    `recent`: of gear and hands, the last two waters that gave, and when; `taken`: when a carrier last took it on.
    """

    node: Node
    at: dt.datetime
    via: Contact | None
    before: Exposure | None
    last: dt.datetime
    last_via: Contact | None = None
    last_from: Exposure | None = None
    until: dt.datetime | None = None
    ended: str = ""
    taken: dt.datetime | None = None
    recent: list[tuple[Exposure, dt.datetime]] = field(default_factory=list)

    def chain(self) -> list[Exposure]:
        """From the beginning to this one."""
        found: list[Exposure] = []
        step: Exposure | None = self
        while step is not None:
            found.append(step)
            step = step.before
        return found[::-1]


Spread = Mapping[Node, Sequence[Exposure]]


def forward(record: Record, seeds: Seeds, level: Level) -> Spread:
    """Every node that was reached from `seeds` by contacts of `level` or stronger, with each of its exposures."""
    return _Forward(record, level).walk(seeds, record.items)


def backward(record: Record, targets: Seeds, level: Level) -> Spread:
    """Every node from which something could get to `targets`, each at its moment or earlier."""
    return _Backward(record, level).walk(targets, reversed(record.items))


class _Walk:
    """`state` holds what is exposed at this point of the walk, `dry` the waters that hold no water.

    `sense` is 1 forward in time, -1 backward; `dries` the mark at which a water ceases to be one, in that direction.
    """

    sense: Literal[1, -1]
    dries: Literal["dry", "wet"]

    def __init__(self, record: Record, level: Level) -> None:
        self.record = record
        self.allowed = frozenset(LEVELS[: LEVELS.index(level) + 1])
        self.near = record.near if "possible" in self.allowed else {}
        self.state: dict[Node, Exposure] = {}
        self.found: dict[Node, list[Exposure]] = {}
        self.dry: set[Node] = set()

    def walk(self, seeds: Seeds, items: Iterable[Contact | Mark]) -> Spread:
        """Every item in its turn, each seed before what comes after it."""
        waiting = sorted(seeds, key=lambda seed: self.sense * seed[1].timestamp(), reverse=True)
        for item in items:
            while waiting and self.sense * waiting[-1][1].timestamp() <= self.sense * item.at.timestamp():
                self.hold(*waiting.pop(), None, None)
            if isinstance(item, Mark):
                self.mark(item)
            elif item.level in self.allowed:
                self.contact(item)
        while waiting:
            self.hold(*waiting.pop(), None, None)
        return self.found

    def hold(self, node: Node, at: dt.datetime, via: Contact | None, before: Exposure | None) -> None:
        """The node, if it was not yet, and all that stand near it."""
        if node in self.state:
            return
        self._new(node, at, via, before)
        self.spray_from([node], at)

    def _new(self, node: Node, at: dt.datetime, via: Contact | None, before: Exposure | None) -> None:
        exposure = Exposure(node, at, via, before, last=at, last_via=via, last_from=before)
        if before is not None and node[0] in ("gear", "hands"):
            exposure.recent.append((before, at))
        elif before is not None:
            exposure.taken = next((at for other, at in before.recent if other is before.before), None)
        self.state[node] = exposure
        self.found.setdefault(node, []).append(exposure)

    def spray_from(self, nodes: list[Node], at: dt.datetime) -> None:
        """From these nodes on to all that stand near them, and near those."""
        while nodes:
            node = nodes.pop()
            if node in self.dry or node not in self.near:
                continue
            for other, nearby in self.near[node]:
                if other not in self.state and other not in self.dry:
                    ends = self.ends(node, other)
                    self._new(other, at, Contact(at, *ends, nearby.way, "possible", nearby.what), self.state[node])
                    nodes.append(other)

    def spray_round(self, node: Node, at: dt.datetime) -> None:
        """What holds water again can give and take."""
        if node in self.state:
            self.spray_from([node], at)
        elif node in self.near:
            self.spray_from([other for other, _ in self.near[node] if other in self.state], at)

    def ends(self, held: Node, other: Node) -> tuple[Node, Node]:
        """From where to where something goes, in the direction of time."""
        raise NotImplementedError

    def contact(self, contact: Contact) -> None:
        """What one contact hands on."""
        raise NotImplementedError

    def mark(self, mark: Mark) -> None:
        """A water that dries, or holds water again; what was held, and is from here on no more."""
        if mark.what == self.dries:
            self.dry.add(mark.node)
            return
        if mark.what != "end":
            self.dry.discard(mark.node)
        else:
            held = self.state.pop(mark.node, None)
            if held is not None:
                held.until, held.ended = mark.at, mark.why
        self.spray_round(mark.node, mark.at)


class _Forward(_Walk):
    sense, dries = 1, "dry"

    def ends(self, held: Node, other: Node) -> tuple[Node, Node]:
        return held, other

    def contact(self, contact: Contact) -> None:
        source = self._any_water(contact.to) if contact.from_ is None else self.state.get(contact.from_)
        if source is None:
            return
        held = self.state.get(contact.to)
        if held is None:
            self.hold(contact.to, contact.at, contact, source)
        elif contact.to[0] in ("gear", "hands"):
            others = (entry for entry in held.recent if entry[0].node != source.node)
            held.recent = [(source, contact.at), *others][:2]
        else:
            carrier = source.node[0] in ("gear", "hands")
            other = next((e for e, _ in source.recent if e.node != contact.to), None) if carrier else source
            if other is not None:
                held.last, held.last_via, held.last_from = contact.at, contact, other

    def _any_water(self, to: Node) -> Exposure | None:
        return next((e for node, e in self.state.items() if node[0] == "water" and node != to), None)


class _Backward(_Walk):
    sense, dries = -1, "wet"

    def walk(self, seeds: Seeds, items: Iterable[Contact | Mark]) -> Spread:
        """As it is at the end of the record, the waters that were dried and not filled since are dry."""
        for item in self.record.items:
            if isinstance(item, Mark) and item.what != "end":
                (self.dry.add if item.what == "dry" else self.dry.discard)(item.node)
        return super().walk(seeds, items)

    def ends(self, held: Node, other: Node) -> tuple[Node, Node]:
        return other, held

    def contact(self, contact: Contact) -> None:
        reached = self.state.get(contact.to)
        if reached is None:
            return
        for node in self.record.waters if contact.from_ is None else (contact.from_,):
            self.hold(node, contact.at, contact, reached)
