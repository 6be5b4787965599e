"""When a water ceases to hold an agent that needs fish: long enough without any, and without anything wet.

Contacts by hand and drops do not put off that end, but expose again if they come after it.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from itertools import pairwise

from pratique.contacts.gather import LATE, Basis, Placed
from pratique.contacts.model import Contact, Item, Mark, Node
from pratique.schedule.calendar import plus_hours

BROUGHT = ("fish", "arrival", "animal", "water", "thing", "unnamed")
"""Ways by which something comes in that was elsewhere before; gear may only have been here."""

Stretch = tuple[dt.datetime, dt.datetime | None]


def fallow_marks(basis: Basis, items: Iterable[Item], hours: float | None) -> Iterator[Placed]:
    """Where a water had been so for `hours`, None for an agent that lives without fish: it never ends."""
    if hours is None or basis.history.since is None:
        return
    put_off = _brought(items)
    for name in basis.room.waters:
        node: Node = ("water", name)
        for start, end in _without_fish(basis, name):
            yield from _ends(node, start, end or plus_hours(basis.history.at, 1e-3), put_off.get(node, []), hours)


def _ends(
    node: Node, start: dt.datetime, end: dt.datetime, put_off: list[dt.datetime], hours: float
) -> Iterator[Placed]:
    first = bisect_right(put_off, start.timestamp(), key=dt.datetime.timestamp)
    last = bisect_left(put_off, end.timestamp(), key=dt.datetime.timestamp)
    points = [start, *put_off[first:last], end]
    for since, until in pairwise(points):
        at = plus_hours(since, hours)
        if at.timestamp() < until.timestamp():
            yield (at.timestamp(), LATE, 1, Mark(at, node, "end", f"it was without fish for {hours / 24:g} d"))


def _without_fish(basis: Basis, water: str) -> Iterator[Stretch]:
    """Stretches without fish, from the first entry of the log on."""
    begun = basis.history.since
    assert begun is not None
    free: dt.datetime | None = begun
    for stay in basis.history.of_water(water).stays:
        if basis.fish.get((stay.batch, stay.animal), "fish") != "fish":
            continue
        start = stay.start or begun
        if free is not None and start.timestamp() > free.timestamp():
            yield (free, start)
        if stay.end is None:
            return
        if free is None or stay.end.timestamp() > free.timestamp():
            free = stay.end
    if free is not None:
        yield (free, None)


def _brought(items: Iterable[Item]) -> dict[Node, list[dt.datetime]]:
    """Water to the moments at which something wet came into it that had not only been in it."""
    found: dict[Node, list[dt.datetime]] = {}
    touched: dict[Node, set[Node]] = {}
    for item in items:
        if isinstance(item, Mark):
            if item.what == "end":
                touched.pop(item.node, None)
        elif item.to[0] == "gear" and item.from_ is not None:
            touched.setdefault(item.to, set()).add(item.from_)
        elif item.to[0] == "water" and (item.way in BROUGHT or _from_elsewhere(item, touched)):
            found.setdefault(item.to, []).append(item.at)
    return found


def _from_elsewhere(item: Contact, touched: dict[Node, set[Node]]) -> bool:
    return item.way == "gear" and item.from_ is not None and bool(touched.get(item.from_, set()) - {item.to})
