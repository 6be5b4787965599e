"""What was asked about: a tank with its whole water, a batch, an animal or a set of gear; and the days that count."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from typing import Literal

from pratique.contacts.model import Node, Origin
from pratique.contacts.whereabouts import Whereabouts
from pratique.dates import full_day
from pratique.history.events import Stay
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.problem import Problem, Refusal, quoted
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant, plus_hours

Kind = Literal["tank", "water", "batch", "animal", "gear"]


def names_of(room: Room, history: History) -> dict[Kind, tuple[str, ...]]:
    """Everything that can be asked about; animals that were found are among them."""
    animals = [animal.label for animal in room.residents]
    animals += [animal.label for batch in room.batches.values() for animal in batch.animals]
    animals += [stay.animal for stay in history.standing]
    return {
        "tank": tuple(room.tanks),
        "water": tuple(name for name in room.waters if name not in room.tanks),
        "batch": tuple(room.batches),
        "animal": tuple(dict.fromkeys(animals)),
        "gear": tuple(room.written.gear),
    }


def first_sign(history: History, waters: Iterable[str], at: dt.datetime) -> dt.datetime | None:
    """The first sign on record in these waters within the days that are looked back from `at`; None where there is
    none. Of signs in the room file nobody knows the day.
    """
    begin = plus_hours(at, -store.contacts().needed("look_back").value)
    signs = [
        sign.at
        for water in waters
        for sign in history.of_water(water).signs
        if instant(begin) <= instant(sign.at) <= instant(at)
    ]
    return min(signs, key=instant, default=None)


def waters_of(room: Room, where: Whereabouts, kind: Kind, name: str, history: History) -> tuple[str, ...]:
    """The waters it is in now, or was in last."""
    match kind:
        case "tank":
            return (room.tanks[name].water,)
        case "water":
            return (name,)
        case "gear":
            uses = history.gear.get(name, ())
            return (room.tanks[uses[-1].tank].water,) if uses else ()
        case _:
            stays = _stays(where, kind, name)
            open_ = [stay for stay in stays if stay.end is None]
            last = open_ or sorted(stays, key=lambda stay: instant(stay.end or history.at))[-1:]
            return tuple(dict.fromkeys(room.tanks[stay.tank].water for stay in last))


def origin_of(
    room: Room, where: Whereabouts, kind: Kind, name: str, *, since: dt.datetime, seen: dt.datetime, at: dt.datetime
) -> Origin | Refusal:
    """The nodes that carried it from `since` on, and those that `seen` is about; or X613, where it was nowhere."""
    if kind in ("tank", "water"):
        water = room.tanks[name].water if kind == "tank" else name
        node: Node = ("water", water)
        tanks = [tank.name for tank in room.waters[water].tanks]
        shared = f", with all its tanks: {', '.join(tanks)}" if len(tanks) > 1 else ""
        return Origin(
            name=name, kind="water", title=f"the water of {name}{shared}",
            seeds=((node, since), *_of_its_animals(room, where, water, since, seen)), targets=((node, seen),),
            waters=(water,),
        )  # fmt: skip
    if kind == "gear":
        node = ("gear", name)
        return Origin(
            name=name, kind="gear", title=f"the gear {name}", seeds=((node, since),), targets=((node, seen),), waters=()
        )
    stays = [stay for stay in _stays(where, kind, name) if _within(stay, since, at)]
    if not stays:
        return Refusal(problems=(_nowhere(name, since),))
    seeds = tuple((("water", room.tanks[s.tank].water), _later(s.start, since)) for s in stays)
    until = tuple((("water", room.tanks[s.tank].water), _earlier(s.end, seen)) for s in stays if _began(s, seen))
    waters = tuple(dict.fromkeys(room.tanks[s.tank].water for s in stays if s.end is None))
    return Origin(
        name=name, kind="batch" if kind == "batch" else "animal", title=name, seeds=seeds,  # type: ignore[arg-type]
        targets=until, waters=waters,  # type: ignore[arg-type]
    )  # fmt: skip


def _of_its_animals(
    room: Room, where: Whereabouts, water: str, since: dt.datetime, seen: dt.datetime
) -> Iterator[tuple[Node, dt.datetime]]:
    """Those in the water at `seen` may have carried it before they came: where else they had been, up to then."""
    there = {
        (stay.batch, stay.animal)
        for stay in where.stays
        if room.tanks[stay.tank].water == water
        and _began(stay, seen)
        and (stay.end is None or instant(stay.end) > instant(seen))
    }
    for stay in where.stays:
        other = room.tanks[stay.tank].water
        if (stay.batch, stay.animal) in there and other != water and _within(stay, since, seen):
            yield (("water", other), _later(stay.start, since))


def _stays(where: Whereabouts, kind: Kind, name: str) -> list[Stay]:
    return [stay for stay in where.stays if (stay.batch if kind == "batch" else stay.animal) == name]


def _within(stay: Stay, since: dt.datetime, at: dt.datetime) -> bool:
    begun = stay.start is None or instant(stay.start) <= instant(at)
    return begun and (stay.end is None or instant(stay.end) > instant(since))


def _began(stay: Stay, seen: dt.datetime) -> bool:
    return stay.start is None or instant(stay.start) <= instant(seen)


def _later(start: dt.datetime | None, since: dt.datetime) -> dt.datetime:
    return since if start is None or instant(start) < instant(since) else start


def _earlier(end: dt.datetime | None, seen: dt.datetime) -> dt.datetime:
    return seen if end is None or instant(end) > instant(seen) else end


def _nowhere(name: str, since: dt.datetime) -> Problem:
    return Problem(
        code="X613",
        message=f"{quoted(name)} was in no tank of this room from {full_day(since)} on, by the record",
        hint="write its arrival with `pratique log arrived`, or ask with an earlier `--from`",
    )
