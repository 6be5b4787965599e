"""A hold that has begun: what was given and read, the clock, and what is still to come by both of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from pratique.clocks.hold import HoldRule, LevelChange, Reading, hold_clock
from pratique.clocks.rules import hold_rule
from pratique.clocks.state import ClockState
from pratique.dosing.aim import MEASURING_ROOM
from pratique.dosing.ramp import is_guarded, ladder
from pratique.history.events import Visit
from pratique.knowledge.model import Treatment
from pratique.schedule.begun.joined import with_newcomers
from pratique.schedule.begun.past import LACKING, Left, Past
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import cut, hold_readings, level_changes
from pratique.schedule.known_level import KnownLevel, is_stale, known_level
from pratique.schedule.placed import Placed
from pratique.schedule.propose import velvet_signs
from pratique.schedule.reckoned import Reckoned, TooHigh, reckoned_level, too_high
from pratique.schedule.timeline import DOSE_WINDOW, Due, Timeline, daily_times, rest_hours
from pratique.schedule.track import Given, rounds_of

AT_ONCE = 0.0


def begun_hold(past: Past, index: int, planned: Treatment, start: dt.datetime) -> list[Placed]:
    """The ways in which a hold that began at `start` may go on: on to another tank, or on in this one for longer."""
    treatment = past.treatment(index, start, planned)
    left = past.left(index, start, lambda at: _state(past, treatment, start, at, stays=False).is_finished)
    cleared = _cleared(past, treatment, start, left)
    if cleared is not None:
        return [_Hold.of(past, index, treatment, start, cleared, stays=True).over(Left(at=cleared, whole=True))]
    if left is not None:
        return [_Hold.of(past, index, treatment, start, left.at, stays=False).over(left)]
    may_stay = index + 1 < len(past.stages) and past.stages[index + 1].kind == "observation"
    ways = (False, True) if may_stay else (False,)
    if may_stay and past.stays_by_choice(index):
        ways = (True,)
    return [_Hold.of(past, index, treatment, start, past.now, stays=stays).going_on() for stays in ways]


def _rule(past: Past, treatment: Treatment, *, stays: bool) -> HoldRule:
    chosen = past.room.written.room.clocks
    rule = hold_rule(treatment, stays=stays, start=chosen.copper_start, below=chosen.below_floor)
    if rule is None:
        raise ValueError(f"{treatment.id} can be held by no clock")
    return rule


def _state(past: Past, treatment: Treatment, start: dt.datetime, at: dt.datetime, *, stays: bool) -> ClockState:
    """The clock of the hold at `at`, over all waters the batch was in; readings just before they came in help too."""
    key = ("hold", treatment.id, start, at, stays)
    return past.once(key, lambda: _worked_out(past, treatment, start, at, stays=stays))


def _worked_out(past: Past, treatment: Treatment, start: dt.datetime, at: dt.datetime, *, stays: bool) -> ClockState:
    rule = _rule(past, treatment, stays=stays)
    visits = past.visits(start, at)
    known = (replace(visits[0], start=plus_hours(start, -rule.band.gap)), *visits[1:])
    events = ("events", treatment.id, start, at, rule.band.gap)
    readings, changes = past.once(events, lambda: _events(past, treatment, known))

    def clock(moment: dt.datetime, since: dt.datetime) -> ClockState:
        return hold_clock(readings, changes, rule=rule, at=moment, since=since)

    joined = [passage for passage in past.joined(visits, start) if instant(passage.at) <= instant(at)]
    return with_newcomers(clock, joined, start, past.calendar.local(at))


def _events(
    past: Past, treatment: Treatment, visits: tuple[Visit, ...]
) -> tuple[tuple[Reading, ...], tuple[LevelChange, ...]]:
    """The same for every rule that is tried on them."""
    return tuple(hold_readings(past.history, treatment, visits)), tuple(level_changes(past.history, treatment, visits))


def _cleared(past: Past, treatment: Treatment, start: dt.datetime, left: Left | None) -> dt.datetime | None:
    """The reading of zero after the longer course: from it on the fish are watched in the same tank."""
    end = past.now if left is None else left.at
    state = _state(past, treatment, start, end, stays=True)
    full = state.finished or state.started
    if full is None or (state.remaining or 0.0) > LACKING:
        return None
    unseen = treatment.needed("kit_detection").value
    for reading in hold_readings(past.history, treatment, past.visits(start, end)):
        if instant(full) < instant(reading.at) <= instant(end) and reading.suits and reading.value <= unseen:
            return reading.at
    return None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hold:
    """One hold as it stands at `at`, to be put down as a stage."""

    past: Past
    index: int
    treatment: Treatment
    start: dt.datetime
    stays: bool
    state: ClockState
    visits: tuple[Visit, ...]
    given: tuple[Given, ...]
    level: KnownLevel
    reckoned: Reckoned | None
    high: TooHigh | None
    levels: tuple[float, ...]
    apart: float

    @classmethod
    def of(
        cls, past: Past, index: int, treatment: Treatment, start: dt.datetime, at: dt.datetime, *, stays: bool
    ) -> _Hold:
        visits = past.visits(start, at)
        target = treatment.needed("target", past.basis.temperature(past.tank(visits[-1])))
        water = past.tank(visits[-1]).water
        reckoned = reckoned_level(past.history, treatment, water, at)
        levels, apart = ladder(treatment, target.value, guarded=is_guarded(past.track.batch.animals))
        return cls(
            past=past,
            index=index,
            treatment=treatment,
            start=start,
            stays=stays,
            state=_state(past, treatment, start, at, stays=stays),
            visits=visits,
            given=tuple(past.doses(index, treatment, visits, start)),
            level=known_level(past.history, treatment, water, at),
            reckoned=reckoned if reckoned is not None and reckoned.is_whole else None,
            high=too_high(past.history, treatment, water, at),
            levels=tuple(levels),
            apart=apart,
        )

    def over(self, left: Left) -> Placed:
        """A hold that has ended, in whatever way."""
        counted = self.state.finished
        line = Timeline(
            start=self.start,
            end=left.at,
            doses=self._done(),
            levels=self._levels_of(()),
            in_band=self.state.started or self.state.first_started,
            counted=self.past.calendar.local(counted) if counted is not None else None,
        )
        return self._placed(line, over=True)

    def going_on(self) -> Placed:
        """A hold that still goes on: what is left of the ramp, the reading that counts, the end."""
        steps = self._steps()
        coming = self._coming(steps)
        in_band = self.state.started or self._expected(coming)
        counted = self._counted(coming)
        changes = self._clearing(counted) if self.stays else ()
        due_end = self._end(counted, changes)
        overdue = instant(due_end) < instant(self.past.now)
        line = Timeline(
            start=self.start,
            end=self.past.soonest() if overdue else due_end,
            due_end=due_end if overdue else None,
            doses=(*self._done(), *coming),
            levels=self._levels_of(steps),
            in_band=self.past.calendar.local(in_band),
            counted=counted,
            changes=changes,
        )
        return self._placed(line, must_leave=overdue and not self.stays)

    def _placed(self, line: Timeline, *, over: bool = False, must_leave: bool = False) -> Placed:
        return Placed(
            stage=self.past.stages[self.index],
            treatment=self.treatment,
            tanks=self.past.tanks(self.visits),
            line=line,
            stays_on=self.stays,
            clock=self.state,
            over=over,
            must_leave=must_leave,
            given=len(self.given),
            reading=None if over else self.level.measure,
            read_first=is_stale(self.past.history, self.level, self.past.tank(self.visits[-1]).water, self.past.now),
            reckoned=None if over or self._is_as_planned else self.reckoned,
            high=None if over else self.high,
        )

    def _done(self) -> tuple[Due, ...]:
        return tuple(self.past.given_due(dose) for dose in self.given)

    def _levels_of(self, steps: tuple[float, ...]) -> tuple[float, ...]:
        """What each dose was meant to bring: the ramp's levels in their order, then its last."""
        last = len(self.levels) - 1
        return (*(self.levels[min(number, last)] for number in rounds_of(self.given)), *steps)

    @property
    def _count(self) -> int:
        """How many doses were given; the parts of one are one."""
        return max(rounds_of(self.given), default=-1) + 1

    @property
    def _is_held(self) -> bool:
        """True while the last reading in band carries."""
        return bool(self.state.slack is not None and self.state.slack > 0)

    def _steps(self) -> tuple[float, ...]:
        """The levels still to climb to: by the reading that holds, by reckoning, else by how many doses were given.

        None where there is too much in the water already.
        """
        if self.state.is_finished or self.high is not None:
            return ()
        reading = self.level.reading if self.level.standing == "known" else None
        if reading is not None:
            above = tuple(level for level in self.levels if level > reading.value * (1 + 1e-9))
            return above if self._count < len(self.levels) or not self._is_held else ()
        if self.level.standing == "none" and not self.given:
            return self.levels
        if self.level.standing == "old":
            return ()
        return self._by_reckoning(self.reckoned) if self.reckoned is not None else self.levels[self._count :]

    @property
    def _is_as_planned(self) -> bool:
        """True where a reading holds, or the doses made the level that the ramp has after as many of them."""
        if self.level.measure is not None or self.reckoned is None:
            return True
        meant = self.levels[min(self._count, len(self.levels)) - 1] if self.given else 0.0
        return meant / MEASURING_ROOM <= self.reckoned.level.value <= meant * MEASURING_ROOM

    def _by_reckoning(self, reckoned: Reckoned) -> tuple[float, ...]:
        """The levels above it by more than water is measured to; none where it is in band as before."""
        if self.state.started is not None and reckoned.level.value >= self.treatment.needed("target").low:
            return ()
        return tuple(level for level in self.levels if level > reckoned.level.value * MEASURING_ROOM)

    def _coming(self, steps: tuple[float, ...]) -> tuple[Due, ...]:
        """The doses to come, each after the one before by what the ramp asks; a level too low is put right at once."""
        found: list[Due] = []
        for number in range(len(steps)):
            wished = plus_hours(found[-1].at, self.apart) if found else self._next_wished(steps[0])
            found.append(self._due_or_late(wished, first=number == 0))
        return tuple(found)

    def _next_wished(self, level: float) -> dt.datetime:
        """When the next dose is best given: after the rest, by the ramp, or at once where the level fell short."""
        if not self.given:
            rest = AT_ONCE if velvet_signs(self.past.track.batch) else rest_hours()
            return plus_hours(self.start, rest)
        count = self._count
        if count < len(self.levels) and level > self.levels[count - 1] * (1 + 1e-9):
            return plus_hours(self.given[-1].at, self.apart)
        if self.level.written is not None and self.level.standing == "known":
            return self.level.written.at
        exchanges = self.past.history.of_water(self.past.tank(self.visits[-1]).water).exchanges
        return self.past.now if cut(exchanges, (self.given[-1].at, None)) else plus_hours(self.given[-1].at, self.apart)

    def _due_or_late(self, wished: dt.datetime, *, first: bool) -> Due:
        at = self.past.chance(wished)
        until = plus_hours(at, DOSE_WINDOW)
        if not first or instant(until) >= instant(self.past.now):
            return Due(at, until, wished)
        return Due(self.past.soonest(), until, wished)

    def _expected(self, coming: tuple[Due, ...]) -> dt.datetime:
        """When the next reading in band can be: after the doses that are due, else after the last one, else now.

        Too much in the water brings no day nearer: it is read in band no sooner than the ramp would have got there.
        """
        apart = self.treatment.needed("test_interval_first").value
        doses = [due.at for due in coming] or [dose.at for dose in self.given[-1:]]
        if self.high is not None and self.given:
            doses.append(max(doses[-1], plus_hours(self.given[0].at, self.apart * (len(self.levels) - 1)), key=instant))
        soonest = plus_hours(doses[-1], apart) if doses else self.past.now
        return self.past.chance(max(soonest, self.past.now, key=instant))

    def _counted(self, coming: tuple[Due, ...]) -> dt.datetime:
        """When the days will be full if all goes well from now on."""
        if self.state.finished is not None:
            return self.past.calendar.local(self.state.finished)
        resumed = self.past.now if self._is_held and self.state.started else self._expected(coming)
        return self.past.chance(plus_hours(resumed, self.state.remaining or 0.0))

    def _clearing(self, counted: dt.datetime) -> tuple[Due, ...]:
        """The changes that take the copper out: those on record, then what is left of them, a day apart."""
        count = self.past.basis.copper_out(self.treatment)[0]
        water = self.past.tank(self.visits[-1]).water
        exchanges = self.past.history.of_water(water).exchanges
        done = [entry for entry in exchanges if self.state.is_finished and instant(entry.at) >= instant(counted)]
        made = tuple(Due(entry.at, plus_hours(entry.at, DOSE_WINDOW), entry.at, done=True) for entry in done[:count])
        begin = plus_hours(made[-1].at, 24) if made else counted
        later = max(begin, self.past.now, key=instant) if self.state.is_finished else begin
        return (*made, *daily_times(self.past.calendar, self.past.chance(later), count - len(made)))

    def _end(self, counted: dt.datetime, changes: tuple[Due, ...]) -> dt.datetime:
        """When the stage ends, or should have ended."""
        wait = self.treatment.number("wait_after")
        hours = 24.0 if self.stays else wait.value if wait is not None else 0.0
        return self.past.chance(plus_hours(changes[-1].at if changes else counted, hours))
