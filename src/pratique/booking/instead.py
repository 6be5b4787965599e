"""What would make a wish possible that cannot be met as it is: another day, another regimen, one more tank."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pratique.booking.board import Board
from pratique.booking.book import Answer, Booked, Desk, answer_to
from pratique.booking.clash import all_met
from pratique.booking.greedy import insert
from pratique.booking.plotted import Asked
from pratique.booking.wishes import as_batch, ask
from pratique.dates import full_day
from pratique.room.resolve import Room, Water, Wish
from pratique.schedule.propose import proposals

LONGEST_DELAY = 120
"""Days beyond its latest day within which a wish is tried."""

FEW_NODES = 500
"""Choices looked at for an alternative: it has to be possible, not the best."""

USES = ("transfer", "ward", "observation")
"""Uses of tanks of which one more is tried."""

Sort = Literal["later", "regimen", "tank"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Instead:
    """One alternative for a wish: what would be done, and the booking it would give.

    `others` are the wishes that would come on another day for it than they are booked for.
    """

    sort: Sort
    what: str
    booked: Booked
    others: tuple[str, ...] = ()


def alternatives(answer: Answer, desk: Desk, wish: Wish) -> Iterator[Instead]:
    """Every alternative that meets this wish and breaks none that is met now, the cheapest first of each sort."""
    yield from _later(desk, wish, answer.booked)
    yield from _other_regimen(desk, wish, answer.booked)
    yield from _one_more_tank(answer, desk, wish)


def _found(
    desk: Desk, asked: Asked, kept: Sequence[Booked], until: dt.date | None = None
) -> tuple[Booked, tuple[str, ...]] | None:
    """The wish booked beside those that are met now, and which of them come on another day for it; None where none.

    What is booked stays as it is if it can: then the first day that is left is taken.
    """
    name = asked.wish.name
    later = {name: until} if until is not None else {}
    case, plots, _ = desk.case([asked], later)
    board = Board(case)
    for entry in kept:
        if entry.waters is not None:
            board.occupy(entry.way, entry.waters, entry.wish.name)
    if insert(board, 0):
        pick = board.picks[0]
        return desk.booked(asked, plots[0][pick.way], case.wants[0].ways[pick.way], pick), ()
    wanted = [*(desk.asked[entry.wish.name] for entry in kept), asked]
    question = desk.case(wanted, later)
    if not all_met(question[0], FEW_NODES):
        return None
    booked = {entry.wish.name: entry for entry in answer_to(desk, wanted, question, FEW_NODES)[0]}
    if not booked.keys() >= {name, *(entry.wish.name for entry in kept)}:
        return None
    others = [e.wish.name for e in kept if booked[e.wish.name].batch.arrives != e.batch.arrives]
    return booked[name], tuple(others)


def _later(desk: Desk, wish: Wish, kept: Sequence[Booked]) -> Iterator[Instead]:
    last = wish.latest.date() + dt.timedelta(days=LONGEST_DELAY)
    found = _found(desk, desk.asked[wish.name], kept, last)
    if found is not None:
        day = found[0].batch.arrives
        late = (day.date() - wish.latest.date()).days
        what = f"come {late} d after its latest day, or be held at the source until {full_day(day)}"
        yield Instead(sort="later", what=what, booked=found[0], others=found[1])


def _other_regimen(desk: Desk, wish: Wish, kept: Sequence[Booked]) -> Iterator[Instead]:
    first = desk.asked[wish.name]
    for proposal in proposals(as_batch(wish, wish.earliest, ())):
        if proposal.regimen.id == first.regimen.id:
            continue
        asked = ask(desk.room, wish, proposal.regimen)
        found = _found(desk, asked, kept) if asked.stopped is None else None
        if found is not None:
            what = f"another regimen: {proposal.regimen.title} ({proposal.regimen.id})"
            yield Instead(sort="regimen", what=what, booked=found[0], others=found[1])


def _one_more_tank(answer: Answer, desk: Desk, wish: Wish) -> Iterator[Instead]:
    """The new tank's water has the last number, so what is booked keeps its waters."""
    for use in USES:
        room = with_another(answer.room, use)
        if room is None:
            continue
        other = Desk(room, desk.history, desk.at)
        found = _found(other, other.asked[wish.name], answer.booked)
        if found is not None:
            copied = next(tank for tank in answer.room.tanks.values() if tank.use == use)
            what = f"one more {use} tank, such as another {copied.name}"
            yield Instead(sort="tank", what=what, booked=found[0], others=found[1])


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
