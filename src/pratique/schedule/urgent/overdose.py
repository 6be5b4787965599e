"""A dose on record that by reckoning lies above what its treatment allows: change water, read, and add nothing."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.figure import digits
from pratique.knowledge.model import cite
from pratique.problem import Place, Problem
from pratique.schedule.calendar import instant, shown
from pratique.schedule.model import BatchPlan, Task
from pratique.schedule.reckoned import TooHigh, too_high
from pratique.schedule.recorded import medicines_on_record
from pratique.schedule.urgent.desk import Desk


def overdosed(desk: Desk) -> Iterator[tuple[str, TooHigh]]:
    """Each water with a level that is too high by reckoning."""
    for water, record in desk.history.waters.items():
        if not record.additions and not record.exchanges:
            continue
        for id_ in medicines_on_record(desk.room, desk.history, water):
            found = too_high(desk.history, desk.basis.treatment(id_), water, desk.now)
            if found is not None:
                yield water, found


def overdose_tasks(desk: Desk) -> Iterator[Task]:
    """The change and the reading, where no stage of a batch has them among its own acts."""
    for water, high in overdosed(desk):
        if any(_holds(desk, plan, water, high) for plan in desk.plans):
            continue
        dose, batch = high.last, desk.batch_in(water)
        source = (cite(high.aim.ceiling or high.aim.target),)
        yield desk.task(
            "change-water", dose.at, dose.tank, dose.entry_id, high.to_do, batch=batch, amount=high.litres,
            sources=source, reason="by reckoning the level lies above what is allowed",
        )  # fmt: skip
        yield desk.task(
            "test", dose.at, dose.tank, dose.entry_id, high.to_read, batch=batch, sources=source,
            reason="what was reckoned is not what was read",
        )  # fmt: skip


def overdose_problems(desk: Desk) -> Iterator[tuple[str, Problem]]:
    """For each water with too much in it the batch that is in it (empty: none in quarantine)."""
    for water, high in overdosed(desk):
        batch = desk.batch_in(water)
        yield batch, overdose_problem(high, desk.place(desk.room.waters[water], batch))


def overdose_problem(high: TooHigh, place: Place, code: str = "S532") -> Problem:
    """What the level is now, what brings it down, and what not to do meanwhile."""
    dose = high.last
    times = f", {high.count} times," if high.count > 1 else ""
    what = f"{digits(dose.amount)} {dose.unit} of {dose.product} on {shown(dose.at)}"
    return Problem(
        code=code,
        severity="warning",
        message=f"by reckoning `{dose.tank}` holds {high.aim.says(high.reckoned.level.value)} of {high.active}, "
        f"above {high.allowed}",
        places=(place,),
        note=f"since {what}; deaths can go on after it is put right",
        hint=f"change {digits(high.litres.value)} L{times} with water that holds none, read after each, and add no "
        "other drug; if the entry is wrong, `pratique log correct` sets it right",
    )


def _holds(desk: Desk, plan: BatchPlan, water: str, high: TooHigh) -> bool:
    """True where a batch is held in this medicine in this water."""
    now = instant(desk.now)
    return any(
        stage.kind == "hold"
        and stage.treatment == high.aim.treatment.id
        and plan.begun
        and not stage.over
        and desk.room.tanks[stage.tank].water == water
        and instant(stage.start) <= now
        for stage in plan.stages
    )
