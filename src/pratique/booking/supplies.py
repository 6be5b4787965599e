"""The limits of a room: gear that dries, minutes of work, mixed water, medicine on the shelf; and what each way takes.

What the plan so far takes comes first; a booking gets what it leaves. A limit of which the room file says nothing is
not held against a booking, and the answer says so.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from pratique.booking.case import Daily, Leg, Limit, Sets, Shelf, Store, Use
from pratique.booking.plotted import Plotted, Step, minute
from pratique.dosing.product import active_of
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.room.resolve import Tank
from pratique.schedule.basis import Basis
from pratique.schedule.model import Plan, Routine, Task

WORK_OF = {
    "look": "look", "feed": "feed", "test": "test", "signs": "look",
    "change-water": "change", "dose": "dose", "redose": "dose",
    "transfer": "transfer", "move": "move", "arrive": "move", "release": "move", "set-up": "set-up",
}  # fmt: skip
"""Act of the plan to the figure of its minutes; acts that are not here take none of note."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Supplies:
    """The limits that hold, their numbers by name, and which are not known."""

    limits: tuple[Limit, ...]
    number: Mapping[str, int]
    unknown: tuple[str, ...]


def supplies(basis: Basis, plan: Plan, history: History | None, at: dt.datetime) -> Supplies:
    """Every limit of the room, less what the plan so far takes."""
    found: dict[str, Limit] = {}
    unknown: list[str] = []
    for name, limit in (
        ("gear", _gear(basis, plan)),
        ("work", _work(basis, plan)),
        ("mixed water", _water(basis, plan, at)),
    ):
        if limit is None:
            unknown.append(name)
        else:
            found[name] = limit
    for active in ("copper", "praziquantel"):
        shelf = _shelf(basis, plan, history, active)
        if shelf is None:
            unknown.append(active)
        else:
            found[active] = shelf
    return Supplies(
        limits=tuple(found.values()), number={name: n for n, name in enumerate(found)}, unknown=tuple(unknown)
    )


def _gear(basis: Basis, plan: Plan) -> Sets | None:
    if not basis.gear:
        return None
    moves = [minute(task.at) for task in _tasks(plan) if task.act == "transfer"]
    dry = basis.treatment("tank-transfer").needed("dry").value
    return Sets(name="gear", most=len(basis.gear), lasting=round(dry * 60), base=tuple(sorted(moves)))


def _work(basis: Basis, plan: Plan) -> Daily | None:
    allowed = basis.room.written.room.work
    if allowed is None:
        return None
    base: Counter[int] = Counter()
    for task in _tasks(plan):
        base[task.at.toordinal()] += minutes(WORK_OF.get(task.act, ""))
    for routine in _routines(plan):
        for day in _days_of(routine):
            base[day] += minutes(WORK_OF.get(routine.act, ""))
    return Daily(name="work", most=int(allowed.value * 60), base=dict(base))


def _water(basis: Basis, plan: Plan, at: dt.datetime) -> Store | None:
    """What the plan mixes for a tank or a change is taken on the day it is for."""
    making = basis.room.written.water_making
    if making.per_day is None:
        return None
    per_day = int(making.per_day.value * 1000)
    holds = int(making.containers.value * 1000) if making.containers is not None else per_day
    stock = int(sum(entry.volume.value for entry in basis.room.written.mixed_water) * 1000)
    base: Counter[int] = Counter()
    for task in _tasks(plan):
        if task.act == "prepare-water" and task.amount is not None:
            base[task.until.toordinal()] += int(task.amount.value * 1000)
    for routine in _routines(plan):
        if routine.act == "change-water" and routine.amount is not None:
            for day in _days_of(routine):
                base[day] += int(routine.amount.value * 1000)
    today = at.toordinal()
    ahead = {day: amount for day, amount in base.items() if day >= today}
    return Store(name="mixed water", holds=holds, per_day=per_day, first=today, stock=min(stock, holds), base=ahead)


def _shelf(basis: Basis, plan: Plan, history: History | None, active: str) -> Shelf | None:
    """Amounts in µg. None where a bottle does not say what is left: then nothing can run short."""
    bottles: list[tuple[int | None, int]] = []
    per_unit: dict[str, float] = {}
    for name, product in basis.room.written.shelf.items():
        if product.active != active:
            continue
        kept = history.bottles[name].left if history is not None else None
        left = kept if kept is not None else product.left.value if product.left is not None else None
        if left is None:
            return None
        per_unit[name] = active_of(basis.room, name).per_unit
        last = product.expires.date.toordinal() if product.expires is not None else None
        bottles.append((last, int(left * per_unit[name] * 1000)))
    base: Counter[int] = Counter()
    strongest = max(per_unit.values(), default=0.0)
    for task in _tasks(plan):
        treatment = store.treatment(_treatment_of(plan, task)) if _treatment_of(plan, task) else None
        if task.act not in ("dose", "redose") or task.amount is None or treatment is None:
            continue
        if treatment.active == active and task.amount.unit in ("mL", "g"):
            base[task.at.toordinal()] += int(task.amount.value * strongest * 1000)
    return Shelf(name=active, bottles=tuple(bottles), base=dict(base))


def _treatment_of(plan: Plan, task: Task) -> str:
    for batch in plan.batches:
        if batch.batch.name == task.batch:
            for stage in batch.stages:
                if stage.start <= task.at <= stage.end and task.tank in stage.tanks:
                    return stage.treatment
    return ""


def _tasks(plan: Plan) -> Iterator[Task]:
    """What still has to be done of the plan so far."""
    for batch in plan.batches:
        for task in batch.tasks:
            if task.state not in ("done", "skipped", "missed", "off"):
                yield task


def _routines(plan: Plan) -> Iterator[Routine]:
    """What comes again every so many days of the plan so far."""
    return (routine for batch in plan.batches for stage in batch.stages for routine in stage.routines)


def _days_of(routine: Routine) -> range:
    """Its days, as ordinals."""
    return range(routine.start.toordinal(), routine.end.toordinal() + 1, routine.every)


def minutes(what: str) -> int:
    """Minutes of one act; 0 where it has no figure."""
    number = store.work().number(what) if what else None
    return round(number.value * 60) if number is not None else 0


def uses_of(
    basis: Basis, held: Supplies, plotted: Plotted, legs: tuple[Leg, ...], tanks: Mapping[int, Tank]
) -> tuple[Use, ...]:
    """All that one way takes of the limits. `tanks`: number of a water to a tank in it."""
    found: list[Use] = []
    for place, step in enumerate(plotted.steps):
        joined = place > 0 and plotted.steps[place - 1].legs[-1] == step.legs[0]
        standing = all(basis.room.waters[tanks[w].water].conditions.cycled for w in legs[step.legs[0]].pool)
        if "gear" in held.number and step.stage.kind == "transfers":
            found += [Use(held.number["gear"], minute(due.at), 1) for due in step.line.moves]
        if "work" in held.number:
            days = _work_of(step, standing, joined, basis)
            found += [Use(held.number["work"], day, amount) for day, amount in sorted(days.items())]
        if "mixed water" in held.number:
            number = held.number["mixed water"]
            found += [Use(number, day, share, leg) for day, share, leg in _water_of(step, standing, joined, basis)]
        if step.treatment.active in held.number:
            number = held.number[step.treatment.active]
            found += [Use(number, day, amount, step.legs[0]) for day, amount in _medicine_of(step, standing, basis)]
    return _summed(found)


def _summed(uses: Iterable[Use]) -> tuple[Use, ...]:
    totals: Counter[tuple[int, int, int]] = Counter()
    for use in uses:
        totals[(use.limit, use.at, use.leg)] += use.amount
    return tuple(Use(limit, at, amount, leg) for (limit, at, leg), amount in sorted(totals.items()))


def _changes(step: Step) -> tuple[float, list[int]]:
    """The share of water of a change, and the days of changes, by the plan's placeholder habit."""
    share = store.routine().needed("change_share").value / 100
    every = max(round(store.routine().needed("change_every").value / 24), 1)
    first, last = step.line.start.toordinal(), step.line.end.toordinal()
    return share, list(range(first + every, last, every))


def _work_of(step: Step, standing: bool, joined: bool, basis: Basis) -> Counter[int]:
    days: Counter[int] = Counter()
    line, kind = step.line, step.stage.kind
    daily = minutes("look") + minutes("feed") + (minutes("test") if kind != "observation" or not standing else 0)
    for day in range(line.start.toordinal(), line.end.toordinal()):
        days[day] += daily
    if not joined:
        days[line.start.toordinal()] += minutes("move")
        days[line.start.toordinal() - 1] += 0 if standing else minutes("set-up")
    for due in line.moves[:-1]:
        days[due.at.toordinal()] += minutes("transfer")
    for due in line.doses:
        days[due.at.toordinal()] += minutes("dose")
    for due in line.changes:
        days[due.at.toordinal()] += minutes("change")
    if kind != "transfers" and not standing:
        for day in _changes(step)[1]:
            days[day] += minutes("change")
    return days


def _water_of(step: Step, standing: bool, joined: bool, basis: Basis) -> Iterator[tuple[int, int, int]]:
    """Day, thousandths of the water's volume, and the leg whose water it is."""
    line = step.line
    if step.stage.kind == "transfers":
        yield line.start.toordinal(), 1000, step.legs[0]
        for number, due in enumerate(line.moves[:-1]):
            yield due.at.toordinal(), 1000, step.legs[(number + 1) % len(step.legs)]
        return
    if not joined and not standing:
        yield line.start.toordinal(), 1000, step.legs[0]
    if not standing:
        share, days = _changes(step)
        for day in days:
            yield day, round(1000 * share), step.legs[0]
    if line.changes:
        share = basis.copper_out(step.treatment)[1]
        for due in line.changes:
            yield due.at.toordinal(), round(1000 * share), step.legs[0]


def _medicine_of(step: Step, standing: bool, basis: Basis) -> Iterator[tuple[int, int]]:
    """Day and µg for each litre: the doses, and what changes of water take out with them."""
    line, treatment = step.line, step.treatment
    if not line.doses:
        return
    target = treatment.needed("target")
    levels = list(line.levels) or [target.value] * len(line.doses)
    before = 0.0
    for due, level in zip(line.doses, levels, strict=True):
        yield due.at.toordinal(), round(1000 * (level - before if line.levels else level))
        before = level
    if line.levels and not standing:
        share, days = _changes(step)
        last = line.counted.toordinal() if line.counted is not None else line.end.toordinal()
        for day in days:
            if line.doses[-1].at.toordinal() <= day < last:
                yield day, round(1000 * levels[-1] * share)


