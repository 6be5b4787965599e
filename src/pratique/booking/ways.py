"""The ways in of one wish: every day, with the dates of the schedule, and the waters each stage could be in.

The rules are those of the plan (`schedule.attempt`), which takes the first free tank; here every choice is kept. Waters
of one temperature that dry alike have the same dates, so they make one pool.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from pratique.booking.case import Leg
from pratique.booking.fit import Fitness
from pratique.booking.plotted import Asked, Plotted, Step, minute
from pratique.booking.wishes import on_day
from pratique.dosing.ramp import is_guarded
from pratique.knowledge.model import StagePlan, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Batch, Tank
from pratique.schedule.calendar import shown
from pratique.schedule.ledger import can_dry
from pratique.schedule.propose import stages_for, velvet_signs
from pratique.schedule.stage_times import Asked as AskedTimes
from pratique.schedule.stage_times import choose_treatment, may_stay, stage_times
from pratique.schedule.suits import cannot_begin
from pratique.schedule.timeline import Timeline

MOST_SPLITS = 40
"""Chains of pools kept for one day: rooms in which every tank has a temperature of its own have more."""

Group = tuple[float | None, bool]
"""What makes waters interchangeable in time: the temperature (degC), and whether they dry."""


@dataclass(frozen=True, slots=True)
class _Chain:
    """Stages placed so far: legs as (pool, start, end), the leg the fish are in, and how the last stage ended."""

    legs: tuple[Leg, ...] = ()
    here: int = -1
    kind: str = ""
    stays_on: bool = False
    moves: int = 0
    steps: tuple[Step, ...] = ()


@dataclass(slots=True)
class Ways:
    """Plots the ways of wishes in one room; dates are worked out once for all wishes that share them."""

    fitness: Fitness
    numbers: dict[str, int]
    _lines: dict[object, Timeline | Problem] = field(default_factory=dict)
    _groups: dict[object, dict[Group, tuple[int, ...]]] = field(default_factory=dict)

    def of_day(self, asked: Asked, day: dt.date) -> list[tuple[Plotted, tuple[Leg, ...], int]] | Problem:
        """Every way on this day with its legs and moves, the fewest moves first; or why there is none."""
        basis = self.fitness.basis
        batch = on_day(asked.batch, day)
        stopped = asked.stopped or cannot_begin(basis.room, batch, basis.calendar) or self._nobody(batch)
        if stopped is not None:
            return stopped
        stages = stages_for(asked.regimen, batch)
        chains, why = [_Chain()], None
        for index, stage in enumerate(stages):
            longer: list[_Chain] = []
            for chain in chains:
                start = chain.steps[-1].line.end if chain.steps else batch.arrives
                for entry in self._extend(asked, batch, stages, index, stage, start, chain):
                    if isinstance(entry, Problem):
                        why = why or entry
                    else:
                        longer.append(entry)
            chains = longer[:MOST_SPLITS]
            if not chains:
                return why or self._no_tank(asked, batch, stage)
        chains.sort(key=lambda chain: (chain.moves, chain.steps[-1].line.end))
        return [
            (Plotted(batch=batch, regimen=asked.regimen, steps=chain.steps), chain.legs, chain.moves)
            for chain in chains
        ]

    def _nobody(self, batch: Batch) -> Problem | None:
        if self.fitness.basis.calendar.window_at(batch.arrives) is not None:
            return None
        return Problem(
            code="S534",
            message=f"nobody is there at {shown(batch.arrives)} to receive `{batch.name}`",
            hint="wish for it at another hour, or widen `hours`",
        )

    def _no_tank(self, asked: Asked, batch: Batch, stage: StagePlan) -> Problem:
        """No tank of the room could ever serve this stage for this wish."""
        basis = self.fitness.basis
        treatment = choose_treatment(basis, batch, stage)
        reasons = []
        for tank in basis.ledger.tanks_of(stage.use):
            reason = basis.ledger.why_unfit(tank, treatment) or self.fitness.why_unfit(
                asked.wish, batch, tank, treatment
            )
            reasons += [reason] if reason else []
        needs = "two tanks" if stage.kind == "transfers" else "a tank"
        return Problem(
            code="S535",
            message=f"no tank can serve `{batch.name}` for {stage.name}: it needs {needs} for {' or '.join(stage.use)}",
            places=(basis.room.place(asked.wish.path, key=True),),
            note="; ".join(list(dict.fromkeys(reasons))[:4]),
            hint=f"add {needs} with `use: {stage.use[0]}`, or choose another regimen",
        )

    def _extend(
        self,
        asked: Asked,
        batch: Batch,
        stages: tuple[StagePlan, ...],
        index: int,
        stage: StagePlan,
        start: dt.datetime,
        chain: _Chain,
    ) -> Iterator[_Chain | Problem]:
        treatment = choose_treatment(self.fitness.basis, batch, stage)
        groups = self._pools(asked, batch, stage, treatment)
        last = index + 1 == len(stages)
        if stage.kind == "transfers":
            yield from self._transfers(batch, stage, treatment, start, chain, groups)
            return
        on = stage.kind == "hold" and not last and stages[index + 1].kind == "observation"
        for stays_on in (False, True) if on else (False,):
            for group, pool in groups.items():
                line = self._times(batch, stage, treatment, start, (group[0],), stays_on)
                if isinstance(line, Problem):
                    yield line
                    continue
                end = minute(line.end) + self._dry(group[1], last)
                if not chain.stays_on:
                    leg = Leg(pool, minute(start), end)
                    yield _grown(chain, stage, treatment, line, stays_on, (*chain.legs, leg), len(chain.legs), 1)
                if chain.here >= 0 and may_stay(chain.kind, chain.stays_on, stage):
                    old = chain.legs[chain.here]
                    both = tuple(water for water in old.pool if water in pool)
                    if both:
                        leg = Leg(both, old.start, max(old.end, end))
                        legs = (*chain.legs[: chain.here], leg, *chain.legs[chain.here + 1 :])
                        yield _grown(chain, stage, treatment, line, stays_on, legs, chain.here, 0)

    def _transfers(
        self,
        batch: Batch,
        stage: StagePlan,
        treatment: Treatment,
        start: dt.datetime,
        chain: _Chain,
        groups: dict[Group, tuple[int, ...]],
    ) -> Iterator[_Chain | Problem]:
        """Two tubs to and fro: each is left for the last time at a move, and is taken from the first day on."""
        for first, pool in groups.items():
            for second, other in groups.items():
                if first == second and len(pool) < 2:
                    continue
                line = self._times(batch, stage, treatment, start, (first[0], second[0]), False)
                if isinstance(line, Problem):
                    yield line
                    continue
                count = len(line.moves)
                lasts = [max((n for n in range(count) if n % 2 == side), default=0) for side in (0, 1)]
                dry = self._dry(True, False)
                legs = [
                    Leg(tubs, minute(start), minute(line.moves[last].at) + dry)
                    for tubs, last in zip((pool, other), lasts, strict=True)
                ]
                if count == 1:
                    legs = legs[:1]
                new = (*chain.legs, *legs)
                path = tuple(len(chain.legs) + number % 2 for number in range(count))
                moved = (1 if chain.steps else 0) + count - 1
                step = Step(stage=stage, treatment=treatment, line=line, legs=path)
                yield _Chain(new, path[-1], "transfers", False, chain.moves + moved, (*chain.steps, step))

    def _dry(self, dries: bool, last: bool) -> int:
        """Minutes a water stays taken after the fish have left it."""
        basis = self.fitness.basis
        if dries or last:
            return int(basis.ledger.between.total_seconds() // 60)
        return round(basis.treatment("fishless-hold").needed("minimum").value * 60)

    def _pools(
        self, asked: Asked, batch: Batch, stage: StagePlan, treatment: Treatment
    ) -> dict[Group, tuple[int, ...]]:
        key = (asked.wish.name, batch.animals, stage.use, treatment.id)
        if key not in self._groups:
            found: dict[Group, list[int]] = {}
            for tank in self.fitness.tanks(asked.wish, batch, stage.use, treatment):
                found.setdefault((self.fitness.basis.temperature(tank), can_dry(tank)), []).append(
                    self.numbers[tank.water]
                )
            self._groups[key] = {group: tuple(waters) for group, waters in found.items()}
        return self._groups[key]

    def tank_in(self, asked: Asked, batch: Batch, step: Step, water: str) -> Tank:
        """The tank of a water that a stage would be in."""
        tanks = self.fitness.tanks(asked.wish, batch, step.stage.use, step.treatment)
        return next(tank for tank in tanks if tank.water == water)

    def _times(
        self,
        batch: Batch,
        stage: StagePlan,
        treatment: Treatment,
        start: dt.datetime,
        temperatures: tuple[float | None, ...],
        stays_on: bool,
    ) -> Timeline | Problem:
        sort = (is_guarded(batch.animals), bool(velvet_signs(batch))) if stage.kind == "hold" else ()
        key = (stage.kind, treatment.id, start, temperatures, stays_on, sort)
        if key not in self._lines:
            asked = AskedTimes(batch, stage, treatment, start, temperatures, stays_on)
            self._lines[key] = stage_times(self.fitness.basis, asked)
        return self._lines[key]


def _grown(
    chain: _Chain,
    stage: StagePlan,
    treatment: Treatment,
    line: Timeline,
    stays_on: bool,
    legs: tuple[Leg, ...],
    here: int,
    moved: int,
) -> _Chain:
    step = Step(stage=stage, treatment=treatment, line=line, legs=(here,))
    moves = chain.moves + (moved if chain.steps else 0)
    return _Chain(legs, here, stage.kind, stays_on, moves, (*chain.steps, step))
