"""Every batch into tanks that are free and fit, stage by stage, in order of arrival."""

from __future__ import annotations

from dataclasses import replace

from pratique.problem import Problem
from pratique.room.resolve import Batch, Room
from pratique.schedule.attempt import Attempt
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import instant
from pratique.schedule.model import BatchPlan, Plan
from pratique.schedule.propose import Proposal, candidates, stages_for
from pratique.schedule.suits import cannot_begin, refused
from pratique.schedule.written import write_plan

NO_TANK = "S501"
"""The one reason to fall back on a lesser regimen. Any other is mended by a line in the file, and is said as it is."""


def make_plan(room: Room) -> Plan:
    """The plan of the whole room. A batch that cannot be planned keeps its problems and takes no tank."""
    basis = Basis(room)
    in_order = sorted(room.batches.values(), key=lambda batch: (instant(batch.arrives), batch.name))
    plans = tuple(_plan_batch(basis, batch) for batch in in_order)
    problems = dict.fromkeys(problem for plan in plans for problem in plan.problems)
    return Plan(batches=plans, problems=tuple(problems))


def _plan_batch(basis: Basis, batch: Batch) -> BatchPlan:
    chosen_by = "program" if batch.written.regimen is None else "keeper"
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
