"""One regimen tried for one batch: a free and fit tank and the dates for every stage, or the reasons why not."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from pratique.dates import full_day
from pratique.knowledge.model import StagePlan, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Batch, Tank
from pratique.schedule.basis import Basis
from pratique.schedule.begun.past import Past
from pratique.schedule.begun.ways import ways_on
from pratique.schedule.calendar import instant, shown
from pratique.schedule.ledger import Booking, Span, can_dry
from pratique.schedule.placed import Placed
from pratique.schedule.stage_times import Asked, Temperatures, choose_treatment, may_stay, stage_times
from pratique.schedule.timeline import Timeline

MOST_TRIES = 200
"""Tanks tried in all before a regimen is given up for a batch."""

MOST_TUBS = 6
"""Free transfer tanks of which pairs are tried."""


@dataclass(slots=True)
class Search:
    """What is looked for, and what stood in the way."""

    stage: StagePlan
    treatment: Treatment
    start: dt.datetime
    blocked: list[tuple[Tank, Span]] = field(default_factory=list)
    refusals: list[Problem] = field(default_factory=list)


@dataclass(slots=True)
class Attempt:
    """Stages are placed one after the other; where a later one fails, other tanks are tried for the earlier.

    `past`: the batch has arrived, and the stages that have begun are where and when they were.
    """

    basis: Basis
    batch: Batch
    stages: tuple[StagePlan, ...]
    past: Past | None = None
    placed: list[Placed] = field(default_factory=list)
    booked: list[tuple[str, Booking]] = field(default_factory=list)
    _failures: dict[int, Problem] = field(default_factory=dict)
    _lines: dict[tuple[int, dt.datetime, Temperatures, bool], Timeline | Problem] = field(default_factory=dict)
    _dead_ends: set[tuple[int, dt.datetime, str]] = field(default_factory=set)
    _tries: int = 0

    def run(self) -> list[Placed] | Problem:
        """Books what it finds in the ledger; leaves nothing booked where it fails."""
        if self._fill(0, self.batch.arrives):
            return self.placed
        return self._failures[max(self._failures)]

    def begun(self) -> list[Placed]:
        """Only the stages that have begun, each in its likeliest way, whatever becomes of the rest. Books nothing."""
        found: list[Placed] = []
        start = self.batch.arrives
        while self.past is not None and len(found) < len(self.stages) and not self._is_closed(found):
            treatment = choose_treatment(self.basis, self.batch, self.stages[len(found)])
            found.append(ways_on(self.past, len(found), treatment, start)[0])
            start = found[-1].line.end
            if not found[-1].over:
                break
        return found

    def reserve(self) -> None:
        """Takes the waters of the stages that have begun, so that nobody else is planned into them."""
        for index, entry in enumerate(self.begun()):
            self.booked += self._book(index, entry)

    def undo(self, bookings: Sequence[tuple[str, Booking]] | None = None) -> None:
        """Gives back these bookings, or all that were made."""
        for water, booking in tuple(self.booked if bookings is None else bookings):
            self.basis.ledger.unbook(water, booking)
            self.booked.remove((water, booking))

    def _is_closed(self, placed: list[Placed]) -> bool:
        """True where the batch has left quarantine with the last of these stages."""
        closed = self.past.track.closed if self.past is not None else None
        if closed is None or not placed or not placed[-1].over:
            return False
        return instant(placed[-1].line.end) >= instant(closed)

    def _fill(self, index: int, start: dt.datetime) -> bool:
        if index == len(self.stages) or self._is_closed(self.placed):
            return True
        here = self.placed[-1].last_tank.water if self.placed else ""
        if (index, start, here) in self._dead_ends or self._tries > MOST_TRIES + len(self.stages):
            return False
        for option in self._options(index, start):
            self._tries += 1
            bookings = self._book(index, option)
            self.booked += bookings
            self.placed.append(option)
            if self._fill(index + 1, option.line.end):
                return True
            self.placed.pop()
            self.undo(bookings)
        self._dead_ends.add((index, start, here))
        return False

    def _book(self, index: int, option: Placed) -> list[tuple[str, Booking]]:
        """Each water from the first day until it is dry after the fish have left it for the last time."""
        ledger = self.basis.ledger
        left = {option.tank.water: option.line.end}
        for tank, move in zip(option.tanks, option.line.moves, strict=False):
            left[tank.water] = move.at
        dry = ledger.between
        if index + 1 < len(self.stages) and not can_dry(option.tank):
            dry = dt.timedelta(hours=self.basis.treatment("fishless-hold").needed("minimum").value)
        start, name = option.line.start, self.batch.name
        return [(water, ledger.book(water, start, end, name, dry=dry)) for water, end in left.items()]

    def _options(self, index: int, start: dt.datetime) -> Iterator[Placed]:
        """Where and when this stage could be, the best first. What stands in the way is kept if nothing can."""
        stage = self.stages[index]
        search = Search(stage, choose_treatment(self.basis, self.batch, stage), start)
        if self.past is not None and (index == 0 or self.placed[-1].over):
            yield from self._begun_ways(self.past, index, search)
            return
        if stage.kind == "transfers":
            options = self._transfer_pairs(index, search)
        elif self.placed and self.placed[-1].stays_on:
            options = self._in_tanks(index, search, self._here(search), but=self.batch.name)
        else:
            options = self._single_tanks(index, search)
        found = False
        for option in options:
            found = True
            yield option
        if not found:
            self._failures.setdefault(index, self._why_none(search))

    def _begun_ways(self, past: Past, index: int, search: Search) -> Iterator[Placed]:
        for way in ways_on(past, index, search.treatment, search.start):
            if way.stuck is None:
                yield way
            else:
                self._failures.setdefault(index, way.stuck)

    def _single_tanks(self, index: int, search: Search) -> Iterator[Placed]:
        """Another, clean tank first; then the one the fish are in; for copper last a long course without a move."""
        fresh, here = self._fit(search), self._here(search)
        later = self.stages[index + 1] if index + 1 < len(self.stages) else None
        may_stay_on = search.stage.kind == "hold" and later is not None and later.kind == "observation"
        for stays_on in (False, True) if may_stay_on else (False,):
            yield from self._in_tanks(index, search, fresh, stays_on=stays_on)
            yield from self._in_tanks(index, search, here, stays_on=stays_on, but=self.batch.name)

    def _here(self, search: Search) -> tuple[Tank, ...]:
        """The tank the fish are in, where this stage may follow in the same water."""
        before = self.placed[-1] if self.placed else None
        if before is None or before.must_leave or not may_stay(before.stage.kind, before.stays_on, search.stage):
            return ()
        tank = before.last_tank
        return (tank,) if tank in self._fit(search) else ()

    def _fit(self, search: Search) -> tuple[Tank, ...]:
        """Those that can serve the stage; where tanks were booked for it, only these, in the order of the booking."""
        fit = self.basis.ledger.fit_tanks(search.stage.use, search.treatment)
        booked = self.batch.written.booked.get(search.stage.name)
        if booked is None:
            return fit
        return tuple(sorted((tank for tank in fit if tank.name in booked), key=lambda tank: booked.index(tank.name)))

    def _in_tanks(
        self, index: int, search: Search, tanks: tuple[Tank, ...], *, stays_on: bool = False, but: str = ""
    ) -> Iterator[Placed]:
        """Those of `tanks` that are free for as long as the stage lasts at their temperature."""
        spans: dict[float | None, Span] = {}
        for tank in tanks:
            temperature = self.basis.temperature(tank)
            line = self._times(index, search, (temperature,), stays_on=stays_on)
            if isinstance(line, Problem):
                search.refusals.append(line)
                continue
            span = spans.get(temperature) or spans.setdefault(temperature, Span.of(line.start, line.end))
            clash = self.basis.ledger.clash(tank.water, span, but=but)
            if clash is not None:
                if clash.batch != self.batch.name:  # its own medicine is in it however late the batch comes
                    search.blocked.append((tank, span))
                continue
            yield Placed(stage=search.stage, treatment=search.treatment, tanks=(tank,), line=line, stays_on=stays_on)

    def _transfer_pairs(self, index: int, search: Search) -> Iterator[Placed]:
        """Two tanks that are free while the fish are in them; the fish go to and fro between them."""
        free: list[Tank] = []
        for option in self._in_tanks(index, search, self._fit(search)):
            second = option.tanks[0]
            for first in free:
                pair = self._pair(index, search, first, second)
                if pair is not None:
                    yield pair
            free.append(second)
            if len(free) == MOST_TUBS:
                return

    def _pair(self, index: int, search: Search, first: Tank, second: Tank) -> Placed | None:
        temperatures = (self.basis.temperature(first), self.basis.temperature(second))
        line = self._times(index, search, temperatures)
        if isinstance(line, Problem):
            search.refusals.append(line)
            return None
        span = Span.of(line.start, line.end)
        taken = [(tank, span) for tank in (first, second) if self.basis.ledger.clash(tank.water, span) is not None]
        if taken:
            search.blocked += taken
            return None
        path = tuple((first, second)[number % 2] for number in range(len(line.moves)))
        return Placed(stage=search.stage, treatment=search.treatment, tanks=path, line=line)

    def _times(
        self, index: int, search: Search, temperatures: Temperatures, *, stays_on: bool = False
    ) -> Timeline | Problem:
        key = (index, search.start, temperatures, stays_on)
        if key not in self._lines:
            self._lines[key] = self._work_out_times(search, temperatures, stays_on)
        return self._lines[key]

    def _work_out_times(self, search: Search, temperatures: Temperatures, stays_on: bool) -> Timeline | Problem:
        asked = Asked(self.batch, search.stage, search.treatment, search.start, temperatures, stays_on)
        return stage_times(self.basis, asked)

    def _why_none(self, search: Search) -> Problem:
        """One problem for a stage that found no place: its dates, or its tanks."""
        if search.refusals and not search.blocked:
            return search.refusals[0]
        stage, room, ledger = search.stage, self.basis.room, self.basis.ledger
        needs = "two free tanks" if stage.kind == "transfers" else "a free tank"
        tanks = list(ledger.tanks_of(stage.use))
        notes = [reason for tank in tanks if (reason := ledger.why_unfit(tank, search.treatment))]
        before = self.placed[-1] if self.placed else None
        if before is not None and before.last_tank in tanks and not may_stay(before.stage.kind, before.stays_on, stage):
            notes.append("the fish cannot stay in the tank they are in: its medicine would be in the water")
        return Problem(
            code="S501",
            message=f"`{self.batch.name}` needs {needs} for {' or '.join(stage.use)} "
            f"on {shown(search.start)} ({stage.name}), and there is none",
            places=(room.place(self.batch.path, key=True),),
            note="; ".join(list(dict.fromkeys(notes))[:4]),
            hint=self._when_free(search),
        )

    def _when_free(self, search: Search) -> str:
        """When enough tanks come free for a batch that arrives that much later; or that more tanks are needed."""
        needed = 1
        free = sorted((self.basis.ledger.free_from(tank.water, span), tank.name) for tank, span in search.blocked)
        soonest = {name: when for when, name in reversed(free)}
        if search.stage.kind == "transfers":
            needed = 1 if any(tank.name not in soonest for tank in self._fit(search)) else 2
        add = f"add {'a tank' if needed == 1 else 'two tanks'} with `use: {search.stage.use[0]}`"
        if len(soonest) < needed:
            return f"{add}, or choose another regimen"
        name, when = sorted(soonest.items(), key=lambda entry: (entry[1], entry[0]))[needed - 1]
        days = max(-(-(when - instant(search.start)) // dt.timedelta(days=1)), 1)
        local = self.basis.calendar.local(when)
        return f"`{name}` is free from {full_day(local)}: let it arrive {days} d later, or {add}"
