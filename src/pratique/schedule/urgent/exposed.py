"""A batch that came into a display without any quarantine: the water and all who live in it are exposed."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.history.events import Visit
from pratique.schedule.calendar import shown
from pratique.schedule.model import Task
from pratique.schedule.track import only_in_display
from pratique.schedule.urgent.desk import Desk, typed

ACT = "trace"


def exposed_tasks(desk: Desk) -> Iterator[Task]:
    """One task for each such batch, until it is ticked."""
    for plan in desk.plans:
        visit = only_in_display(desk.room, desk.history, plan.batch.name)
        if visit is None:
            continue
        water = desk.room.tanks[visit.tank].water
        answered = desk.is_answered(ACT, water, visit.entry_id)
        if answered is None or desk.is_today(answered):
            yield _task(desk, plan.batch.name, visit)


def _task(desk: Desk, batch: str, visit: Visit) -> Task:
    trace, signs = typed("pratique trace", visit.tank), typed("pratique signs", visit.tank, "…")
    text = (
        f"{batch} went straight into {visit.tank} on {shown(visit.start)}: {trace} says who has been exposed; look at "
        f"all of them twice a day, {signs} on any sign; nothing wet from this water into another; no animal in or out"
    )
    return desk.task(
        ACT, visit.start, visit.tank, visit.entry_id, text, batch=batch,
        reason="what it carries is in that water with all who live there",
    )  # fmt: skip
