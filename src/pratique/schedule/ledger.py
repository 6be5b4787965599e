"""Who has which water when. One batch to a water; residents keep theirs; a dry day between two batches."""

from __future__ import annotations

import datetime as dt
from bisect import insort
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from pratique.dosing.facts import EQUIPMENT, Setting, interlocks_met, unfit_codes
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.room.resolve import Animal, Room, Tank, Water
from pratique.schedule.calendar import instant

_ANY = dt.datetime(2000, 1, 1, tzinfo=dt.UTC)


class Span(NamedTuple):
    """A stay in a water, in UTC."""

    start: dt.datetime
    end: dt.datetime

    @classmethod
    def of(cls, start: dt.datetime, end: dt.datetime) -> Span:
        """From moments of any zone."""
        return cls(instant(start), instant(end))


class Booking(NamedTuple):
    """A water taken by a batch from `start` until it is dry again, in UTC."""

    start: dt.datetime
    end: dt.datetime
    batch: str


class Ledger:
    """Bookings of one room as the plan is built, batch by batch, and which tank is fit for what."""

    def __init__(self, room: Room, residents: Mapping[str, tuple[Animal, ...]] | None = None) -> None:
        self._room = room
        self._residents = room.residents_by_water if residents is None else residents
        self._taken: dict[str, list[Booking]] = {}
        self._by_use: dict[str, list[Tank]] = {}
        self._fit: dict[tuple[tuple[str, ...], str], tuple[Tank, ...]] = {}
        between = store.routine().needed("between_batches")
        self.between = dt.timedelta(hours=between.value)
        for tank in room.tanks.values():
            self._by_use.setdefault(tank.use, []).append(tank)

    def tanks_of(self, uses: Iterable[str]) -> Iterator[Tank]:
        """Every tank of these uses, in the order of `uses` and then of the file."""
        for use in uses:
            yield from self._by_use.get(use, ())

    def fit_tanks(self, uses: tuple[str, ...], treatment: Treatment) -> tuple[Tank, ...]:
        """Those of them that can serve this treatment at all."""
        key = (uses, treatment.id)
        if key not in self._fit:
            self._fit[key] = tuple(tank for tank in self.tanks_of(uses) if not self.why_unfit(tank, treatment))
        return self._fit[key]

    def why_unfit(self, tank: Tank, treatment: Treatment) -> str:
        """Why a tank can never serve this treatment (who or what is in it), or empty."""
        water = self._room.waters[tank.water]
        residents = self._residents.get(tank.water, ())
        watching = treatment.kind == "watching"
        if any(animal.group.kind.endswith("fish") or not watching for animal in residents):
            return f"`{tank.name}` has residents"
        if water.conditions.holds:
            return f"`{tank.name}` holds {water.conditions.holds[0].treatment}: empty and dry it, then delete `holds`"
        kept_out = _kept_out(tank, water, treatment)
        if kept_out:
            return kept_out
        if treatment.kind == "transfers":
            return _why_not_dried(tank, len(water.tanks) > 1 or water.sump is not None)
        setting = Setting(
            room=self._room, treatment=treatment, water=water, animals=(), at=_ANY, off=frozenset(EQUIPMENT)
        )
        return next((problem.message for problem in interlocks_met(setting) if problem.code in unfit_codes()), "")

    def book(self, water: str, start: dt.datetime, end: dt.datetime, batch: str, *, dry: dt.timedelta) -> Booking:
        """Takes the water from `start` to `end`, and for as long after as it needs to be `dry`."""
        booking = Booking(instant(start), instant(end) + dry, batch)
        insort(self._taken.setdefault(water, []), booking)
        return booking

    def unbook(self, water: str, booking: Booking) -> None:
        """Takes one booking back; ValueError where there is none like it."""
        self._taken[water].remove(booking)

    def copy(self) -> dict[str, list[Booking]]:
        """All bookings as they are, to go back to."""
        return {water: list(bookings) for water, bookings in self._taken.items()}

    def restore(self, bookings: dict[str, list[Booking]]) -> None:
        """Back to what `copy` gave."""
        self._taken = bookings

    def clash(self, water: str, span: Span, *, but: str = "") -> Booking | None:
        """The booking that stands in the way of a stay and of drying after it. `but`: this batch stays on."""
        first, last = span.start, span.end + self.between
        for booking in self._taken.get(water, ()):
            if booking.start < last and first < booking.end and booking.batch != but:
                return booking
        return None

    def free_from(self, water: str, span: Span) -> dt.datetime:
        """The first moment (UTC) from the start of the span at which the water is free for as long as it is."""
        moment, length = span.start, span.end - span.start
        while (booking := self.clash(water, Span(moment, moment + length))) is not None:
            moment = booking.end
        return moment


def can_dry(tank: Tank) -> bool:
    """False for live sand and rock: what is in them stays wet and alive."""
    return tank.written.substrate != "calcareous" and tank.written.rock == "none"


def _kept_out(tank: Tank, water: Water, treatment: Treatment) -> str:
    """Why the keeper, or its use, keeps this medicine out of the water for good; or newcomers, whatever they get."""
    for other in water.tanks:
        if other.use == "display" and tank.use != "display":
            return f"`{tank.name}` shares its water with the display `{other.name}`, so nothing is kept apart in it"
        if treatment.active and treatment.active in other.written.never:
            return f"`{other.name}` must never see {treatment.active} (`never`)"
        if treatment.active == "copper" and other.use == "observation":
            return f"`{other.name}` is an observation tank, which must never see copper"
    return ""


def _why_not_dried(tank: Tank, shared: bool) -> str:
    if shared:
        return f"`{tank.name}` shares its water, so it cannot be emptied and dried alone"
    if tank.written.substrate != "bare" or tank.written.rock != "none":
        return f"`{tank.name}` has sand or rock, which does not dry between two moves"
    return ""
