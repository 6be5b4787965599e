"""New entries held against what is believed just before each of them: where animals are, what bottles hold."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from pratique.history.places import Places
from pratique.logbook.book import Log
from pratique.logbook.check import AGAIN, Standing, State, check_entry
from pratique.logbook.entry import Bought, Common, Correction, Dose, Spoiled, WaterChange
from pratique.problem import Problem
from pratique.room.resolve import Room
from pratique.water.volume import net_volume


def doubts(room: Room, after: Log, new: Sequence[Common]) -> list[Problem]:
    """What does not fit, entry by entry in order of time. `after` is the log with `new` already in it."""
    asked = {entry.of if isinstance(entry, Correction) else entry.id for entry in new}
    beliefs = _Beliefs(room)
    problems: list[Problem] = []
    left = len(asked)
    for index, entry in enumerate(after.entries):
        if not left:
            break
        if entry.id in asked:
            left -= 1
            near = _near(after.entries, index, asked)
            problems += check_entry(entry, beliefs.state(Log(entries=near)))
        beliefs.take(entry)
    return list(dict.fromkeys(problems))


def _near(entries: Sequence[Common], index: int, asked: Collection[str]) -> tuple[Common, ...]:
    """The entries of nearly the same time: those before, and of those after what was written long ago."""
    at, first, last = entries[index].at, index, index + 1
    while first > 0 and at - entries[first - 1].at <= AGAIN:
        first -= 1
    while last < len(entries) and entries[last].at - at <= AGAIN:
        last += 1
    return (*entries[first:index], *(entry for entry in entries[index + 1 : last] if entry.id not in asked))


class _Beliefs:
    """Takes the entries in order of time."""

    def __init__(self, room: Room) -> None:
        self._room, self._places = room, Places(room)
        self._shelf: dict[str, float] = {
            name: product.left.value for name, product in room.written.shelf.items() if product.left is not None
        }
        self._volumes: dict[str, float] | None = None

    def state(self, log: Log) -> State:
        return State(
            positions=[
                Standing(animal=stay.animal, batch=stay.batch, tank=stay.tank, count=stay.count)
                for stay in self._places.standing
            ],
            shelf={
                name: (max(left, 0.0), self._room.written.shelf[name].strength.per)
                for name, left in self._shelf.items()
            },
            volumes=self._litres(),
            log=log,
        )

    def _litres(self) -> dict[str, float]:
        """Tank to the whole water it shares, at the high end; where the file leaves no water in it nothing is said."""
        if self._volumes is None:
            waters = {name: net_volume(water).figure.high for name, water in self._room.waters.items()}
            found = {name: waters[tank.water] for name, tank in self._room.tanks.items()}
            self._volumes = {name: litres for name, litres in found.items() if litres > 0}
        return self._volumes

    def take(self, entry: Common) -> None:
        self._places.take(entry, entry.at.astimezone(self._room.zone))
        match entry:
            case Dose() | WaterChange() if entry.product is not None and entry.amount is not None:
                self._add(entry.product, -entry.amount.value)
            case Bought():
                self._add(entry.product, entry.amount.value)
            case Spoiled():
                left = max(self._shelf.get(entry.product, 0.0), 0.0)
                self._add(entry.product, -(entry.amount.value if entry.amount is not None else left))

    def _add(self, product: str, amount: float) -> None:
        if product in self._shelf:
            self._shelf[product] += amount
