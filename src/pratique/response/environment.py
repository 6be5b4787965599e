"""What log and room file say of a water by themselves: what came in, what was done to it, what signs are on record."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dates import shown_moment
from pratique.elapsed import hours_between
from pratique.history.events import Seen
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.response.observed import Fact
from pratique.room.resolve import Animal
from pratique.schedule.recorded import medicines_on_record


@dataclass(frozen=True, slots=True, kw_only=True)
class Surroundings:
    """Facts found (each with the words it was found in), signs on record that still count, and who died lately."""

    facts: tuple[Fact, ...] = ()
    found_in: tuple[tuple[Fact, str], ...] = ()
    signs: tuple[Seen, ...] = ()
    dead: tuple[str, ...] = ()


def look_around(history: History, tank: str, animals: tuple[Animal, ...]) -> Surroundings:
    """What is known of the water of `tank` at the moment of the history, without anybody being asked.

    `animals` are those in the water; the arrival of a batch counts where no log says when it came.
    """
    found: dict[Fact, str] = {}
    for fact, text in (*_came_in(history, tank, animals), *_done(history, tank), *_stands(history, tank)):
        found.setdefault(fact, text)
    return Surroundings(
        facts=tuple(sorted(found)),
        found_in=tuple(sorted(found.items())),
        signs=tuple(_signs(history, tank)),
        dead=tuple(_dead(history, tank)),
    )


def hours_ago(history: History, moment: dt.datetime) -> float:
    """Elapsed hours from a moment to that of the history; less than nought for one that is still to come."""
    return hours_between(moment, history.at)


def _came_in(history: History, tank: str, animals: tuple[Animal, ...]) -> Iterator[tuple[Fact, str]]:
    """The last time anything came in from elsewhere; without an entry in a long log, that nothing did."""
    events = list(_events_in(history, tank, animals))
    circumstance = store.circumstances()["new"]
    if events:
        moment, text = max(events, key=lambda event: event[0].timestamp())
        choice = circumstance.of_number(hours_ago(history, moment))
        if choice is not None:
            yield ("new", choice.id), f"{text}, {shown_moment(moment)}"
    elif history.since is not None:
        choice = circumstance.of_number(hours_ago(history, history.since))
        if choice is not None and choice is circumstance.choices[-1]:
            yield ("new", choice.id), f"nothing came in by the log since {shown_moment(history.since)}"


def _events_in(history: History, tank: str, animals: tuple[Animal, ...]) -> Iterator[tuple[dt.datetime, str]]:
    room = history.room
    water = room.tanks[tank].water
    record = history.of_water(water)

    def outside(name: str) -> bool:
        return name not in room.tanks or room.tanks[name].water != water

    for passage in record.passages:
        if passage.to and not outside(passage.to) and outside(passage.from_):
            yield passage.at, f"{passage.animal} {passage.how}"
    for carried in record.carried:
        if not outside(carried.to) and outside(carried.from_):
            yield carried.at, f"{', '.join(carried.things)} came from {carried.from_ or 'elsewhere'}"
    for use in record.gear:
        before = [other for other in history.gear.get(use.gear, ()) if other.at.timestamp() < use.at.timestamp()]
        if before and outside(before[-1].tank):
            yield use.at, f"{use.gear} was wet in {before[-1].tank} before"
    on_record = {passage.batch for passage in record.passages}
    for batch in room.batches.values():
        here = any(animal in batch.animals or animal.path[:2] == batch.path for animal in animals)
        if here and batch.name not in on_record and batch.arrives.timestamp() <= history.at.timestamp():
            yield batch.arrives, f"{batch.name} came, by the room file"


def _done(history: History, tank: str) -> Iterator[tuple[Fact, str]]:
    """Changes, medicines and cleaning of the last hours."""
    room, known = history.room, store.scoring()
    record = history.of_water(room.tanks[tank].water)
    lately, debt = known.of("done_lately"), known.of("oxygen_debt")
    for change in reversed(record.exchanges):
        if hours_ago(history, change.at) <= lately:
            yield ("done", "changed"), f"water changed {shown_moment(change.at)}"
    for added in reversed(record.additions):
        active = room.written.shelf[added.product].active if added.product in room.written.shelf else ""
        choice = active if active in ("copper", "formalin") else "medicine"
        if hours_ago(history, added.at) <= (debt if choice == "formalin" else lately):
            yield ("done", choice), f"{added.amount:g} {added.unit} of {added.product} {shown_moment(added.at)}"
    for readied in reversed(record.readied):
        if readied.what == "cleaned" and hours_ago(history, readied.at) <= lately:
            yield ("done", "cleaned"), f"{readied.tank} cleaned {shown_moment(readied.at)}"


def _stands(history: History, tank: str) -> Iterator[tuple[Fact, str]]:
    """Whether a filter lives, and whether copper is in the water, by the room file or the log."""
    conditions = history.room.water_of(tank).conditions
    if conditions.cycled is not None:
        word = "yes" if conditions.cycled else "no"
        yield ("filter", "living" if conditions.cycled else "bare"), f"`cycled: {word}` in the room file"
    coppers = copper_in(history, tank)
    if coppers:
        yield ("holds", "copper"), f"{coppers[0]}, by the record"


def copper_in(history: History, tank: str) -> tuple[str, ...]:
    """The treatments with copper that are in the water of a tank by the room file or the log."""
    room = history.room
    water = room.tanks[tank].water
    held = {entry.treatment for entry in room.waters[water].conditions.holds}
    held |= set(medicines_on_record(room, history, water))
    return tuple(id_ for id_ in store.treatments_with("copper") if id_ in held)


def _signs(history: History, tank: str) -> Iterator[Seen]:
    """The entries of signs in this water that are fresh enough to count."""
    holds = store.scoring().of("signs_hold")
    for seen in history.of_water(history.room.tanks[tank].water).signs:
        if hours_ago(history, seen.at) <= holds:
            yield seen


def _dead(history: History, tank: str) -> Iterator[str]:
    """Animals that died in this water while signs count."""
    holds = store.scoring().of("signs_hold")
    names = {
        passage.animal
        for passage in history.of_water(history.room.tanks[tank].water).passages
        if passage.how == "died" and hours_ago(history, passage.at) <= holds
    }
    yield from sorted(names)
