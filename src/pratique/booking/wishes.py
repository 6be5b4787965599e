"""A wish as the batch it would be: on one day, with the companions that can come along, by its regimen."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from pratique.booking.company import clash, clash_within
from pratique.booking.plotted import Asked
from pratique.knowledge.model import Regimen
from pratique.problem import Problem
from pratique.room import model
from pratique.room.resolve import Animal, Batch, Room, Wish
from pratique.room.times import When, settled
from pratique.schedule.propose import candidates
from pratique.schedule.suits import refused

ARRIVAL = ("source", "trust", "animals", "signs", "regimen", "into", "because", "treatment")


def ask(room: Room, wish: Wish, regimen: Regimen | None = None) -> Asked:
    """The wish with its first regimen (or this one); companions come where they may have what it gets."""
    companions, left = _companions(room, wish)
    batch = as_batch(wish, wish.earliest, companions)
    chosen = regimen or candidates(room, batch)[0].regimen
    stopped = refused(room, chosen, batch)
    if stopped is not None and companions and refused(room, chosen, as_batch(wish, wish.earliest, ())) is None:
        left, batch, stopped = stopped.message, as_batch(wish, wish.earliest, ()), None
    return Asked(
        wish=wish, regimen=chosen, batch=batch, left_behind=left, stopped=_mixed_kinds(room, batch) or stopped
    )


def _companions(room: Room, wish: Wish) -> tuple[tuple[Animal, ...], str]:
    if not wish.companion:
        return (), ""
    why = clash(room, wish.companion, wish.animals) or clash_within(room, wish.companion)
    return ((), why) if why else (wish.companion, "")


def _mixed_kinds(room: Room, batch: Batch) -> Problem | None:
    kinds = {animal.group.is_fish for animal in batch.animals}
    why = clash_within(room, batch.animals) if len(kinds) == 1 else "fish and animals without a backbone"
    if not why:
        return None
    return Problem(
        code="S533",
        message=f"the animals of `{batch.name}` cannot share a water: {why}",
        places=(room.place(batch.path, key=True),),
        hint="make two wishes of them",
    )


def as_batch(wish: Wish, arrives: dt.datetime, companions: tuple[Animal, ...]) -> Batch:
    """The batch the wish becomes when it comes at this moment."""
    fields = {name: getattr(wish.written, name) for name in ARRIVAL}
    fields["animals"] = (*wish.written.animals, *(wish.written.companion if companions else ()))
    when = When(text=f"{arrives:%Y-%m-%dT%H:%M}", date=arrives.date(), time=arrives.time())
    written = model.Batch.model_construct(**fields, arrives=when, booked={})
    animals = (*wish.animals, *companions)
    signs = [*wish.written.signs, *(sign for animal in animals for sign in animal.signs)]
    return Batch(
        name=wish.name, written=written, arrives=arrives, animals=animals,
        signs=tuple(dict.fromkeys(signs)), path=wish.path,
    )  # fmt: skip


def on_day(batch: Batch, day: dt.date) -> Batch:
    """The same batch on another day, at the same hour of the clock."""
    time, zone = batch.arrives.time(), batch.arrives.tzinfo
    return replace(batch, arrives=settled(dt.datetime.combine(day, time, tzinfo=zone)))


def days(wish: Wish, first: dt.date, last: dt.date) -> Iterator[dt.date]:
    """Every day from `first` (or the earliest of the wish) to `last`."""
    day = max(first, wish.earliest.date())
    while day <= last:
        yield day
        day += dt.timedelta(days=1)
