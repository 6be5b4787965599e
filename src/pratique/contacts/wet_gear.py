"""Sets of gear: each use takes on what is in the water and leaves in it what the set still carries wet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.contacts.gather import LATE, Basis, Placed
from pratique.contacts.model import Contact, Mark, Node
from pratique.history.events import GearUse
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import cut, stayed_wet


def gear_contacts(basis: Basis) -> Iterator[Placed]:
    """The uses of every set, and when it had been dry long enough between two of them or since the last."""
    for gear, uses in basis.history.gear.items():
        node: Node = ("gear", gear)
        last: GearUse | None = None
        for use in uses:
            if last is not None and not stayed_wet(basis.history, last, use, basis.dry):
                yield _end(basis, node, last)
            yield from _use(basis, node, use)
            last = use
        if last is not None and instant(_dry_at(basis, last)[0]) <= instant(basis.history.at):
            yield _end(basis, node, last)


def _use(basis: Basis, node: Node, use: GearUse) -> Iterator[Placed]:
    water: Node = ("water", basis.room.tanks[use.tank].water)
    yield basis.place(use.entry_id, 4, Contact(use.at, node, water, "gear", "wet", use.gear, use.entry_id))
    yield basis.place(use.entry_id, 5, Contact(use.at, water, node, "gear", "wet", use.gear, use.entry_id))


def _end(basis: Basis, node: Node, last: GearUse) -> Placed:
    at, why = _dry_at(basis, last)
    return (at.timestamp(), LATE, 0, Mark(at, node, "end", why))


def _dry_at(basis: Basis, last: GearUse) -> tuple[dt.datetime, str]:
    """When a set is fit for use again after its last use, and by what: dry by the log, or by the hours alone."""
    by_hours = plus_hours(last.at, basis.dry)
    half = basis.dry / 2
    for readied in cut(basis.history.gear_readied.get(last.gear, ()), (last.at, by_hours)):
        if readied.what == "dried":
            by_log = plus_hours(readied.at, half)
            if instant(by_log) < instant(by_hours):
                return by_log, f"{last.gear} was dry, {half:g} h after it was noted so"
            break
    return by_hours, f"{last.gear} was not used for {basis.dry:g} h"
