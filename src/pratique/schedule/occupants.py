"""Who is in which water by the record, as the animals of the room file with the counts that are left."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from pratique.dosing.facts import VELVET_SIGNS
from pratique.history.events import Seen, Stay, Visit
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.room.resolve import Animal, Batch, Room
from pratique.schedule.calendar import instant
from pratique.schedule.model import Plan

SIGNS_HOLD = dt.timedelta(days=14)
"""How long a sign on record, such as a wound, counts where nothing later says that it is gone (D)."""

SUSPECT_FOR = dt.timedelta(days=30)
"""How long a water counts as suspect after a sign was seen in it, and a sign that may be velvet on a fish (D)."""


def everyone_now(room: Room, history: History) -> Mapping[str, tuple[Animal, ...]]:
    """Water to all who are in it, batches in quarantine among them; without a record as the file has them."""
    if history.is_empty:
        return room.residents_by_water
    return {water: animals_of(room, stays) for water, stays in _by_water(room, history.standing).items()}


def residents_now(room: Room, history: History | None) -> Mapping[str, tuple[Animal, ...]]:
    """Water to those who live in it: residents where they really are, and batches that have left quarantine."""
    if history is None:
        return room.residents_by_water
    return {water: animals_of(room, stays) for water, stays in _settled(room, history).items()}


def _settled(room: Room, history: History) -> Mapping[str, list[Stay]]:
    """Water to the stays in it of residents, and of batches that have left quarantine."""
    gone = {name for name in room.batches if has_gone(history, room, name)}
    return _by_water(room, (stay for stay in history.standing if not stay.batch or stay.batch in gone))


def _by_water(room: Room, stays: Iterable[Stay]) -> Mapping[str, list[Stay]]:
    found: defaultdict[str, list[Stay]] = defaultdict(list)
    for stay in stays:
        found[room.tanks[stay.tank].water].append(stay)
    return found


def has_gone(history: History, room: Room, batch: str) -> bool:
    """True where a batch went into a display, after it had been in another tank or straight away."""
    visits = history.visits.get(batch, ())
    straight = bool(visits) and all(room.tanks[visit.tank].use == "display" for visit in visits)
    return straight or display_visit(visits, room) is not None


def display_visit(visits: Iterable[Visit], room: Room) -> Visit | None:
    """The first visit to a display after one to another tank."""
    was_apart = False
    for visit in visits:
        if room.tanks[visit.tank].use != "display":
            was_apart = True
        elif was_apart:
            return visit
    return None


def animals_of(room: Room, stays: Iterable[Stay]) -> tuple[Animal, ...]:
    """The animals of these stays, each with its count and tank. One that nobody knows the species of is left out."""
    found: list[Animal] = []
    for stay in stays:
        known = _animal(room, stay)
        if known is not None:
            found.append(replace(known, count=stay.count, tank=stay.tank))
    return tuple(found)


def _animal(room: Room, stay: Stay) -> Animal | None:
    batch = room.batches.get(stay.batch)
    group = batch.animals if batch is not None else room.residents
    named = [animal for animal in group if animal.label == stay.animal]
    return next((a for a in named if a.tank == stay.tank), None) or next(iter(named), None) or _by_name(room, stay)


def _by_name(room: Room, stay: Stay) -> Animal | None:
    """One that was found: an animal of that name anywhere in the file, or a species of that name."""
    everyone = [*room.residents, *(animal for batch in room.batches.values() for animal in batch.animals)]
    wanted = stay.animal.lower()
    known = next((a for a in everyone if wanted in (a.label.lower(), a.scientific.lower())), None)
    if known is not None:
        return replace(known, signs=())
    for record in store.species().values():
        if wanted in (record.scientific.lower(), *(name.lower() for name in record.names)):
            group = store.groups()[record.group]
            return Animal(
                label=stay.animal, scientific=record.scientific, group=group, count=1, size=None, signs=(),
                jumps=False, path=(),
            )  # fmt: skip
    return None


def survivors(history: History, batch: Batch) -> tuple[Animal, ...]:
    """The animals of a batch with the counts that are left; those nobody wrote of are taken to be with the others."""
    spoken_of = {passage.animal for passage in history.passages_of.get(batch.name, ())}
    left = {label: history.count_of(batch.name, label) for label in spoken_of}
    found: list[Animal] = []
    for animal in batch.animals:
        if animal.label in left:
            count = min(animal.count, left[animal.label])
            left[animal.label] -= count
            animal = replace(animal, count=count)
        if animal.count:
            found.append(animal)
    return tuple(found)


def animals_in_water(
    room: Room, plan: Plan, places: Mapping[str, str], water: str, history: History | None
) -> tuple[Animal, ...]:
    """Everybody in a water: residents, and each batch that the plan (by the record) has there.

    `places`: batch to the tank it is in; for a batch that has not come, where it is planned to be.
    """
    return animals_in_tanks(room, plan, places, {tank.name for tank in room.waters[water].tanks}, history)


def animals_in_tanks(
    room: Room, plan: Plan, places: Mapping[str, str], tanks: Collection[str], history: History | None
) -> tuple[Animal, ...]:
    """As `animals_in_water`, of some tanks of one water."""
    water = room.tanks[min(tanks)].water
    if history is None:
        found = [animal for animal in room.residents_by_water.get(water, ()) if animal.tank in tanks]
    else:
        settled = _settled(room, history).get(water, ())
        found = list(animals_of(room, (stay for stay in settled if stay.tank in tanks)))
    for batch in plan.batches:
        place = places.get(batch.batch.name)
        if place is None or batch.over:
            continue
        stays = _stays_of(history, batch.batch.name)
        if stays:
            found += animals_of(room, (stay for stay in stays if stay.tank in tanks))
        elif place in tanks:
            found += batch.batch.animals
    return tuple(found)


def with_signs(animals: Iterable[Animal], history: History, at: dt.datetime) -> tuple[Animal, ...]:
    """The animals with the signs written down of late: of each by its name, or of all that were then in that water."""
    found: list[Animal] = []
    for animal in animals:
        seen = [sign for entry in _late_signs(history, at) if _was_of(entry, animal, history) for sign in entry.signs]
        kept = [sign for sign in seen if sign in store.signs()]
        found.append(replace(animal, signs=tuple(dict.fromkeys((*animal.signs, *kept)))) if kept else animal)
    return tuple(found)


def _late_signs(history: History, at: dt.datetime) -> Iterator[Seen]:
    for record in history.waters.values():
        for seen in record.signs:
            ago = instant(at) - instant(seen.at)
            signs = tuple(sign for sign in seen.signs if ago <= (SUSPECT_FOR if sign in VELVET_SIGNS else SIGNS_HOLD))
            if signs and ago >= -dt.timedelta(seconds=5):
                yield replace(seen, signs=signs)


def _was_of(seen: Seen, animal: Animal, history: History) -> bool:
    """True where the sign was seen on this animal, or on somebody in the water it was in then."""
    batch = str(animal.path[1]) if animal.path[:1] == ("batches",) else ""
    if seen.animal not in ("", animal.label) or seen.batch not in ("", batch):
        return False
    water = history.room.tanks[seen.tank].water
    there = history.in_water(water, seen.at)
    return any((stay.animal, stay.batch) == (animal.label, batch) for stay in there)


def _stays_of(history: History | None, batch: str) -> list[Stay]:
    return [] if history is None else [stay for stay in history.standing if stay.batch == batch]


def fish_elsewhere(history: History, room: Room, batch: str, water: str) -> int:
    """How many fish of a batch are in another water than this one."""
    stays = (stay for stay in _stays_of(history, batch) if room.tanks[stay.tank].water != water)
    return sum(animal.count for animal in animals_of(room, stays) if animal.group.is_fish)


def split_apart(history: History, room: Room, batch: str) -> dict[str, int]:
    """Tank to the animals of a batch in it, where they are in more than one water; else empty."""
    counts: defaultdict[str, int] = defaultdict(int)
    for stay in _stays_of(history, batch):
        counts[stay.tank] += stay.count
    waters = {room.tanks[tank].water for tank in counts}
    return dict(counts) if len(waters) > 1 else {}

