"""A keeper who does what the plan says, on time or late, and writes it down: histories from arrival to release."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any

from pratique.history.fold import fold
from pratique.logbook.amount import read_quantity
from pratique.logbook.book import Log, build_log
from pratique.logbook.entry import KINDS, Common
from pratique.logbook.ids import Ids
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant
from pratique.schedule.model import BatchPlan, Plan, Stage, Task
from pratique.schedule.plan import make_plan

WRITTEN = ("arrive", "transfer", "dose", "redose", "move", "release", "dry", "test", "change-water")
MOST_ACTS = 260


@dataclass
class Keeper:
    """`late` gives the hours by which an act is late; `forgets` says that one is never done."""

    room: Room
    name: str
    late: Callable[[Task], float] = lambda task: 0.0
    forgets: Callable[[Task], bool] = lambda task: False
    entries: list[Common] = field(default_factory=list)
    now: dt.datetime | None = None
    _ids: Ids = field(default_factory=Ids)
    _forgotten: set[str] = field(default_factory=set)

    def log(self) -> Log:
        return build_log(self.entries)[0]

    def plan(self, at: dt.datetime) -> Plan:
        return make_plan(self.room, fold(self.room, self.log(), at))

    def mine(self, at: dt.datetime) -> BatchPlan:
        return next(plan for plan in self.plan(at).batches if plan.batch.name == self.name)

    def work(self) -> Iterator[BatchPlan]:
        """Act after act, each with the plan as it stood before it; ends when the batch has left quarantine."""
        self.now = self.room.batches[self.name].arrives - dt.timedelta(hours=1)
        for _ in range(MOST_ACTS):
            plan = self.mine(self.now)
            yield plan
            task = self._next(plan)
            if plan.over or not plan.stages or task is None:
                return
            hours = 0.0 if task.act == "arrive" else self.late(task)
            due = instant(task.at) + dt.timedelta(hours=hours)
            moment = max(due, instant(self.now) + dt.timedelta(minutes=1))
            self._read_copper(plan, moment)
            self.now = moment.astimezone(self.room.zone)
            if self.forgets(task) and task.act != "arrive":
                self._forgotten.add(task.id)
                continue
            self._do(plan, task)

    def _next(self, plan: BatchPlan) -> Task | None:
        open_ = [t for t in plan.tasks if t.act in WRITTEN and t.state not in ("done", "skipped", "missed")]
        open_ = [t for t in open_ if t.id not in self._forgotten and (t.act != "test" or t.text.startswith("copper"))]
        return min(open_, key=lambda task: (instant(task.at), WRITTEN.index(task.act)), default=None)

    def _read_copper(self, plan: BatchPlan, until: dt.datetime) -> None:
        """A reading on every day on which the plan holds copper, up to a moment."""
        assert self.now is not None
        for stage in plan.stages:
            if stage.kind != "hold" or stage.state is None or stage.state.first_started is None:
                continue
            moment = instant(self.now) + dt.timedelta(hours=24)
            while moment < until and moment < instant(stage.end):
                self._write("reading", moment, tank=stage.tank, **self._level(stage))
                moment += dt.timedelta(hours=24)

    def _level(self, stage: Stage) -> dict[str, Any]:
        target = treatment_for(self.room, stage.treatment).needed("target").value
        return {"what": "copper", "value": read_quantity(f"{target:g} mg/L", "copper"), "kit": "copper meter"}

    def _do(self, plan: BatchPlan, task: Task) -> None:
        assert self.now is not None
        stage = next(stage for stage in plan.stages if f"/{stage.name.replace(' ', '-')}/" in task.id)
        match task.act:
            case "arrive":
                self._write("arrival", self.now, batch=self.name, tank=task.tank)
            case "transfer" | "move":
                self._write("move", self.now, batch=self.name, to=task.tank)
            case "release":
                into = plan.release.into if plan.release is not None else ""
                self._write("move", self.now, batch=self.name, to=into)
            case "dose" | "redose":
                unit = "mL" if stage.kind == "hold" else "g"
                product = "copper bottle" if stage.kind == "hold" else "fluke powder"
                figure = task.amount.value if task.amount is not None else 0.1
                amount = read_quantity(f"{figure:.3f} {unit}", "amount")
                self._write("dose", self.now, tank=task.tank, treatment=stage.treatment, product=product, amount=amount)
            case "dry":
                self._write("dried", self.now, tank=task.tank)
            case "change-water":
                self._write("change", self.now, tank=task.tank, volume=read_quantity("50 %", "share"))
            case "test" if "zero" in task.text:
                zero = read_quantity("0 mg/L", "copper")
                self._write("reading", self.now, tank=task.tank, what="copper", value=zero, kit="copper meter")
            case _:
                self._write("reading", self.now, tank=task.tank, **self._level(stage))

    def _write(self, kind: str, at: dt.datetime, **fields: Any) -> None:
        common = {"id": self._ids.new(at), "at": at, "written": at}
        self.entries.append(KINDS[kind].model_validate({**common, **fields}))


def to_the_end(keeper: Keeper) -> BatchPlan:
    """The last plan of a keeper's work."""
    plan = None
    for plan in keeper.work():  # noqa: B007
        pass
    assert plan is not None
    return plan
