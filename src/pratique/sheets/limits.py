"""What a stand-in has to know beside each act: the band, the numbers at which to call, what goes only together."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.model import Plan, Task
from pratique.schedule.routines import band_of
from pratique.sheets import words
from pratique.sheets.plainly import in_litres
from pratique.water.ammonia import total_at_limit
from pratique.water.judging import STRICTEST
from pratique.water.state import look_at

NO_NUMBER = "ammonia reads anything above 0"


def band_here(room: Room, treatment: str) -> tuple[str, str, str] | None:
    """The band of a treatment by its id, with the keeper's own values; None where there is no treatment or no band."""
    return band_of(treatment_for(room, treatment)) if treatment else None


def together(room: Room, tasks: Sequence[Task], treatments: Mapping[tuple[str, str], str]) -> list[Task]:
    """The tasks, with a change of water and the dose of its new water as one: neither is done without the other."""
    doses = {(task.batch, task.at): task for task in tasks if task.act == "redose" and task.routine}
    found: list[Task] = []
    for task in tasks:
        dose = doses.get((task.batch, task.at))
        if dose is None or not task.routine or task.act not in ("change-water", "redose"):
            found.append(task)
        elif task.act == "change-water":
            found.append(_with_dose(room, task, dose, treatments.get((task.batch, task.id.split("/")[1]), "")))
    changed = {(task.batch, task.at) for task in tasks if task.act == "change-water" and task.routine}
    return [*found, *(dose for key, dose in doses.items() if key not in changed)]


def _with_dose(room: Room, change: Task, dose: Task, treatment: str) -> Task:
    band = band_here(room, treatment)
    if band is None or dose.amount is None:
        text = f"DO NOT CHANGE without a call: how much goes into the new water is not known; {change.text}"
        return replace(change, text=text)
    low, high, unit = band
    text = (
        f"read copper first; ONLY if it is from {low} to {high} {unit}: stir {words.amount(dose.amount, room)} of "
        f"{dose.product} into the NEW water, then {in_litres(room, change)}. "
        "Else change nothing, give nothing, and call; if the change waits, its dose waits with it"
    )
    return replace(change, text=text)


def when_to_call(room: Room, plan: Plan, dates: Sequence[dt.date]) -> Iterator[str]:
    """The readings at which to call, of what is held and tested on these days."""
    held: dict[str, None] = {}
    tested: dict[str, None] = {}
    for batch in plan.batches:
        for stage in batch.stages:
            days = [date for date in dates if stage.start.date() <= date <= stage.end.date()]
            band = band_here(room, stage.treatment) if stage.kind == "hold" else None
            if days and band is not None and not batch.over:
                held[f"copper in {stage.tank} reads below {band[0]} or above {band[1]} {band[2]}: give nothing"] = None
            if days and not batch.over:
                ammonia = (r for r in stage.routines if r.act == "test" and r.text.startswith("ammonia"))
                tested |= {f"{_ammonia(room, routine.tank)} in {routine.tank}": None for routine in ammonia}
    yield from held
    yield from tested


def _ammonia(room: Room, tank: str) -> str:
    """The total at which it is to be put right, in water of that tank whose pH nobody knows."""
    conditions = look_at(room, tank).conditions
    try:
        wanted = total_at_limit("ammonia_correct", conditions, STRICTEST) if conditions is not None else None
    except ValueError:
        wanted = None
    return NO_NUMBER if wanted is None else f"ammonia reads {_mark(room, wanted.low):.3g} mg/L or more"


def _mark(room: Room, limit: float) -> float:
    """The first mark of an ammonia kit on file whose reading may stand for the limit, half a step up; mg/L.

    A stand-in reads marks, such as 0.25 and 0.5: none shows a limit between two of them. Without a step, the limit.
    """
    kits = room.written.kits.values()
    steps = [kit.resolution.value for kit in kits if kit.measures == "ammonia" and kit.resolution is not None]
    return min((step * max(math.floor(limit / step + 0.5), 1) for step in steps), default=limit)
