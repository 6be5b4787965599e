"""Every batch into tanks that are free and fit, stage by stage, in order of arrival."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from pratique.history.events import Visit
from pratique.history.fold import History
from pratique.problem import Problem
from pratique.room.resolve import Batch, Room
from pratique.schedule.attempt import Attempt
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.follow import Follower, followers_of, in_display, with_states
from pratique.schedule.model import BatchPlan, Plan
from pratique.schedule.occupants import display_visit
from pratique.schedule.one_medicine import with_one_medicine
from pratique.schedule.propose import Proposal, candidates, stages_for
from pratique.schedule.suits import cannot_begin, refused
from pratique.schedule.track import Track, has_moving_marks, marked_visit, only_in_display, track_of
from pratique.schedule.urgent.gather import with_urgent
from pratique.schedule.written import write_plan

MOST_MARKED = 40
"""Acts of moving of one batch that may be known only from tasks marked done."""

LONG_CLOSED = 120
"""Days: longer than any water lies fallow after a batch."""

NO_TANK = "S501"
"""The one reason to fall back on a lesser regimen. Any other is mended by a line in the file, and is said as it is."""


def make_plan(
    room: Room, history: History | None = None, *, but: Collection[str] = (), basis: Basis | None = None
) -> Plan:
    """The plan of the whole room, as what happened leaves it. With nothing on record it is the plan of the room file.

    A batch that cannot be planned keeps its problems and takes no tank. `but`: batches that are left out, such as
    those `closed_long_ago`, which take no tank from the others.
    """
    basis = basis or Basis(room, history)
    followers = {} if basis.history is None else followers_of(basis, basis.history, but)
    came = {name: follower.track.start for name, follower in followers.items()}
    wanted = [batch for name, batch in room.batches.items() if name not in but]
    in_order = sorted(wanted, key=lambda batch: (instant(came.get(batch.name, batch.arrives)), batch.name))
    found = [_plan_one(basis, batch, followers.get(batch.name)) for batch in in_order]
    plans = tuple(plan for plan, _ in found)
    history = basis.history
    if history is not None:
        tracks = [track for _, track in found]
        plans = with_one_medicine(room, history, plans)
        states = zip(plans, tracks, strict=True)
        return with_urgent(basis, history, tuple(with_states(basis, history, *one) for one in states))
    problems = dict.fromkeys(problem for plan in plans for problem in plan.problems)
    return Plan(batches=plans, problems=tuple(problems))


def present_plan(room: Room, history: History, *, keep: str = "") -> Plan:
    """The plan without batches `closed_long_ago`: enough to tell what is in a water now, and what is to come.

    The batch `keep` stays in it, however long ago it closed.
    """
    return make_plan(room, history, but=closed_long_ago(room, history) - {keep})


def closed_long_ago(room: Room, history: History) -> frozenset[str]:
    """Batches that left quarantine so long ago that no tank still dries, or lies fallow, because of them."""
    found = []
    for name, visits in history.visits.items():
        gone = display_visit(visits, room)
        end = gone.start if gone is not None else visits[-1].end if visits else None
        if end is not None and elapsed_hours(end, history.at) > 24.0 * LONG_CLOSED:
            found.append(name)
    return frozenset(found)


def _plan_one(basis: Basis, batch: Batch, follower: Follower | None) -> tuple[BatchPlan, Track | None]:
    """One batch, and its track where it has arrived: followed from there on, else planned ahead."""
    history = basis.history
    if history is None:
        return _plan_batch(basis, batch), None
    straight = only_in_display(basis.room, history, batch.name)
    if straight is not None:
        proposal = candidates(basis.room, batch)[0]
        return _without_plan(basis, batch, proposal, _chosen_by(batch), in_display(batch, straight)), None
    if has_moving_marks(history, batch):
        follower = _with_marks(basis, history, batch, follower)
    return (_plan_batch(basis, batch), None) if follower is None else (follower.plan(), follower.track)


def _with_marks(basis: Basis, history: History, batch: Batch, follower: Follower | None) -> Follower | None:
    """The batch followed through acts of moving that are only marked done: each goes where the plan sent it."""
    marked: tuple[Visit, ...] = ()
    for _ in range(MOST_MARKED):
        before = basis.ledger.copy()
        plan = follower.plan() if follower is not None else _plan_batch(basis, batch)
        basis.ledger.restore(before)
        visit = marked_visit(history, plan.tasks, follower.track if follower is not None else None)
        track = track_of(basis.room, history, batch, (*marked, visit)) if visit is not None else None
        if track is None or visit is None:
            break
        marked = (*marked, visit)
        follower = Follower(basis=basis, history=history, batch=batch, track=track)
    return follower


def _chosen_by(batch: Batch) -> str:
    return "program" if batch.written.regimen is None else "keeper"


def _plan_batch(basis: Basis, batch: Batch) -> BatchPlan:
    chosen_by = _chosen_by(batch)
    offered = candidates(basis.room, batch)
    stopped = cannot_begin(basis.room, batch, basis.calendar)
    if stopped is not None:
        return _without_plan(basis, batch, offered[0], chosen_by, stopped)
    failed: list[tuple[Proposal, Problem]] = []
    for proposal in offered:
        problem = refused(basis.room, proposal.regimen, batch)
        placed = problem or Attempt(basis, batch, stages_for(proposal.regimen, batch)).run()
        if not isinstance(placed, Problem):
            plan = write_plan(basis, batch, proposal, placed, chosen_by)
            return _second_choice(basis, plan, failed) if failed else plan
        if placed.code != NO_TANK:
            return _without_plan(basis, batch, proposal, chosen_by, placed)
        failed.append((proposal, placed))
    proposal, problem = failed[0]
    problem = replace(problem, note=_not_meanwhile(batch, problem.note))
    return _without_plan(basis, batch, proposal, chosen_by, problem)


def _not_meanwhile(batch: Batch, note: str) -> str:
    warning = f"until there is, `{batch.name}` must not come: a fish with nowhere to go ends in the display"
    return "; ".join(part for part in (note, warning) if part)


def _without_plan(basis: Basis, batch: Batch, proposal: Proposal, chosen_by: str, problem: Problem) -> BatchPlan:
    places = problem.places or (basis.room.place(batch.path, key=True),)
    return BatchPlan(
        batch=batch,
        regimen=proposal.regimen,
        chosen_by=chosen_by,
        why=proposal.why,
        stages=(),
        tasks=(),
        release=None,
        problems=(replace(problem, places=places),),
        misses=(proposal.regimen.misses,),
    )


def _second_choice(basis: Basis, plan: BatchPlan, failed: list[tuple[Proposal, Problem]]) -> BatchPlan:
    """A whole plan by a lesser regimen, saying what stood in the way of each better one."""
    why = tuple(
        f"`{proposal.regimen.id}` would suit better, but {problem.message}: {problem.hint}"
        for proposal, problem in failed
    )
    plan = replace(plan, why=plan.why + why)
    if any(stage.kind != "observation" for stage in plan.stages):
        return plan
    only_watched = Problem(
        code="S515",
        severity="warning",
        message=f"`{plan.batch.name}` is only watched, though its source is {plan.batch.written.trust}",
        places=(basis.room.place(plan.batch.path, key=True),),
        note=failed[0][1].message,
        hint=failed[0][1].hint,
    )
    return replace(plan, problems=(only_watched, *plan.problems))
