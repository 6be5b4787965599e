"""New entries held against what is believed just before each of them: where animals are, what bottles hold."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Sequence

from pratique.dates import full_day
from pratique.history.folding import Folding, with_left
from pratique.logbook.book import Log
from pratique.logbook.check import AGAIN, Standing, State, check_entry
from pratique.logbook.entry import Common, Correction
from pratique.problem import Problem
from pratique.room.resolve import Room
from pratique.water.volume import net_volume

FAR = dt.timedelta(days=90)
"""An entry so far from every other may have a wrong year (D)."""


def doubts(room: Room, after: Log, new: Sequence[Common], begun: Folding | None = None) -> list[Problem]:
    """What does not fit, entry by entry in order of time. `after` is the log with `new` already in it.

    `begun` has taken all that comes before `new`, where they are the last entries; it takes them too.
    """
    asked = {entry.of if isinstance(entry, Correction) else entry.id for entry in new}
    folding = begun if begun is not None else Folding(room)
    volumes = _litres(room)
    problems: list[Problem] = []
    left = len(asked)
    first = 0 if begun is None else max(len(after.entries) - len(new), 0)
    for index in range(first, len(after.entries)):
        if not left:
            break
        entry = after.entries[index]
        if entry.id in asked:
            left -= 1
            near = _near(after.entries, index, asked)
            problems += check_entry(entry, _believed(folding, volumes, Log(entries=near)))
            problems += _far_off(after.entries, index, asked)
        folding.take(entry)
    return list(dict.fromkeys(problems))


def _far_off(entries: Sequence[Common], index: int, asked: Collection[str]) -> Iterator[Problem]:
    """A past entry that nothing else in the log is near to in time."""
    entry = entries[index]
    others = [other for other in entries if other.id not in asked]
    near = [other for other in others if abs(other.at - entry.at) <= FAR]
    if near or not others or entry.at > others[-1].at:
        return
    after = next(other for other in others if other.at >= entry.at)
    yield Problem(
        code="L755",
        severity="warning",
        message=f"nothing else in the log is within {FAR.days} days of {full_day(entry.at)}; the next is of "
        f"{full_day(after.at)}",
        hint="look at the year; if it is wrong, take the entry back and write it again",
    )


def _near(entries: Sequence[Common], index: int, asked: Collection[str]) -> tuple[Common, ...]:
    """The entries of nearly the same time: those before, and of those after what was written long ago."""
    at, first, last = entries[index].at, index, index + 1
    while first > 0 and at - entries[first - 1].at <= AGAIN:
        first -= 1
    while last < len(entries) and entries[last].at - at <= AGAIN:
        last += 1
    return (*entries[first:index], *(entry for entry in entries[index + 1 : last] if entry.id not in asked))


def _believed(folding: Folding, volumes: dict[str, float], near: Log) -> State:
    bottles = {name: with_left(bottle) for name, bottle in folding.bottles.items()}
    return State(
        positions=[
            Standing(animal=stay.animal, batch=stay.batch, tank=stay.tank, count=stay.count)
            for stay in folding.places.standing
        ],
        arrived=folding.places.arrived,
        shelf={name: (bottle.left, bottle.unit) for name, bottle in bottles.items() if bottle.left is not None},
        volumes=volumes,
        log=near,
    )


def _litres(room: Room) -> dict[str, float]:
    """Tank to the whole water it shares, at the high end; where the file leaves no water in it nothing is said."""
    waters = {name: net_volume(water).figure.high for name, water in room.waters.items()}
    found = {name: waters[tank.water] for name, tank in room.tanks.items()}
    return {name: litres for name, litres in found.items() if litres > 0}
