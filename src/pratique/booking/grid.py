"""The bookings as a picture of marks: tanks down, days across, a letter for each batch and wish."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from string import ascii_letters, digits

from pratique.booking.book import Answer, Booked

FREE, TODAY, BOTH, SHARED = "·", "╎", "!", "="
LETTERS = ascii_letters + digits


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A tank that somebody has, until it is dry again: from day to day (the last not counted)."""

    tank: str
    who: str
    start: dt.date
    end: dt.date
    is_wish: bool
    mixed_with: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Rows of marks, one a tank; each mark stands for `days`. `letters` say who is who."""

    start: dt.date
    days: int
    head: str
    rows: tuple[tuple[str, str], ...]
    letters: tuple[tuple[str, str], ...]


def blocks_of(answer: Answer) -> list[Block]:
    """Who has which tank when: the plan so far, then the bookings; one that rides with another has what that has."""
    room = answer.room
    found: list[Block] = []

    def blocks(water: str, start: int, end: int, who: str, booked: Booked | None = None) -> None:
        first, last = (dt.datetime.fromtimestamp(60 * minutes, room.zone).date() for minutes in (start, end))
        mixed_with = booked.mixed_with if booked is not None else ""
        found.extend(
            Block(tank=tank.name, who=who, start=first, end=last + dt.timedelta(days=1),
                  is_wish=booked is not None, mixed_with=mixed_with)
            for tank in room.waters[water].tanks
        )  # fmt: skip

    for water, stays in zip(answer.case.waters, answer.case.taken, strict=True):
        for stay in stays:
            blocks(water, stay.start, stay.end, stay.who)
    by_name = {booked.wish.name: booked for booked in answer.booked}
    for booked in answer.booked:
        host = booked if booked.waters is not None else by_name[booked.mixed_with]
        for leg, number in zip(host.way.legs, host.waters or (), strict=True):
            blocks(answer.case.waters[number], leg.start, leg.end, booked.wish.name, booked)
    return found


def grid_of(answer: Answer, marks: int) -> Grid | None:
    """The picture in so many marks from today to the last day of a booking; None where nobody is booked."""
    blocks = [block for block in blocks_of(answer) if block.end > answer.at.date()]
    if not blocks:
        return None
    start = answer.at.date()
    whole = (max(block.end for block in blocks) - start).days
    days = max(1, -(-whole // marks))
    names = list(dict.fromkeys(block.who for block in blocks))
    letter = {name: LETTERS[number % len(LETTERS)] for number, name in enumerate(names)}
    tanks = [tank.name for tank in answer.room.tanks.values() if tank.use != "display"]
    rows = []
    for tank in tanks:
        mine = [block for block in blocks if block.tank == tank]
        row = "".join(
            _mark(mine, start + dt.timedelta(days=days * at), days, letter) for at in range(-(-whole // days))
        )
        rows.append((tank, TODAY + row))
    return Grid(
        start=start, days=days, head=_head(start, days, -(-whole // days)), rows=tuple(rows),
        letters=tuple((letter[name], name) for name in names),
    )  # fmt: skip


def _mark(blocks: list[Block], first: dt.date, days: int, letter: dict[str, str]) -> str:
    """The letter of who is there in these days; the longer stay where one follows the other in them."""
    last = first + dt.timedelta(days=days)
    there = [block for block in blocks if block.start < last and block.end > first]
    if not there:
        return FREE
    for one in there:
        for other in there:
            if one.who != other.who and min(one.end, other.end) - max(one.start, other.start) > dt.timedelta(days=1):
                return SHARED if one.mixed_with == other.who else BOTH
    longest = max(there, key=lambda block: (min(block.end, last) - max(block.start, first), block.who))
    return letter[longest.who]


def _head(start: dt.date, days: int, marks: int) -> str:
    """The months over their first marks, as far as they fit."""
    head = [" "] * (marks + 1)
    month = start.month
    for at in range(marks):
        day = start + dt.timedelta(days=days * at)
        is_free = at + 3 <= marks and all(letter == " " for letter in head[at : at + 4])
        if is_free and (day.month != month or at == 0):
            head[at + 1 : at + 4] = list(f"{day:%b}")
        month = day.month
    return "".join(head).rstrip().replace(" ", "\u2007")
