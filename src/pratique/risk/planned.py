"""A plan with its log as the model sees it: the hours of the moves that were made, the levels that were read."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.clocks.dryness import Dryness, DryRule, TankEvent
from pratique.clocks.levels import stretches
from pratique.clocks.rules import hold_rule
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.logbook.ids import slug
from pratique.problem import Problem
from pratique.risk.course import Course, Hours, Low, Span
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.feeds import cut, hold_readings, level_changes
from pratique.schedule.model import BatchPlan, Stage, Task
from pratique.schedule.track import Track, track_of
from pratique.schedule.tub_events import tank_events

COMING = ("", "due", "late")
INTO = ("arrive", "transfer", "move")
SAME_MOVE = 1.0
"""Hours within which a move on record and a task marked done are one."""


@dataclass(frozen=True, slots=True)
class _Place:
    at: dt.datetime
    tank: str
    past: bool


def course_of(room: Room, history: History | None, plan: BatchPlan, agent: str) -> Course | Problem:
    """The course of a batch, from its arrival to its release; a Problem where a temperature is not known."""
    end = _end(plan)
    if end is None or not plan.stages:
        return _no_plan(plan)
    known = None if history is None or history.is_empty or not plan.begun else history
    track = track_of(room, known, plan.batch) if known is not None else None
    places = [place for place in _places(plan, track) if instant(place.at) < instant(end)]
    if not places:
        return _no_plan(plan)
    return _Reading(room, known, plan, agent, track, places, end).course()


def _end(plan: BatchPlan) -> dt.datetime | None:
    gone = next((task.done_at for task in plan.tasks if task.act == "release" and task.done_at is not None), None)
    return gone or (plan.release.earliest if plan.release is not None else None)


def _no_plan(plan: BatchPlan) -> Problem:
    return Problem(
        code="X763",
        message=f"`{plan.batch.name}` has no plan to its release, so no chance was worked out",
        note=next((problem.message for problem in plan.problems), "" if not plan.over else plan.over),
        hint=f"`pratique plan` says what stands in the way of `{plan.batch.name}`",
    )


def _places(plan: BatchPlan, track: Track | None) -> list[_Place]:
    """Every tank it was and will be in, in order."""
    found = [_Place(visit.start, visit.tank, True) for visit in track.visits] if track is not None else []
    for task in plan.tasks:
        if task.act not in INTO:
            continue
        if task.done_at is not None:
            near = any(abs(elapsed_hours(place.at, task.done_at)) < SAME_MOVE for place in found)
            found += [] if near else [_Place(task.done_at, task.tank, True)]
        elif task.state in COMING:
            found.append(_Place(task.at, task.tank, False))
    return sorted(found, key=lambda place: instant(place.at))


class _Reading:
    """One plan being read."""

    def __init__(
        self, room: Room, history: History | None, plan: BatchPlan, agent: str, track: Track | None,
        places: list[_Place], end: dt.datetime,
    ) -> None:  # fmt: skip
        self.room, self.history, self.plan, self.agent = room, history, plan, agent
        self.track, self.places, self.end = track, places, end
        first = places[0].at.astimezone(room.zone)
        self.midnight = dt.datetime.combine(first.date(), dt.time(0), tzinfo=room.zone)
        self.now = plan.as_of or (history.at if history is not None else None)

    def hour(self, moment: dt.datetime) -> float:
        return elapsed_hours(self.midnight, moment)

    def course(self) -> Course | Problem:
        spans: list[Span] = []
        pools: dict[str, int] = {}
        dryness = self._dryness()
        ends = [*(place.at for place in self.places[1:]), self.end]
        for number, (place, end) in enumerate(zip(self.places, ends, strict=True)):
            if instant(end) <= instant(place.at):
                continue
            warmth = self._warmth(place, end)
            if isinstance(warmth, Problem):
                return warmth
            water = self.room.tanks[place.tank].water
            wet = place.past and dryness is not None and dryness.of(place.tank, instant(place.at)).state == "wet"
            before = self.room.tanks[self.places[number - 1].tank].water if number else ""
            if water not in pools or not (wet or before == water):
                pools[water] = number
            start, kind = self.hour(place.at), self._kind(place.at)
            low, high = warmth
            span = Span(
                start=start, end=self.hour(end), pool=pools[water], low=low, high=high, kind=kind, label=place.tank
            )
            spans.append(span)
        hours = self.room.written.room.hours
        light = hours[0].start.hour + hours[0].start.minute / 60 if hours else 8.0
        return Course(spans=tuple(spans), held=tuple(self._held()), low=tuple(self._low()), light=light)

    def _dryness(self) -> Dryness | None:
        if self.history is None or self.track is None:
            return None
        series = next((stage for stage in self.plan.stages if stage.kind == "transfers"), self.plan.stages[0])
        visits = self.track.visits
        left = [
            TankEvent(at=visit.end, tank=visit.tank, what="left") for visit in visits if visit.end is not None
        ]
        figures = treatment_for(self.room, "tank-transfer")
        rule = DryRule(dry=figures.needed("dry").value, margin=figures.needed("drying_margin").value)
        return Dryness([*tank_events(self.history, self.track, series.name), *left], rule)

    def _kind(self, moment: dt.datetime) -> str:
        return next(
            (s.kind for s in self.plan.stages if instant(s.start) <= instant(moment) < instant(s.end)),
            self.plan.stages[-1].kind,
        )

    def _warmth(self, place: _Place, end: dt.datetime) -> tuple[float, float] | Problem:
        """The ends (degC) of what was read in this water while they were in it, else of what the file says."""
        water = self.room.tanks[place.tank].water
        if self.history is not None:
            record = self.history.of_water(water)
            read = [r.value for r in cut(record.readings, (place.at, end)) if r.what == "temperature"]
            if read:
                return min(read), max(read)
        written = self.room.waters[water].conditions.temperature
        return (written.low, written.high) if written is not None else no_temperature(self.room, place.tank)

    def _stages(self, stage_hit: str) -> Iterator[tuple[Stage, Treatment]]:
        acts = store.life_cycles()[self.agent].acts
        hitting = {id_ for act in acts if act.stage == stage_hit for id_ in act.treatments}
        for stage in self.plan.stages:
            if stage.treatment in hitting and stage.kind == "hold":
                yield stage, treatment_for(self.room, stage.treatment)

    def _held(self) -> Iterator[Hours]:
        for stage, treatment in self._stages("free"):
            yield from self._of_stage(stage, treatment)

    def _low(self) -> Iterator[Low]:
        for stage, treatment in self._stages("cyst"):
            if treatment.kind == "salinity":
                target = treatment.needed("target").high
                for start, end in self._of_stage(stage, treatment):
                    yield Low(start=start, end=end, salinity=target)

    def _of_stage(self, stage: Stage, treatment: Treatment) -> Iterator[Hours]:
        """When the level of a stage is held: as read up to now, as planned from now on. What is unknown is not."""
        rule = hold_rule(treatment)
        start, now = stage.start, self.now
        begun = now is not None and stage.state is not None and instant(stage.start) <= instant(now)
        if begun and now is not None and self.history is not None and self.track is not None and rule is not None:
            visits = [visit for visit in self.track.visits if visit.end is None or instant(visit.end) > instant(start)]
            readings = tuple(hold_readings(self.history, treatment, visits))
            changes = tuple(level_changes(self.history, treatment, tuple(visits)))
            last = "lost"
            until = min(now, stage.end, key=instant)
            for stretch in stretches(readings, changes, rule.band, until):
                last = stretch.standing
                if last == "held" and instant(stretch.end) > instant(start):
                    yield self.hour(max(stretch.start, start, key=instant)), self.hour(stretch.end)
            if instant(stage.end) <= instant(now):
                return
            start = now if last == "held" else self._reached(stage, now)
        else:
            start = self._reached(stage, stage.start)
        end = min(self._cleared(stage), self.end, key=instant)
        if instant(start) < instant(end):
            yield self.hour(start), self.hour(end)

    def _cleared(self, stage: Stage) -> dt.datetime:
        """Until when the level is kept: where the fish stay, until the first change that takes the drug out."""
        change = slug(self.plan.batch.name, stage.name, "change-water")
        changes = [task.done_at or task.at for task in self.plan.tasks if task.id.rsplit("/", 1)[0] == change]
        return min([*changes, stage.end], key=instant)

    def _reached(self, stage: Stage, since: dt.datetime) -> dt.datetime:
        """When the level is reached: at the last dose of the ramp that is still to come."""
        own = (slug(self.plan.batch.name, stage.name, "dose"), slug(self.plan.batch.name, stage.name, "redose"))
        coming = [task.at for task in self.plan.tasks if _is_dose(task, own) and instant(task.at) >= instant(since)]
        return max(coming, key=instant, default=since)


def _is_dose(task: Task, own: tuple[str, str]) -> bool:
    return task.id.rsplit("/", 1)[0] in own and task.state in COMING


def no_temperature(room: Room, tank: str) -> Problem:
    """Every time of a stage hangs on it."""
    return Problem(
        code="X761",
        message=f"the temperature of `{tank}` is not known, and every stage of a parasite hangs on it",
        places=(room.place(("tanks", tank), key=True),),
        hint="measure it and add a line such as `temperature: 25 degC`, or write `pratique log` a reading",
    )
