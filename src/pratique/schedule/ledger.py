"""Who has which water when. One batch to a water; residents keep theirs; a dry day between two batches."""

from __future__ import annotations

import datetime as dt
from bisect import insort
from collections.abc import Iterable

from pratique.dosing.facts import EQUIPMENT, Setting, interlocks_met
from pratique.room.resolve import Room, Tank
from pratique.room.values import treatment_for

BETWEEN = dt.timedelta(hours=24)
"""Drain, disinfect and dry between two batches (agents 14: dry 24 h; agents 17: all-in, all-out)."""

_LASTING = {"D404", "D405", "D406", "D407", "D408", "D422", "D423"}
"""Interlocks that no switch or empty bottle explains: the tank itself is unfit."""

_ANY = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


class Ledger:
    """Bookings of one room as the plan is built, batch by batch."""

    def __init__(self, room: Room) -> None:
        self._room = room
        self._taken: dict[str, list[tuple[dt.datetime, dt.datetime, str]]] = {}
        self._by_use: dict[str, list[Tank]] = {}
        self._fit: dict[tuple[str, str], str] = {}
        for tank in room.tanks.values():
            self._by_use.setdefault(tank.use, []).append(tank)

    def book(self, water: str, start: dt.datetime, end: dt.datetime, batch: str) -> None:
        insort(self._taken.setdefault(water, []), (start, end, batch))

    def release(self, batch: str) -> None:
        """Takes back every booking of a batch that could not be planned whole."""
        for entries in self._taken.values():
            entries[:] = [entry for entry in entries if entry[2] != batch]

    def tanks(self, uses: Iterable[str], treatment: str) -> list[Tank]:
        """Tanks of these uses that are fit for the treatment and hold no residents, in the order of `uses`."""
        residents = self._room.residents_by_water
        return [
            tank for use in uses for tank in self._by_use.get(use, ())
            if tank.water not in residents and not self.unfit(tank, treatment)
        ]

    def occupied(self, uses: Iterable[str]) -> list[Tank]:
        residents = self._room.residents_by_water
        return [tank for use in uses for tank in self._by_use.get(use, ()) if tank.water in residents]

    def unfit(self, tank: Tank, treatment: str) -> str:
        """Why a tank can never serve this treatment (substrate, rock, another medicine), or empty."""
        key = (tank.water, treatment)
        if key not in self._fit:
            self._fit[key] = self._why_unfit(tank, treatment)
        return self._fit[key]

    def _why_unfit(self, tank: Tank, treatment: str) -> str:
        water = self._room.waters[tank.water]
        setting = Setting(room=self._room, treatment=treatment_for(self._room, treatment), water=water, animals=(),
                          at=_ANY, off=frozenset(EQUIPMENT))
        return next((problem.message for problem in interlocks_met(setting) if problem.code in _LASTING), "")

    def is_free(self, water: str, start: dt.datetime, end: dt.datetime) -> bool:
        return self.clash(water, start, end) is None

    def clash(self, water: str, start: dt.datetime, end: dt.datetime) -> tuple[dt.datetime, dt.datetime, str] | None:
        """The booking that stands in the way of [start, end), the dry day included."""
        for entry in self._taken.get(water, ()):
            if entry[0] - BETWEEN < end and start < entry[1] + BETWEEN:
                return entry
        return None

    def free_from(self, water: str, start: dt.datetime, length: dt.timedelta) -> dt.datetime:
        """The first moment from `start` at which the water is free for `length`."""
        moment = start
        while (entry := self.clash(water, moment, moment + length)) is not None:
            moment = entry[1] + BETWEEN
        return moment
