"""One batch's past against its regimen: which stage it is in, and by what each stage has ended.

A stage has ended when its clock is full and the fish have left its water; when they have gone to a tank that is
of no use for it; when a medicine of a later stage was given once its own work was done; or when the batch has left
quarantine. A medicine that is given into a hold, or into a transfer series, before that ends neither.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, TypeVar

from pratique.figure import Figure
from pratique.history.events import Passage, Visit
from pratique.history.fold import History
from pratique.knowledge.model import StagePlan, Treatment
from pratique.logbook.ids import slug
from pratique.room.resolve import Room, Tank
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import Calendar, instant, plus_hours
from pratique.schedule.feeds import cut, gives
from pratique.schedule.known_level import known_level
from pratique.schedule.timeline import Due
from pratique.schedule.track import Given, Track, given, in_one, marked_doses, newcomers

T = TypeVar("T")

LACKING = 1.0
"""Hours: a stage left this little before its clock was full is taken as whole."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """When a stage ended. `whole`: its clock was full. `to`: the visit that came next, None where there is none."""

    at: dt.datetime
    whole: bool
    to: Visit | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Past:
    """The record of one batch that has arrived, and the stages it is to go through.

    `memo` keeps what hangs on these alone: the same stage is asked for again while other tanks are tried.
    """

    basis: Basis
    history: History
    track: Track
    stages: tuple[StagePlan, ...]
    memo: dict[tuple[object, ...], Any] = field(default_factory=dict)

    @property
    def room(self) -> Room:
        """The room it is in."""
        return self.basis.room

    @property
    def calendar(self) -> Calendar:
        """The hours of the room."""
        return self.basis.calendar

    @property
    def now(self) -> dt.datetime:
        """The moment of the plan, as the room's clock shows it."""
        return self.calendar.local(self.history.at)

    def chance(self, moment: dt.datetime) -> dt.datetime:
        """The first hour from `moment` on at which somebody is there; `moment` itself where nobody ever is."""
        return self.calendar.first_from(moment) or self.calendar.local(moment)

    def soonest(self) -> dt.datetime:
        """The first hour from now on."""
        return self.chance(self.now)

    def tank(self, visit: Visit) -> Tank:
        """The tank of a visit."""
        return self.room.tanks[visit.tank]

    def once(self, key: tuple[object, ...], work: Callable[[], T]) -> T:
        """What `work` gives, worked out once for a key."""
        if key not in self.memo:
            self.memo[key] = work()
        found: T = self.memo[key]
        return found

    def tanks(self, visits: tuple[Visit, ...]) -> tuple[Tank, ...]:
        """Every tank of these visits once, the present one last."""
        names = dict.fromkeys(visit.tank for visit in reversed(visits))
        return tuple(self.room.tanks[name] for name in reversed(names))

    def visits(self, start: dt.datetime, end: dt.datetime | None = None) -> tuple[Visit, ...]:
        """The visits of a stage that began at `start`; those that began by its `end`."""
        found = self.track.since(start)
        return tuple(v for v in found if v is found[0] or end is None or instant(v.start) < instant(end))

    def doses(self, index: int, treatment: Treatment, visits: tuple[Visit, ...], since: dt.datetime) -> list[Given]:
        """The doses of a stage's treatment into the water the batch was in, in order, from `since` on."""
        found: list[Given] = []
        for visit in visits:
            record = self.history.of_water(self.tank(visit).water)
            start = max(visit.start, since, key=instant)
            for entry in cut(record.additions, (start, visit.end)):
                if entry.into == "tank" and gives(self.room, treatment, entry):
                    found.append(given(entry))
        found += marked_doses(self.history.tasks, self.track.batch.name, self.stages[index].name, found)
        return in_one(dose for dose in found if instant(dose.at) >= instant(since))

    def given_due(self, dose: Given) -> Due:
        """A dose on record as a line of the plan (mL, g or tablets), in the tank the batch was in."""
        amount = Figure.exact(dose.amount, dose.unit) if dose.amount is not None else None
        tank = self.track.at(dose.at).tank
        return Due(dose.at, dose.at, dose.at, done=True, tank=tank, product=dose.product, amount=amount)

    def joined(self, visits: tuple[Visit, ...], since: dt.datetime) -> list[Passage]:
        """Animals that came into the batch's water while it was there, in order, one for each moment."""
        found: list[Passage] = []
        for visit in visits:
            start = max(visit.start, since, key=instant)
            found += newcomers(self.room, self.history, self.track, self.tank(visit).water, start, visit.end)
        together = {instant(passage.at): passage for passage in found}
        return [together[moment] for moment in sorted(together)]

    def treatment(self, index: int, start: dt.datetime, planned: Treatment) -> Treatment:
        """The alternative of a stage that was really given; else the one planned."""
        known = [self.basis.treatment(id_) for id_ in self.stages[index].treatments]
        for treatment in known:
            if treatment.active and self.doses(index, treatment, self._own_visits(index, start), start):
                return treatment
        return planned

    def _own_visits(self, index: int, start: dt.datetime) -> tuple[Visit, ...]:
        """The visits from `start` on for as long as the tanks are of use for the stage."""
        found: list[Visit] = []
        for visit in self.track.since(start):
            if found and self.tank(visit).use not in self.stages[index].use:
                break
            found.append(visit)
        return tuple(found)

    def left(self, index: int, start: dt.datetime, is_whole: Callable[[dt.datetime], bool]) -> Left | None:
        """By what a stage that began at `start` has ended, or None where it goes on."""
        found = list(self._leavings(index, start, is_whole))
        return min(found, key=lambda left: instant(left.at), default=None)

    def _leavings(self, index: int, start: dt.datetime, is_whole: Callable[[dt.datetime], bool]) -> Iterator[Left]:
        stage, is_last = self.stages[index], index + 1 == len(self.stages)
        before = self.track.at(start)
        for visit in () if is_last else self.track.after(start):
            if self.tank(visit).water != self.tank(before).water:
                whole = is_whole(plus_hours(visit.start, LACKING))
                if whole or self.tank(visit).use not in stage.use:
                    yield Left(at=visit.start, whole=whole, to=visit)
                    break
            before = visit
        later = None if is_last else self.later_drug(index, start)
        if later is not None:
            into = self.track.at(later)
            at = into.start if instant(into.start) > instant(start) else later
            whole = is_whole(plus_hours(at, LACKING))
            if whole or self._is_out_of_the_hold(index, start, into, later):
                yield Left(at=at, whole=whole, to=into)
        closed = self.track.closed
        if closed is not None:
            yield Left(at=closed, whole=is_whole(plus_hours(closed, LACKING)))

    def _is_out_of_the_hold(self, index: int, start: dt.datetime, into: Visit, later: dt.datetime) -> bool:
        """True where fish held in a medicine were in a water without any of it when the `later` one was given."""
        water = self.tank(into).water
        if self.stages[index].kind != "hold" or water == self.tank(self.track.at(start)).water:
            return False
        own = [self.basis.treatment(id_) for id_ in self.stages[index].treatments]
        return all(known_level(self.history, treatment, water, later).standing == "none" for treatment in own)

    def later_drug(self, index: int, start: dt.datetime) -> dt.datetime | None:
        """When a medicine of a later stage was first given to this batch."""
        own = set(self.stages[index].treatments)
        later = [id_ for stage in self.stages[index + 1 :] for id_ in stage.treatments if id_ not in own]
        found: list[dt.datetime] = []
        for treatment in (self.basis.treatment(id_) for id_ in dict.fromkeys(later)):
            for visit in self.track.since(start) if treatment.active else ():
                record = self.history.of_water(self.tank(visit).water)
                begin = max(visit.start, start, key=instant)
                hits = (e for e in cut(record.additions, (begin, visit.end)) if gives(self.room, treatment, e))
                found += [entry.at for entry in hits if entry.into == "tank"][:1]
        return min(found, key=instant, default=None)

    def stays_by_choice(self, index: int) -> bool:
        """True where the move after a stage was skipped: the fish stay where they are."""
        mark = self.history.tasks.get(f"{slug(self.track.batch.name, self.stages[index].name, 'move')}/1")
        return mark is not None and mark.what == "skipped"
