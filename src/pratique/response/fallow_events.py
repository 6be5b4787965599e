"""What a fallow of one water is counted from: fish that came and went, what came in wet, how warm it was."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from pratique.clocks.fallow import Brought, Fish, Temperature
from pratique.contacts.gather import Basis, basis_of
from pratique.contacts.whereabouts import whereabouts
from pratique.history.events import LONG_AGO, Passage, Stay
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.room.resolve import Room, Water
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.feeds import cut, stayed_wet
from pratique.schedule.plan import make_plan

ROCKY = ("rock", "sand", "filter media")


@dataclass(frozen=True, kw_only=True)
class Record:
    """One water, and all that is on record of it; `basis` is that of the contacts, ticked tasks among them."""

    room: Room
    history: History
    water: Water
    basis: Basis

    @cached_property
    def tanks(self) -> frozenset[str]:
        return frozenset(tank.name for tank in self.water.tanks)

    @cached_property
    def here(self) -> tuple[Stay, ...]:
        """Everybody who is in the water by the record."""
        return self.basis.where.standing(self.room, self.water.name)

    def is_fish(self, batch: str, animal: str) -> bool:
        """True for all that is not known to be without a backbone."""
        kind = self.basis.fish.get((batch, animal)) or self.basis.fish.get(("", animal))
        if kind is not None:
            return kind == "fish"
        group = _group_of(animal)
        return group is None or store.groups()[group].is_fish

    def fish(self) -> Iterator[Fish]:
        """Who was there before the log, who came into the whole water, who left it or died."""
        for stay in self.basis.where.stays:
            if stay.start is None and stay.tank in self.tanks and self.is_fish(stay.batch, stay.animal):
                yield Fish(at=LONG_AGO, change=stay.count, who=stay.animal)
        for passage in self.basis.by_water.get(self.water.name, ()):
            came, left = passage.to in self.tanks, passage.from_ in self.tanks
            if came == left or not self.is_fish(passage.batch, passage.animal):
                continue
            yield Fish(
                at=passage.at,
                change=passage.count if came else -passage.count,
                who=passage.animal,
                found=passage.how == "found",
                entry_id=passage.entry_id,
            )

    def temperatures(self) -> Iterator[Temperature]:
        """Every reading; where there is none, what the room file says, as one word of long ago."""
        read = [r for r in self.history.of_water(self.water.name).readings if r.what == "temperature"]
        for reading in read:
            low = reading.low if reading.low is not None else reading.value
            high = reading.high if reading.high is not None else reading.value
            yield Temperature(at=reading.at, value=reading.value, low=low, high=high, entry_id=reading.entry_id)
        said = self.water.conditions.temperature
        if not read and said is not None:
            yield Temperature(at=LONG_AGO, value=said.value, low=said.low, high=said.high)

    def brought(self, hours: float | None) -> Iterator[Brought]:
        """What came in wet from a water with fish, or from one that was without for less than `hours`; from outside
        too. None: an agent that lives without fish; then every water is suspect."""
        yield from self._animals(hours)
        yield from self._carried(hours)
        yield from self._gear(hours)

    def _animals(self, hours: float | None) -> Iterator[Brought]:
        for passage in self.basis.by_water.get(self.water.name, ()):
            if passage.to not in self.tanks or passage.from_ in self.tanks or passage.how == "found":
                continue
            if self.is_fish(passage.batch, passage.animal) or not self._is_fresh(passage, hours):
                continue
            origin = f"from {passage.from_}" if passage.from_ else "from outside"
            says = f"{passage.count} {passage.animal}, {origin}"
            yield Brought(at=passage.at, what=_kind(passage.animal), says=says, entry_id=passage.entry_id)

    def _is_fresh(self, passage: Passage, hours: float | None) -> bool:
        """True where it came from outside, or was in a water with fish, or came into the room, too lately."""
        if not passage.from_ or hours is None or self._had_fish(passage.from_, passage.at, hours):
            return True
        mine = (p for p in self.basis.where.passages if (p.batch, p.animal) == (passage.batch, passage.animal))
        arrived = [p.at for p in mine if not p.from_ and instant(p.at) <= instant(passage.at)]
        return bool(arrived) and elapsed_hours(max(arrived, key=instant), passage.at) < hours

    def _carried(self, hours: float | None) -> Iterator[Brought]:
        for carried in self.history.of_water(self.water.name).carried:
            if carried.from_ in self.tanks:
                continue
            if carried.from_ and hours is not None and not self._had_fish(carried.from_, carried.at, hours):
                continue
            origin = f"from {carried.from_}" if carried.from_ else "nobody wrote from where"
            for thing in carried.things:
                what = "rock" if thing in ROCKY else "water"
                yield Brought(at=carried.at, what=what, says=f"{thing}, {origin}", entry_id=carried.entry_id)

    def _gear(self, hours: float | None) -> Iterator[Brought]:
        """Sets that were wet in another water and cannot have dried since."""
        for use in self.history.of_water(self.water.name).gear:
            before = cut(self.history.gear.get(use.gear, ()), (LONG_AGO, use.at))
            last = before[-1] if before else None
            if last is None or last.tank in self.tanks or not stayed_wet(self.history, last, use, self.basis.dry):
                continue
            if hours is None or self._had_fish(last.tank, last.at, hours):
                says = f"{use.gear}, last in {last.tank}"
                yield Brought(at=use.at, what="wet-gear", says=says, entry_id=use.entry_id)

    def _had_fish(self, tank: str, at: dt.datetime, hours: float) -> bool:
        """True where a fish was in the water of `tank` at `at`, or less than `hours` before it."""
        known = self.room.tanks.get(tank)
        if known is None:
            return True
        for stay in self.basis.where.stays:
            if self.room.tanks[stay.tank].water != known.water or not self.is_fish(stay.batch, stay.animal):
                continue
            if stay.start is not None and instant(stay.start) > instant(at):
                continue
            if stay.end is None or elapsed_hours(stay.end, at) < hours:
                return True
        return False


def record_of(room: Room, history: History, tank: str) -> Record:
    """The record of the water that `tank` is in. KeyError for an unknown tank."""
    water = room.water_of(tank)
    basis = basis_of(history, whereabouts(history, make_plan(room, history)))
    return Record(room=room, history=history, water=water, basis=basis)


def _group_of(animal: str) -> str | None:
    scientific = store.species_index().get(animal.lower())
    if scientific is None:
        return None
    return store.species()[scientific].group


def _kind(animal: str) -> str:
    group = _group_of(animal)
    return "coral" if group is not None and store.groups()[group].kind == "coral" else "animal"
