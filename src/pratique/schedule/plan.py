"""Every batch into tanks that are free and fit, stage by stage, in order of arrival."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from pratique.dosing.product import products_for
from pratique.dosing.ramp import is_guarded, rungs
from pratique.knowledge.model import Regimen, StagePlan, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Batch, Room, Tank
from pratique.room.values import treatment_for
from pratique.schedule import tasks as write
from pratique.schedule.calendar import Calendar
from pratique.schedule.ledger import Ledger
from pratique.schedule.model import BatchPlan, Plan, Release, Stage, Task
from pratique.schedule.propose import FAST_SIGNS, find_regimen, proposals, unsuited
from pratique.schedule.tasks import TaskList, cite
from pratique.schedule.timeline import Timeline, course_times, hold_times, transfer_times, watch_times


def make_plan(room: Room) -> Plan:
    """The plan of the whole room. A batch that cannot be planned keeps its problems and takes no tank."""
    calendar, ledger = Calendar(room), Ledger(room)
    in_order = sorted(room.batches.values(), key=lambda batch: (batch.arrives, batch.name))
    plans = tuple(_plan_batch(room, batch, calendar, ledger) for batch in in_order)
    problems = tuple(problem for plan in plans for problem in plan.problems)
    return Plan(batches=plans, problems=problems)


def _plan_batch(room: Room, batch: Batch, calendar: Calendar, ledger: Ledger) -> BatchPlan:
    chosen = batch.written.regimen
    if chosen is not None:
        candidates = [(find_regimen(room, chosen), (batch.written.because or "chosen in the room file",))]
    else:
        candidates = [(proposal.regimen, proposal.why) for proposal in proposals(room, batch)]
    first: BatchPlan | None = None
    for regimen, why in candidates:
        attempt = _Attempt(room, batch, calendar, ledger, regimen)
        plan = attempt.run(why, "keeper" if chosen is not None else "program")
        if plan.is_whole:
            return plan if first is None else _second_choice(plan, first)
        ledger.release(batch.name)
        first = first or plan
    assert first is not None
    return first


def _second_choice(plan: BatchPlan, first: BatchPlan) -> BatchPlan:
    """A whole plan by a lesser regimen, saying what stood in the way of the better one."""
    reasons = tuple(f"`{first.regimen.id}` would suit better, but: {problem.message}" for problem in first.problems if problem.is_error)
    return replace(plan, why=plan.why + reasons[:2])


@dataclass(slots=True)
class _Placed:
    stage: StagePlan
    treatment: Treatment
    tanks: tuple[Tank, ...]
    line: Timeline


@dataclass(slots=True)
class _Attempt:
    """One regimen tried for one batch: tanks and dates first, then the tasks."""

    room: Room
    batch: Batch
    calendar: Calendar
    ledger: Ledger
    regimen: Regimen
    problems: list[Problem] = field(default_factory=list)
    placed: list[_Placed] = field(default_factory=list)

    def run(self, why: tuple[str, ...], chosen_by: str) -> BatchPlan:
        wrong = unsuited(self.room, self.regimen, self.batch)
        if wrong is not None:
            self.problems.append(wrong)
        elif self._place_all():
            return self._written(why, chosen_by)
        return BatchPlan(batch=self.batch, regimen=self.regimen, chosen_by=chosen_by, why=why, stages=(), tasks=(), release=None,
                         problems=tuple(self.problems), misses=(self.regimen.misses,))

    def _place_all(self) -> bool:
        start = self.batch.arrives
        stages = [stage for stage in self.regimen.stages if self.batch.signs or not stage.only_with_signs]
        for index, stage in enumerate(stages):
            later = stages[index + 1] if index + 1 < len(stages) else None
            found = self._place(stage, start, later)
            if found is None:
                return False
            self.placed.append(found)
            for tank in found.tanks:
                self.ledger.book(tank.water, found.line.start, found.line.end, self.batch.name)
            start = found.line.end
        return True

    def _place(self, stage: StagePlan, start: dt.datetime, later: StagePlan | None) -> _Placed | None:
        treatment = self._treatment(stage)
        if stage.kind == "transfers":
            return self._place_transfers(stage, treatment, start)
        before = self.placed[-1].tanks if self.placed else ()
        stays = self._may_stay(stage, treatment)
        blocked: list[tuple[Tank, dt.datetime]] = []
        refusals: list[Problem] = []
        for tank in self.ledger.tanks(stage.use, treatment.id):
            if tank.water in {t.water for t in before} and not stays:
                continue
            for clean in (True, False) if stage.kind == "hold" and later is not None else (True,):
                line = self._times(stage, treatment, tank, start, clean)
                if isinstance(line, Problem):
                    refusals.append(line)
                    continue
                clash = self._clash(tank.water, line, before)
                if clash is not None:
                    blocked.append((tank, clash))
                    break
                if clean and stage.kind == "hold" and later is not None and not self._clean_tank(later, tank, line.end):
                    continue
                return _Placed(stage, treatment, (tank,), line)
        self.problems.append(refusals[0] if refusals else self._no_tank(stage, treatment, start, blocked))
        return None

    def _clash(self, water: str, line: Timeline, before: tuple[Tank, ...]) -> dt.datetime | None:
        """When the water is free again, if another batch has it; the batch's own stay does not count."""
        entry = self.ledger.clash(water, line.start, line.end)
        if entry is None or (entry[2] == self.batch.name and water in {t.water for t in before}):
            return None
        return self.ledger.free_from(water, line.start, line.end - line.start)

    def _may_stay(self, stage: StagePlan, treatment: Treatment) -> bool:
        """After a hold the batch may be watched on in its tank where no clean one was free (the longer course)."""
        return bool(self.placed) and self.placed[-1].stage.kind in ("hold", "course") and stage.kind == "observation"

    def _clean_tank(self, later: StagePlan, tank: Tank, start: dt.datetime) -> bool:
        treatment = self._treatment(later)
        for other in self.ledger.tanks(later.use, treatment.id):
            if other.water == tank.water:
                continue
            line = self._times(later, treatment, other, start, True)
            if isinstance(line, Timeline) and self.ledger.is_free(other.water, line.start, line.end):
                return True
        return False

    def _times(self, stage: StagePlan, treatment: Treatment, tank: Tank, start: dt.datetime, clean: bool) -> Timeline | Problem:
        temperature = self._temperature(tank)
        if stage.kind == "hold":
            climb = rungs(treatment, treatment.needed("target", temperature).value, guarded=is_guarded(self.batch.animals))
            return hold_times(self.calendar, treatment, climb, start, clean_tank_next=clean, at_once=bool(FAST_SIGNS & set(self.batch.signs)))
        if stage.kind == "course":
            return course_times(self.calendar, treatment, temperature, start)
        return watch_times(self.calendar, treatment, start)

    def _temperature(self, tank: Tank) -> float | None:
        conditions = self.room.waters[tank.water].conditions
        return conditions.temperature.value if conditions.temperature else None

    def _place_transfers(self, stage: StagePlan, treatment: Treatment, start: dt.datetime) -> _Placed | None:
        free: list[Tank] = []
        blocked: list[tuple[Tank, dt.datetime]] = []
        line: Timeline | Problem | None = None
        for tank in self.ledger.tanks(stage.use, treatment.id):
            if tank.water in {t.water for t in free}:
                continue
            line = transfer_times(self.calendar, treatment, self._temperature(tank), start)
            if isinstance(line, Problem):
                self.problems.append(line)
                return None
            clash = self._clash(tank.water, line, ())
            if clash is not None:
                blocked.append((tank, clash))
                continue
            free.append(tank)
            if len(free) == 2:
                return _Placed(stage, treatment, tuple(free), line)
        self.problems.append(self._no_tank(stage, treatment, start, blocked, needs=2))
        return None

    def _treatment(self, stage: StagePlan) -> Treatment:
        """The first of the stage's alternatives that the shelf holds; the first of all where it holds none."""
        names = [self.batch.written.treatment] if self.batch.written.treatment in stage.treatments else list(stage.treatments)
        known = [treatment_for(self.room, str(name)) for name in names]
        return next((t for t in known if t.active and products_for(self.room, t)), known[0])

    def _no_tank(self, stage: StagePlan, treatment: Treatment, start: dt.datetime, blocked: list[tuple[Tank, dt.datetime]], needs: int = 1) -> Problem:
        uses = " or ".join(stage.use)
        wanted = f"{'two free tanks' if needs == 2 else 'a free tank'} for {uses}"
        place = self.room.place(self.batch.path, key=True)
        unfit = [self.ledger.unfit(t, treatment.id) for t in self.room.tanks.values() if t.use in stage.use]
        occupied = self.ledger.occupied(stage.use)
        notes = [text for text in dict.fromkeys(unfit) if text]
        notes += [f"`{tank.name}` has residents" for tank in occupied[:3]]
        hint = f"add one to the room, or choose another regimen; `{self.batch.name}` must not go to the display meanwhile"
        if blocked:
            tank, when = min(blocked, key=lambda entry: entry[1])
            days = max((when - start).days + 1, 1)
            hint = f"`{tank.name}` is free from {when:%a %d %b %Y}: let it arrive about {days} days later, or add a tank"
        return Problem(code="S501", message=f"`{self.batch.name}` needs {wanted} on {start:%a %d %b %Y} ({stage.name}), and there is none",
                       places=(place,), note="; ".join(notes), hint=hint)

    def _written(self, why: tuple[str, ...], chosen_by: str) -> BatchPlan:
        work = TaskList(self.room, self.batch, self.calendar)
        _arrival(work, self.placed[0])
        stages = tuple(self._write_stage(work, index) for index in range(len(self.placed)))
        release = _release(self.room, self.batch, self.placed)
        _leaving(work, self.placed[-1], release)
        self.problems += _own_problems(self.room, self.batch, self.calendar, stages, work.tasks)
        return BatchPlan(
            batch=self.batch, regimen=self.regimen, chosen_by=chosen_by, why=(*why, self.regimen.why), stages=stages,
            tasks=tuple(sorted(work.tasks, key=lambda task: (task.at, task.until))), release=release,
            problems=tuple(dict.fromkeys([*self.problems, *work.problems])), misses=(self.regimen.misses,),
        )

    def _write_stage(self, work: TaskList, index: int) -> Stage:
        placed = self.placed[index]
        stage, treatment, tanks, line = placed.stage, placed.treatment, placed.tanks, placed.line
        following = self.placed[index + 1].tanks[0] if index + 1 < len(self.placed) else None
        if index and self.placed[index - 1].tanks[-1].water != tanks[0].water:
            write.prepare(work, stage.name, tanks[0], line.start, treatment)
        if stage.kind == "transfers":
            write.transfers(work, stage.name, tanks, following or tanks[0], line, treatment, stage.why)
        else:
            if stage.kind == "hold":
                write.hold(work, stage.name, tanks[0], line, treatment)
            elif stage.kind == "course":
                write.course(work, stage.name, tanks[0], line, treatment)
            if following is not None and following.water != tanks[0].water:
                work.add(stage.name, "move", line.end, following.name, f"move every fish from {tanks[0].name} to clean water; drip to match over an hour, none of the old water",
                         reason=f"{stage.name} ends")
                write.strip(work, stage.name, tanks[0], line.end, treatment_for(self.room, "tank-transfer").needed("dry"), None)
        return Stage(
            name=stage.name, kind=stage.kind, treatment=treatment.id, tanks=tuple(t.name for t in _path(placed)), start=line.start, end=line.end,
            clock=_clock(placed), reason=stage.why, sources=_stage_sources(placed, self._temperature(tanks[0])),
            routines=write.routines(work, tanks[0], line, treatment, stage.kind),
        )


def _path(placed: _Placed) -> tuple[Tank, ...]:
    if placed.stage.kind != "transfers":
        return placed.tanks
    return tuple(placed.tanks[index % len(placed.tanks)] for index in range(len(placed.line.moves)))


def _clock(placed: _Placed) -> str:
    line, kind = placed.line, placed.stage.kind
    if kind == "transfers":
        return f"{len(line.moves)} moves, each within {line.interval:g} h of the last"
    if kind == "hold":
        assert line.in_band is not None
        assert line.counted is not None
        return f"{round((line.counted - line.in_band).total_seconds() / 86400)} d from the first reading in band, planned {line.in_band:%a %d %b %H:%M}"
    if kind == "course":
        return f"{len(line.doses)} doses, the later ones timed by the eggs"
    return f"{round((line.end - line.start).total_seconds() / 86400)} d without a sign; a new animal in this water starts it again"


def _stage_sources(placed: _Placed, temperature: float | None) -> tuple[str, ...]:
    names = {"transfers": ("interval", "moves", "minimum"), "hold": ("target", "course"), "course": ("second_dose", "third_dose"), "observation": ("days", "minimum")}
    numbers = [placed.treatment.number(name, temperature) for name in names[placed.stage.kind]]
    return tuple(dict.fromkeys(cite(number) for number in numbers if number is not None))


def _arrival(work: TaskList, first: _Placed) -> None:
    tank, batch = first.tanks[0], work.batch
    write.prepare(work, first.stage.name, tank, batch.arrives, first.treatment)
    heads = f"{batch.head_count} animal{'s' if batch.head_count != 1 else ''}"
    work.add(first.stage.name, "arrive", batch.arrives, tank.name,
             f"{heads} from {batch.written.source}: worst bag first, lights low; measure the bag's pH, salinity and temperature and match the tank to it, down rather than up; no bag water into the tank",
             sources=("COMMON, practice A11 and B33 (C)",), reason="the arrival that was announced")


def _release(room: Room, batch: Batch, placed: list[_Placed]) -> Release:
    displays = [tank.name for tank in room.tanks.values() if tank.use == "display"]
    into = batch.written.into or (displays[0] if displays else "")
    days = round((placed[-1].line.end - placed[-1].line.start).total_seconds() / 86400)
    conditions = [f"no sign for the whole {days} days of the last stage, and no new animal in its water"]
    for entry in placed:
        if entry.stage.kind == "transfers":
            conditions.append(f"every transfer within {entry.line.interval:g} elapsed hours of the one before")
        elif entry.stage.kind == "hold":
            conditions.append(f"every copper reading from the first in band to the last between {entry.treatment.needed('target').low:g} and {entry.treatment.needed('target').high:g} mg/L, low end of its error included")
        elif entry.stage.kind == "course":
            conditions.append(f"{len(entry.line.doses)} doses given, each inside its window")
    conditions.append("eating, and breathing as calmly as the fish in the display")
    return Release(earliest=placed[-1].line.end, into=into, conditions=tuple(conditions))


def _leaving(work: TaskList, last: _Placed, release: Release) -> None:
    where = release.into or "the display"
    work.add(last.stage.name, "release", release.earliest, last.tanks[0].name, f"the earliest day for {where}, if every condition holds: match salinity and temperature, lights low, feed the others first",
             reason="the end of the last stage")


def _own_problems(room: Room, batch: Batch, calendar: Calendar, stages: tuple[Stage, ...], tasks: list[Task]) -> Iterator[Problem]:
    yield from _gear(room, batch, stages)
    for away in room.away:
        end = stages[-1].end
        if away.stand_in or away.start >= end or away.end <= batch.arrives:
            continue
        days = max((min(away.end, end) - max(away.start, batch.arrives)).days, 1)
        yield Problem(code="S504", severity="warning", message=f"nobody looks after `{batch.name}` for {days} days from {away.start:%a %d %b}",
                      places=(room.place(batch.path, key=True),), hint="name a `stand_in` for those days; the daily look and test cannot be moved")
    if calendar.first_from(batch.arrives) != batch.arrives:
        yield Problem(code="S506", severity="warning", message=f"`{batch.name}` arrives on {batch.arrives:%a %d %b %H:%M}, when nobody is there",
                      places=(room.place((*batch.path, "arrives")),), hint="change the arrival, or the hours of the room")


def _gear(room: Room, batch: Batch, stages: tuple[Stage, ...]) -> Iterator[Problem]:
    if not any(stage.kind == "transfers" for stage in stages):
        return
    sets = [name for name, gear in room.written.gear.items() if gear.for_ in ("transfers", "all")]
    if len(sets) < 2:
        yield Problem(code="S509", severity="warning", message=f"transfers need two sets of gear, and {len(sets) or 'none'} is on file",
                      places=(room.place(batch.path, key=True),), source="COMMON, agents 15, in use (C)",
                      hint="write them under `gear:`; one dries while the other is used")
