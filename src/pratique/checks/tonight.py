"""Whether the room could answer a fast killer tonight, and what the plan runs out of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping

from pratique.dates import full_day
from pratique.figure import in_unit
from pratique.knowledge import store
from pratique.problem import Place, Problem, quoted
from pratique.response.cover import fastest
from pratique.response.need import Need, Needs
from pratique.response.scene import Scene
from pratique.response.shelf.emergency import emergencies, is_vital, unanswered
from pratique.response.shelf.model import Line, Shelf
from pratique.room.resolve import Room
from pratique.schedule.routines import habit_of
from pratique.schedule.tasks import MIX_FOR_CHANGE

MOST_NAMED = 3


def not_tonight(scene: Scene) -> Iterator[Problem]:
    """Waters in which velvet could not be answered tonight, those that lack the same together."""
    return lacking_tonight(scene.room, unanswered(scene, emergencies(scene, (fastest(),))))


def lacking_tonight(room: Room, waters: Iterable[tuple[Needs, tuple[str, ...]]]) -> Iterator[Problem]:
    """The same of `waters` that are known, each with what is missing."""
    found: dict[tuple[str, ...], list[Needs]] = {}
    for needs, missing in waters:
        found.setdefault(missing, []).append(needs)
    for missing, alike in found.items():
        yield _unanswered(room, missing, alike)


def _unanswered(room: Room, missing: tuple[str, ...], waters: list[Needs]) -> Problem:
    names = ", ".join(f"`{needs.water}`" for needs in waters[:MOST_NAMED])
    names += f" and {len(waters) - MOST_NAMED} more" if len(waters) > MOST_NAMED else ""
    killer = store.pathogen(fastest())
    buy = list(dict.fromkeys(text for needs in waters for item in needs.short if (text := _to_buy(item))))
    return Problem(
        code="X740",
        severity="warning",
        message=f"{killer.short} in {names} could not be answered tonight: {', '.join(missing)}",
        places=tuple(room.place(room.waters[needs.water].path, key=True) for needs in waters[:MOST_NAMED]),
        note=f"it kills within {killer.kills_within}" if killer.kills_within else "",
        source="COMMON, practice A3 and A22 (C)",
        hint=f"get {'; '.join(buy[:4])}; `pratique shelf` has the whole list",
    )


def _to_buy(item: Need) -> str:
    if not is_vital(item):
        return ""
    if item.kind == "salt" and item.need is not None and item.need.high:
        return f"{item.buy}, {in_unit(item.need.high, 'g')}"
    return item.buy


def stale(shelf: Shelf, room: Room) -> Iterator[Problem]:
    """What the plan runs out of, and bottles whose last good day comes before their use."""
    places: Mapping[str, str] = {"product": "shelf", "test": "kits"}
    for line in shelf.lines:
        section = places.get(line.supply.kind)
        path = (section, line.supply.name) if section is not None else ("salt",)
        if line.lacks and not line.supply.missing:
            yield _runs_out(line, room.place(path, key=True), _taken_for_granted(line, room), shelf.at.date())


def _taken_for_granted(line: Line, room: Room) -> str:
    """Where the salt is for changes that nobody wrote down: how often they are made is not the keeper's word."""
    changed = [use.tank for use in line.uses if line.supply.kind == "salt" and use.text.startswith(MIX_FOR_CHANGE)]
    tank = next((name for name in changed if room.tanks[name].written.change is None), None)
    if tank is None:
        return ""
    habit, _ = habit_of(room.tanks[tank])
    usual = f"{habit.share * 100:g} % every {habit.hours / 24:g} d"
    return (
        f"it rests on a placeholder: changes of {usual} where none are on file, as in {quoted(tank)}; "
        f"write your own there, such as `change: {usual}`"
    )


def _runs_out(line: Line, place: Place, note: str, today: dt.date) -> Problem:
    assert line.runs_out is not None
    supply = line.supply
    past = supply.last_day is not None and line.runs_out.date() > supply.last_day
    why = "it expires before" if past else "it does not last"
    much = f"by {in_unit(line.short, supply.unit)} " if line.short else ""
    written = {"product": "`pratique log bought` writes it down", "test": "then write its `left` anew"}
    by = f"by {full_day(line.buy_by)}" if line.buy_by is not None and line.buy_by > today else "today"
    return Problem(
        code="X741",
        severity="warning",
        message=f"`{supply.name}` is short {much}for the plan: {why}, "
        f"from {full_day(line.runs_out)} on",
        places=(place,),
        note=note,
        hint=f"buy it {by}; {written.get(supply.kind, 'then write `left` under `salt:` anew')}",
    )
