"""What would make a wish possible that cannot be met as it is: another day, another regimen, one more tank."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pratique.booking.book import Answer, Booked, Desk, answered
from pratique.booking.plotted import Asked
from pratique.booking.wishes import as_batch, ask
from pratique.room.resolve import Room, Water, Wish
from pratique.schedule.propose import proposals

LONGEST_DELAY = 120
"""Days beyond its latest day within which a wish is tried."""

FEW_NODES = 4_000
"""Choices looked at for an alternative: it has to be possible, not the best."""

USES = ("transfer", "ward", "observation")
"""Uses of tanks of which one more is tried."""

Sort = Literal["later", "regimen", "tank"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """One alternative for a wish: what would be done, and the booking it would give."""

    sort: Sort
    what: str
    booked: Booked


def alternatives(answer: Answer, desk: Desk, wish: Wish) -> Iterator[Instead]:
    """Every alternative that meets this wish and breaks none that is met now, the cheapest first of each sort."""
    kept = [entry.wish.name for entry in answer.booked]
    yield from _later(desk, wish, kept)
    yield from _other_regimen(desk, wish, kept)
    yield from _one_more_tank(answer, desk, wish, kept)


def _found(
    desk: Desk, wish: Wish, kept: list[str], *, asked: Asked | None = None, until: dt.date | None = None
) -> Booked | None:
    """The wish booked beside those that are met now; None where that cannot be, or breaks one of them."""
    wanted = [*(desk.asked[name] for name in kept), asked or desk.asked[wish.name]]
    later = {wish.name: until} if until is not None else {}
    booked, _, _ = answered(desk, wanted, nodes=FEW_NODES, until=later)
    names = {entry.wish.name for entry in booked}
    if not names >= {*kept, wish.name}:
        return None
    return next(entry for entry in booked if entry.wish.name == wish.name)


def _later(desk: Desk, wish: Wish, kept: list[str]) -> Iterator[Instead]:
    last = wish.latest.date() + dt.timedelta(days=LONGEST_DELAY)
    booked = _found(desk, wish, kept, until=last)
    if booked is not None:
        late = (booked.batch.arrives.date() - wish.latest.date()).days
        day = booked.batch.arrives
        what = f"come {late} d after its latest day, or be held at the source until {day:%a} {day.day} {day:%b %Y}"
        yield Instead(sort="later", what=what, booked=booked)


def _other_regimen(desk: Desk, wish: Wish, kept: list[str]) -> Iterator[Instead]:
    first = desk.asked[wish.name]
    for proposal in proposals(as_batch(wish, wish.earliest, ())):
        if proposal.regimen.id == first.regimen.id:
            continue
        asked = ask(desk.room, wish, proposal.regimen)
        if asked.stopped is not None:
            continue
        booked = _found(desk, wish, kept, asked=asked)
        if booked is not None:
            what = f"another regimen: {proposal.regimen.title} ({proposal.regimen.id})"
            yield Instead(sort="regimen", what=what, booked=booked)


def _one_more_tank(answer: Answer, desk: Desk, wish: Wish, kept: list[str]) -> Iterator[Instead]:
    for use in USES:
        room = with_another(answer.room, use)
        if room is None:
            continue
        other = Desk(room, desk.history, desk.at)
        booked = _found(other, wish, kept)
        if booked is not None:
            copied = next(tank for tank in answer.room.tanks.values() if tank.use == use)
            what = f"one more {use} tank, such as another {copied.name}"
            yield Instead(sort="tank", what=what, booked=booked)


def with_another(room: Room, use: str) -> Room | None:
    """The room with a second tank like its first of this use, in a water of its own; None where it has none."""
    like = next((tank for tank in room.tanks.values() if tank.use == use), None)
    if like is None:
        return None
    name = f"another {like.name}"
    tank = replace(like, name=name, water=name)
    water = room.waters[like.water]
    conditions = water.conditions.model_copy(update={"holds": ()})
    own = Water(name=name, conditions=conditions, tanks=(tank,), sump=None, path=like.path)
    return replace(room, tanks={**room.tanks, name: tank}, waters={**room.waters, name: own})
