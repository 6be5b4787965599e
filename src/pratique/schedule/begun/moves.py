"""A transfer series that has begun: the moves made, and the remaining ones dated from the last of them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice, pairwise

from pratique.clocks.rules import transfer_rule
from pratique.clocks.state import ClockState, spoken
from pratique.clocks.transfers import TransferRule, transfer_clock
from pratique.history.events import Visit
from pratique.knowledge.model import Treatment
from pratique.problem import Problem
from pratique.room.resolve import Tank
from pratique.schedule.begun.joined import with_newcomers
from pratique.schedule.begun.past import Left, Past
from pratique.schedule.calendar import elapsed_hours, instant, plus_hours, shown
from pratique.schedule.feeds import transfer_moves
from pratique.schedule.ledger import Span
from pratique.schedule.placed import Placed
from pratique.schedule.timeline import Due, Timeline
from pratique.schedule.transfers import Begun, Spacing, transfer_spacing, transfer_times
from pratique.schedule.tub_events import tank_events

MOST_OTHERS = 3
"""Other tanks of which the one is taken that lets the series end soonest."""


def begun_moves(past: Past, index: int, treatment: Treatment, start: dt.datetime) -> list[Placed]:
    """The series that began at `start`, one way for each tank the next move may go to."""
    temperatures = _temperatures(past, start)
    rule = transfer_rule(treatment, temperatures)
    spacing = transfer_spacing(treatment, temperatures)
    if isinstance(spacing, Problem):
        return [_stuck(past, index, treatment, start, spacing)]
    assert rule is not None
    series = _Series(past=past, index=index, treatment=treatment, start=start, rule=rule, spacing=spacing)
    state = series.state(past.now)
    finished = past.calendar.local(state.finished) if state.finished is not None else None
    left = past.left(index, start, lambda at: finished is not None and instant(finished) <= instant(at))
    if finished is not None and (left is None or instant(finished) <= instant(left.at)):
        left = Left(at=finished, whole=True, to=past.track.at(finished))
    if left is not None:
        return [series.over(left, state if left.whole else series.state(left.at))]
    return list(series.going_on(state))


def _temperatures(past: Past, start: dt.datetime) -> tuple[float | None, ...]:
    """degC of the first two tanks of the series: those it goes to and fro between."""
    tanks = list(dict.fromkeys(visit.tank for visit in past.track.since(start)))[:2]
    return tuple(past.basis.temperature(past.room.tanks[name]) for name in tanks)


def _stuck(past: Past, index: int, treatment: Treatment, start: dt.datetime, problem: Problem) -> Placed:
    """Where the fish are now, and nothing of what comes: no figure says when."""
    visits = past.track.since(start)
    made = tuple(Due(visit.start, visit.start, done=True) for visit in visits[1:])
    end = past.chance(plus_hours(past.now, 24))
    return Placed(
        stage=past.stages[index],
        treatment=treatment,
        tanks=tuple(past.tank(visit) for visit in visits),
        line=Timeline(start=start, end=end, moves=made),
        given=len(made),
        stuck=problem,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Series:
    past: Past
    index: int
    treatment: Treatment
    start: dt.datetime
    rule: TransferRule
    spacing: Spacing

    @property
    def stage(self) -> str:
        """The name of the stage."""
        return self.past.stages[self.index].name

    def state(self, at: dt.datetime) -> ClockState:
        """The clock at `at`, begun again by each animal that joined."""
        return self.past.once(("moves", self.index, self.start, at), lambda: self._worked_out(at))

    def _worked_out(self, at: dt.datetime) -> ClockState:
        visits = self.past.visits(self.start, at)
        events = tank_events(self.past.history, self.past.track, self.stage)

        def clock(moment: dt.datetime, since: dt.datetime) -> ClockState:
            known = self.past.track.since(since)
            first = replace(known[0], start=max(known[0].start, since, key=instant))
            moves = transfer_moves((first, *known[1:]))
            return transfer_clock(moves, events, rule=self.rule, at=moment, zone=self.past.room.zone)

        joined = [passage for passage in self.past.joined(visits, self.start) if instant(passage.at) <= instant(at)]
        return with_newcomers(clock, joined, self.start, self.past.calendar.local(at))

    def over(self, left: Left, state: ClockState) -> Placed:
        """A series that is whole, or was broken off; its last move goes into the next stage's tank."""
        within = [v for v in self.past.track.since(self.start) if instant(v.start) <= instant(left.at)]
        moves = self._made(within)
        before = within[:-1] if len(within) > 1 and left.to is not None else within
        line = Timeline(
            start=self.start, end=left.at, moves=moves[: len(before)], interval=self.spacing.interval.value
        )
        return self._placed([self.past.tank(visit) for visit in before], line, state, over=True)

    def _made(self, visits: list[Visit]) -> tuple[Due, ...]:
        found: list[Due] = []
        for before, visit in pairwise(visits):
            limit = plus_hours(before.start, self.spacing.interval.value)
            found.append(Due(visit.start, limit, done=True))
        return tuple(found)

    def _placed(
        self, tanks: list[Tank], line: Timeline, state: ClockState, *, over: bool = False, stuck: Problem | None = None
    ) -> Placed:
        return Placed(
            stage=self.past.stages[self.index],
            treatment=self.treatment,
            tanks=tuple(tanks),
            line=line,
            clock=state,
            over=over,
            given=sum(move.done for move in line.moves),
            stuck=stuck,
        )

    def going_on(self, state: ClockState) -> Iterator[Placed]:
        """The moves still to be made, to each tank that may be the other one of the pair."""
        visits = list(self.past.track.since(self.start))
        been = [self.past.tank(visit) for visit in visits]
        alone = self._towards(None, state, visits, been)
        coming = [move for move in alone.line.moves if not move.done]
        if len(coming) == 1:  # the last move goes into the next stage's tank
            yield alone
            return
        found = (self._towards(other, state, visits, been) for other in self._others(been))
        free = list(islice((way for way in found if self._is_free(way, been)), MOST_OTHERS))
        if free:
            yield from sorted(free, key=lambda way: instant(way.line.end))
        else:
            yield replace(alone, stuck=alone.stuck or self._no_other(coming[0]))

    def _towards(self, other: Tank | None, state: ClockState, visits: list[Visit], been: list[Tank]) -> Placed:
        """The series going on to and fro between the present tank and the `other` one; without it nobody knows where.
        """
        ready = self._dry_from(other) if other is not None else self.past.now
        coming, problem = self._coming(state, visits[-1], ready)
        moves = (*self._made(visits), *coming)
        line = Timeline(start=self.start, end=moves[-1].at, moves=moves, interval=self.spacing.interval.value)
        turns = [(other, been[-1])[number % 2] for number in range(len(coming) - 1)] if other is not None else []
        return self._placed([*been, *turns], line, state, stuck=problem)

    def _is_free(self, way: Placed, been: list[Tank]) -> bool:
        """True where no other batch has the other tank meanwhile."""
        span = Span.of(self.past.now, way.line.end)
        waters = {tank.water for tank in way.tanks[len(been) :]} - {been[-1].water}
        name = self.past.track.batch.name
        return all(self.past.basis.ledger.clash(water, span, but=name) is None for water in waters)

    def _dry_from(self, tank: Tank) -> dt.datetime:
        """The first moment from now on at which fish may be put into a tank, by what is on record of its drying."""
        events = tank_events(self.past.history, self.past.track, self.stage, tank.name)
        left = [event.at for event in events if event.what == "left"]
        left += [visit.end for visit in self.past.track.visits if visit.tank == tank.name and visit.end is not None]
        last = max(left, key=instant, default=None)
        dry = (event.at for event in events if event.what == "dry")
        dried = [moment for moment in dry if last is None or instant(moment) >= instant(last)]
        if dried:
            return plus_hours(min(dried, key=instant), self.rule.dry.dry)
        return self.past.now if last is None else plus_hours(last, self.rule.dry.dry + self.rule.dry.margin)

    def _no_other(self, due: Due) -> Problem:
        batch = self.past.track.batch
        return Problem(
            code="S501",
            message=f"`{batch.name}` has to be moved by {shown(due.until)}, and no other tank is free and fit for it",
            places=(self.past.room.place(batch.path, key=True),),
            hint="make a bare tank free, clean and dry, and write it down with `use: transfer`",
        )

    def _others(self, been: list[Tank]) -> list[Tank]:
        """The tank the fish were in longest ago first, then any that is fit for the series."""
        used = [tank for tank in dict.fromkeys(been) if tank.water != been[-1].water]
        fit = self.past.basis.ledger.fit_tanks(self.past.stages[self.index].use, self.treatment)
        return [tank for tank in dict.fromkeys([*used, *fit]) if tank.water != been[-1].water]

    def _coming(
        self, state: ClockState, last: Visit, ready: dt.datetime
    ) -> tuple[tuple[Due, ...], Problem | None]:
        """The moves to come by the clock, the first not before its tank is `ready`; limits where nobody is there."""
        past, needed = self.past, len(state.due)
        limit = plus_hours(last.start, self.spacing.interval.value)
        dry_at = past.chance(max(ready, past.now, key=instant))
        overdue = instant(limit) < instant(past.now) or state.started is None or instant(dry_at) > instant(limit)
        first: tuple[Due, ...] = ()
        begun_at, start = state.started or past.now, last.start
        if overdue:
            first, start = (Due(dry_at, limit, note=self._cost(state, last, ready, dry_at)),), dry_at
            again = state.started is None or elapsed_hours(limit, dry_at) > self.rule.grace
            begun_at = dry_at if again else begun_at
            needed = self.rule.moves + 1 if again else needed
            if needed == 1:
                return first, None
        rest = replace(self.spacing, moves=needed - len(first))
        begun = Begun(day_one=past.calendar.local(begun_at).date(), now=past.now, ready=ready)
        series = transfer_times(past.calendar, rest, start, begun)
        if isinstance(series, Problem):
            limits = (past.calendar.local(due.by) for due in state.due[len(first) :])
            return (*first, *(Due(by, by) for by in limits)), series
        return (*first, *series.moves), None

    def _cost(self, state: ClockState, last: Visit, ready: dt.datetime, at: dt.datetime) -> str:
        """What a move costs that is overdue, or can only be made `at` a moment past its limit: words for the sheet."""
        if state.started is None:
            return f"{last.tank} was not dry when they came into it: the series begins again with this move"
        limit = plus_hours(last.start, self.spacing.interval.value)
        late = elapsed_hours(limit, self.past.now)
        if late <= 0:
            why = "no tank is dry by then, and a wet one is worse"
            if instant(ready) <= instant(limit):
                why = "nobody is there once a tank is dry, name a stand-in"
            return f"{why}: {spoken(elapsed_hours(limit, at))} late"
        if late <= self.rule.grace:
            until = shown(plus_hours(limit, self.rule.grace))
            return f"{spoken(late)} late: until {until} it costs one move more, after that the series begins again"
        return f"{spoken(late)} late: the series begins again with this move"
