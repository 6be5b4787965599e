"""A batch that has arrived: its regimen by what was done, its plan pinned to where it is, what to say of it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace

from pratique.clocks.state import ClockState, spoken
from pratique.history.events import Visit
from pratique.history.fold import History
from pratique.logbook.ids import slug
from pratique.problem import Place, Problem
from pratique.room.resolve import Batch
from pratique.schedule.attempt import Attempt
from pratique.schedule.basis import Basis
from pratique.schedule.begun.past import LACKING, Past
from pratique.schedule.calendar import elapsed_hours, instant, plus_hours, shown
from pratique.schedule.feeds import gives, within
from pratique.schedule.model import BatchPlan
from pratique.schedule.occupants import split_apart
from pratique.schedule.placed import Placed
from pratique.schedule.propose import Proposal, candidates, stages_for
from pratique.schedule.put_in import put_in
from pratique.schedule.recorded import medicines_on_record
from pratique.schedule.states import States
from pratique.schedule.suits import LONGEST, refused, senseless
from pratique.schedule.timeline import DOSES
from pratique.schedule.track import Track, track_of
from pratique.schedule.withheld import without_lost_doses
from pratique.schedule.written import write_plan

UNFINISHED_SAID = 24 * 24.0
"""Hours for which a stage that was left before its time is spoken of while the batch goes on (D)."""

RECENT = 24.0
"""Hours for which something wrong with a clock is said again."""


@dataclass(slots=True)
class Follower:
    """One batch that has arrived, from its track to its plan."""

    basis: Basis
    history: History
    batch: Batch
    track: Track
    _reserved: Attempt | None = field(default=None)
    _past: Past | None = field(default=None)

    def reserve(self) -> None:
        """Keeps the waters it is in for it, until its plan takes them."""
        self._reserved = self._attempt(self._proposal())
        self._reserved.reserve()

    def plan(self) -> BatchPlan:
        """The plan: what has begun as it was, what comes as it can be; as far as it goes where no tank is free."""
        if self._reserved is not None:
            self._reserved.undo()
            self._reserved = None
        proposal = self._proposal()
        chosen_by = "program" if self.batch.written.regimen is None else "keeper"
        attempt = self._attempt(proposal)
        placed = refused(self.basis.room, proposal.regimen, self.batch) or attempt.run()
        stuck = None
        if isinstance(placed, Problem):
            place = self.basis.room.place(self.batch.path, key=True)
            stuck, placed = replace(placed, places=placed.places or (place,)), attempt.begun()
            attempt.reserve()
        plan = write_plan(self.basis, self.track.batch, proposal, placed, chosen_by, track=self.track, stuck=stuck)
        remarks = [*self._remarks(placed), *(problem for entry in placed for problem in entry.problems)]
        return replace(plan, problems=tuple(dict.fromkeys([*plan.problems, *remarks])))

    def _attempt(self, proposal: Proposal) -> Attempt:
        stages = stages_for(proposal.regimen, self.batch)
        if self._past is None:
            self._past = Past(basis=self.basis, history=self.history, track=self.track, stages=stages)
        return Attempt(self.basis, self.track.batch, stages, self._past)

    def _proposal(self) -> Proposal:
        """The first regimen offered that fits what was done: the tank it went into, then each medicine as it was given.

        A medicine that none of those left knows changes nothing: what has begun goes on, and S538 says so.
        """
        offered = candidates(self.basis.room, self.batch)
        left = [proposal for proposal in offered if self._begins_here(proposal)] or offered
        for id_ in self._given():
            left = [proposal for proposal in left if id_ in self._treatments(proposal)] or left
        return left[0]

    def _begins_here(self, proposal: Proposal) -> bool:
        stages = stages_for(proposal.regimen, self.batch)
        return bool(stages) and self.basis.room.tanks[self.track.visits[0].tank].use in stages[0].use

    def _treatments(self, proposal: Proposal) -> frozenset[str]:
        return frozenset(id_ for stage in stages_for(proposal.regimen, self.batch) for id_ in stage.treatments)

    def _given(self) -> tuple[str, ...]:
        """The treatments of any regimen that were given to this batch, in the order in which they were begun."""
        room, found = self.basis.room, dict[str, dt.datetime]()
        offered = candidates(room, self.batch)
        ids = {id_ for proposal in offered for stage in proposal.regimen.stages for id_ in stage.treatments}
        for visit in self.track.visits:
            record = self.history.of_water(room.tanks[visit.tank].water)
            additions = [entry for entry in put_in(record) if within(entry.at, (visit.start, visit.end))]
            for treatment in map(self.basis.treatment, sorted(ids - found.keys())):
                given = [entry.at for entry in additions if treatment.active and gives(room, treatment, entry)]
                if given:
                    found[treatment.id] = min(given, key=instant)
        return tuple(sorted(found, key=lambda id_: (instant(found[id_]), id_)))

    def _remarks(self, placed: list[Placed]) -> Iterator[Problem]:
        """What of its past has to be known, each a warning that can be acted on."""
        place = (self.basis.room.place(self.batch.path, key=True),)
        tank = self.basis.room.tanks[self.track.visits[0].tank]
        if placed and tank.use not in placed[0].stage.use:
            yield Problem(
                code="S523", severity="warning", places=place,
                message=f"`{self.batch.name}` went into `{tank.name}`, a tank not meant for {placed[0].stage.name}",
                note="the plan goes on from where it is",
                hint=f"move it into a tank with `use: {placed[0].stage.use[0]}`, or choose another regimen",
            )  # fmt: skip
        yield from self._ended_early(placed, place)
        yield from self._not_of_the_plan(placed, place)
        apart = split_apart(self.history, self.basis.room, self.batch.name)
        if apart and self.track.closed is None:
            where = " and ".join(f"{count} in `{name}`" for name, count in sorted(apart.items()))
            yield Problem(
                code="S526", severity="warning", places=place,
                message=f"`{self.batch.name}` is in two waters: {where}",
                note="the plan follows the greater part of it",
                hint="write the missing move, or give those apart a batch of their own",
            )  # fmt: skip
        for entry in placed:
            if entry.clock is not None and not entry.over:
                yield from self._of_clock(entry.clock, place)

    def _ended_early(self, placed: list[Placed], place: tuple[Place, ...]) -> Iterator[Problem]:
        for entry in placed:
            lacking = _lacking(entry)
            if not entry.over or not lacking or self.track.ended is not None:
                continue
            if elapsed_hours(entry.line.end, self.history.at) > UNFINISHED_SAID and self.track.closed is None:
                continue
            yield Problem(
                code="S525", severity="warning", places=place,
                message=f"`{self.batch.name}` left {entry.stage.name} on {shown(entry.line.end)}, {lacking}",
                note="what that stage is for may still be with it",
                hint="watch it the longer; or begin that stage again, and say so with a `regimen` of your own",
            )  # fmt: skip
        stages = stages_for(self._proposal().regimen, self.batch)
        missing = " and ".join(stage.name for stage in stages[len(placed) :])
        if missing and placed and self.track.gone is not None:
            yield Problem(
                code="S525", severity="warning", places=place,
                message=f"`{self.batch.name}` went into `{self.track.gone.tank}` on {shown(self.track.gone.start)} "
                f"without {missing}",
                note="what was left out is what would have found, or killed, the rest of what it may carry",
                hint="watch all who are in that water, every day; or take it out again, and write the move",
            )  # fmt: skip

    def _not_of_the_plan(self, placed: list[Placed], place: tuple[Place, ...]) -> Iterator[Problem]:
        """A medicine in the water that no stage of the regimen uses: it ends nothing, and begins nothing."""
        if self.track.closed is not None or not placed:
            return
        proposal, tank = self._proposal(), self.basis.room.tanks[self.track.visits[-1].tank]
        for id_ in medicines_on_record(self.basis.room, self.history, tank.water):
            if id_ not in self._treatments(proposal):
                yield Problem(
                    code="S538", severity="warning", places=place,
                    message=f"{id_} was given in `{tank.name}`, and the regimen of `{self.batch.name}`, "
                    f"{proposal.regimen.id}, does not use it",
                    note="what was begun goes on as planned: nothing is ended, shortened or counted by this medicine",
                    hint="where it is to take the place of what was planned, write the `regimen` that uses it into the "
                    "room file; where it was never given, `pratique log withdraw`",
                )  # fmt: skip

    def _of_clock(self, state: ClockState, place: tuple[Place, ...]) -> Iterator[Problem]:
        """What the clock itself calls a problem, while it is fresh."""
        for row in state.problems:
            if row.at is None or not 0 < elapsed_hours(row.at, state.at) <= RECENT:
                continue  # what is late now is S522
            seen = f" ({row.evidence})" if row.evidence else ""
            yield Problem(
                code="S527", severity="warning", places=place,
                message=f"`{self.batch.name}`: {row.what}{seen}, {shown(row.at)}",
                hint="`pratique plan --working` shows how the clock was counted",
            )  # fmt: skip


def _lacking(entry: Placed) -> str:
    """What a stage that is over was short of; empty where it was whole."""
    state = entry.clock
    if entry.counted is not None and entry.counted < DOSES:
        return f"after {entry.counted} of {DOSES} doses that count"
    if state is None or state.is_finished:
        return ""
    if state.kind == "transfers":
        return f"after {state.steps} of {state.steps_needed} moves"
    left = state.remaining or 0.0
    return f"{spoken(left)} before its clock was full" if left > LACKING else ""


def followers_of(basis: Basis, history: History, but: Collection[str] = ()) -> Mapping[str, Follower]:
    """Every batch that has arrived, each with its waters kept for it; those in `but` are left out."""
    found: dict[str, Follower] = {}
    for name, batch in basis.room.batches.items():
        track = track_of(basis.room, history, batch) if name not in but else None
        if track is not None and senseless(basis.room, candidates(basis.room, batch)[0].regimen, batch):
            _keep(basis, track, history.at)
        elif track is not None:
            found[name] = Follower(basis=basis, history=history, batch=batch, track=track)
    for follower in found.values():
        if follower.track.closed is None:
            follower.reserve()
    return found


def _keep(basis: Basis, track: Track, at: dt.datetime) -> None:
    """Keeps the water a batch is in from the others where nothing of its regimen says until when."""
    if track.closed is None:
        water, until = basis.room.tanks[track.visits[-1].tank].water, plus_hours(at, LONGEST)
        basis.ledger.book(water, track.start, until, track.batch.name, dry=basis.ledger.between)


def in_display(batch: Batch, visit: Visit) -> Problem:
    """A batch that went straight into a display: no stage can be done there."""
    return Problem(
        code="S528",
        message=f"`{batch.name}` went straight into `{visit.tank}` on {shown(visit.start)}, where no stage can be done",
        note="what it carries is in that water now, with all who live in it",
        hint="move it out into a bare tank and write the move; watch all who are in that water",
    )


def with_states(basis: Basis, history: History, plan: BatchPlan, track: Track | None) -> BatchPlan:
    """The plan with every task marked by what is on record, and what is late or missing said."""
    states = States(basis.room, history, plan, track)
    tasks = tuple(states.mark(task) for task in plan.tasks)
    plan = without_lost_doses(basis.room, history, replace(plan, tasks=tasks))
    problems = [*plan.problems, *_late(basis, history, plan), *_not_come(basis, history, plan)]
    return replace(plan, problems=tuple(dict.fromkeys(problems)))


LOUD = {"transfer": "move", "dose": "dose", "redose": "dose", "move": "move"}
"""Acts of which it is said loudly that they are late."""

DO_IT_NOW = "do it now and write it down; if it was done, write when: `pratique log done …`"

IN_TIME = "have a bare tank dry before that, and somebody there; name who in `stand_in`"

READ_FIRST = (
    "read the level before anything is added, then add what `pratique dose … --reading …` says, and write both down; "
    "if it was given, write how much and when"
)


def _late(basis: Basis, history: History, plan: BatchPlan) -> Iterator[Problem]:
    held = tuple(f"{slug(plan.batch.name, stage.name, 'redose')}/" for stage in plan.stages if stage.kind == "hold")
    for task in plan.tasks:
        if task.state == "late" and task.act in LOUD and not plan.over and not task.refused:
            is_late, hint = "is late: it was due", READ_FIRST if task.id.startswith(held) else DO_IT_NOW
            if instant(task.until) >= instant(history.at):
                is_late, hint = "will be late: it is due", IN_TIME
            yield Problem(
                code="S522", severity="warning", places=(basis.room.place(plan.batch.path, key=True),),
                message=f"a {LOUD[task.act]} of `{plan.batch.name}` in `{task.tank}` {is_late} by {shown(task.until)}",
                note=task.text.rpartition("; ")[2] if task.act == "transfer" else "",
                hint=hint,
            )  # fmt: skip


def _not_come(basis: Basis, history: History, plan: BatchPlan) -> Iterator[Problem]:
    """An announced arrival that has passed, and no word of it in a log that is kept."""
    if plan.begun or not plan.tasks or instant(plan.batch.arrives) >= instant(history.at):
        return
    since = history.since
    if since is None or instant(since) > instant(plan.batch.arrives):
        return
    yield Problem(
        code="S521", severity="warning", places=(basis.room.place((*plan.batch.path, "arrives")),),
        message=f"`{plan.batch.name}` was to arrive on {shown(plan.batch.arrives)}, and no arrival is in the log",
        note="its plan stands as announced",
        hint=f"write `pratique log arrived {plan.batch.name} in …`, or change `arrives`",
    )  # fmt: skip
