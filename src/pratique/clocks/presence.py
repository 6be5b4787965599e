"""Whether there is a fish in a water: who came, who left, who was found, and what came from a water with fish."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pratique.clocks.moments import hours_between, instant
from pratique.clocks.state import Break, Row, spoken
from pratique.knowledge.clockrule import Effect


@dataclass(frozen=True, slots=True, kw_only=True)
class Fish:
    """Fish of one name that came into the whole water (`change` above nought), or left it, died or were taken out.

    `found`: seen where none was thought to be; they were there all the while, and are until they are taken out. A
    move between two tanks of the water is no event.
    """

    at: dt.datetime
    change: int
    who: str = ""
    found: bool = False
    entry_id: str = ""

    def __post_init__(self) -> None:
        if not self.change:
            raise ValueError("a change of no fish is no event")


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """Something that came from a water with fish; `what` is an event of the clock `fallow`, such as `rock`."""

    at: dt.datetime
    what: str
    says: str = ""
    entry_id: str = ""


_Key = tuple[dt.datetime, int, str, str, int, bool | str]
"""The moment, then what comes in before what leaves, then all the rest, so that the order of writing never shows."""


class Presence:
    """Takes the events in order, and knows since when there has been no fish and nothing from one."""

    def __init__(self, effects: Mapping[str, Effect], titles: Mapping[str, str]) -> None:
        self._effects, self._titles = effects, titles
        self._fish: dict[str, int] = {}
        self._open: tuple[dt.datetime, float, str, str] | None = None
        self.started: dt.datetime | None = None
        self.first: dt.datetime | None = None
        self.restarts = 0
        self.breaks: list[Break] = []
        self.rows: list[Row] = []

    @property
    def fish(self) -> int:
        """How many are known to be in the water."""
        return sum(self._fish.values())

    @property
    def left(self) -> tuple[str, ...]:
        """Who is known to be in the water."""
        return tuple(sorted(name or "fish" for name, count in self._fish.items() if count))

    def take_all(self, fish: Iterable[Fish], brought: Iterable[Brought], at: dt.datetime) -> None:
        """All events up to `at`, in whatever order they come. Of one moment, what comes in goes before what leaves."""
        events: list[tuple[_Key, Fish | Brought]] = []
        for one in fish:
            order = 0 if one.change > 0 else 2
            events.append(((instant(one.at), order, one.who, one.entry_id, one.change, one.found), one))
        for thing in brought:
            if thing.what not in self._effects:
                raise ValueError(f"no such event of a fallow: {thing.what!r}")
            events.append(((instant(thing.at), 1, thing.what, thing.entry_id, 0, thing.says), thing))
        for (moment, *_), event in sorted(events, key=lambda entry: entry[0]):
            if moment > at:
                break
            if isinstance(event, Brought):
                self._brought(event)
            elif event.change > 0:
                self._came(event)
            else:
                self._went(event)
        if self._open is not None:
            self._close_break(at)

    def _came(self, fish: Fish) -> None:
        self._fish[fish.who] = self._fish.get(fish.who, 0) + fish.change
        if self.started is None:
            return
        self._void(fish, self._titles["found" if fish.found else "fish"])

    def _void(self, fish: Fish, title: str) -> None:
        assert self.started is not None
        why = title + (f" (`{fish.who}`)" if fish.who else "")
        lost = hours_between(self.started, fish.at)
        self._open = (instant(fish.at), lost, why, fish.entry_id)
        self._say_restart(fish.at, why, lost, fish.entry_id, "day one is when it is out again")
        self.started = None

    def _went(self, fish: Fish) -> None:
        there = self._fish.get(fish.who, 0)
        if there < -fish.change:
            self._unforeseen(fish)
        self._fish[fish.who] = max(there + fish.change, 0)
        if not self.fish:
            self._begin(instant(fish.at), "the last fish is out of the whole water", fish.entry_id)

    def _unforeseen(self, fish: Fish) -> None:
        """More left than were known to be in: they were there until now, whatever the record says."""
        what = f"`{fish.who or 'a fish'}` left, and was not known to be in this water"
        self.rows.append(Row(at=fish.at, what=what, entry_id=fish.entry_id, mark="problem"))
        if self.started is not None:
            self._void(fish, self._titles["found"])

    def _brought(self, thing: Brought) -> None:
        title = self._titles[thing.what] + (f": {thing.says}" if thing.says else "")
        if self._effects[thing.what] != "restarts":
            self.rows.append(Row(at=thing.at, what=f"{title}; no matter for this agent", entry_id=thing.entry_id))
            return
        if self.fish:
            return
        if self.started is not None:
            lost = hours_between(self.started, thing.at)
            self.breaks.append(Break(at=thing.at, why=title, cost_hours=lost, entry_id=thing.entry_id))
            self._say_restart(thing.at, title, lost, thing.entry_id, "day one again")
        self._begin(instant(thing.at), f"last contact with a water with fish: {title}", thing.entry_id)

    def _begin(self, moment: dt.datetime, why: str, entry_id: str) -> None:
        again = " again" if self.first is not None else ""
        self.first = self.first or moment
        if self._open is not None:
            self._close_break(moment)
        self.started = moment
        self.rows.append(Row(at=moment, what=f"day one{again}: {why}", entry_id=entry_id, mark="start"))

    def _close_break(self, moment: dt.datetime) -> None:
        assert self._open is not None
        at, lost, why, entry_id = self._open
        self.breaks.append(Break(at=at, why=why, cost_hours=lost + hours_between(at, moment), entry_id=entry_id))
        self._open = None

    def _say_restart(self, at: dt.datetime, why: str, lost: float, entry_id: str, then: str) -> None:
        self.restarts += 1
        what = f"{why}; {spoken(lost)} are lost, {then}"
        self.rows.append(Row(at=at, what=what, entry_id=entry_id, mark="restart"))
