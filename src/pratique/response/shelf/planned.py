"""What each coming task will use: product by its dose, salt by the water to mix, a test by each reading."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from pratique.dosing.kits import best_kit, is_past
from pratique.dosing.product import choose_product, products_for
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.logbook.ids import slug
from pratique.response.shelf.coming import coming_tasks
from pratique.response.shelf.model import Kind, Supply, Use
from pratique.response.shelf.stock import SALT, kit_supply, missing_product, missing_test
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant
from pratique.schedule.model import BatchPlan, Plan, Task
from pratique.water.mixing import salt_for
from pratique.water.state import look_at, stock_of

MEASURES = {"copper": "copper", "ammonia": "ammonia", "nitrite": "nitrite", "pH": "ph"}
"""What a task of testing says, to what a kit measures: those that use reagent up."""

NOT_ON_SHELF, EXPIRED = "D449", "D433"


class Planned:
    """The uses of one plan, and the supplies they need that are not on the shelf."""

    def __init__(self, room: Room, plan: Plan, history: History) -> None:
        self.room, self.history = room, history
        self.uses: list[Use] = []
        self.missing: dict[tuple[str, str], Supply] = {}
        tasks = sorted(coming_tasks(room, plan, history), key=lambda pair: (instant(pair[1].at), pair[1].id))
        self._mixed = {index: entry.volume.value for index, entry in enumerate(room.written.mixed_water)}
        self.until = max((task.at for _, task in tasks), key=instant, default=None)
        for batch, task in tasks:
            self._take(batch, task)

    def _take(self, batch: BatchPlan | None, task: Task) -> None:
        if task.act in ("dose", "redose") and batch is not None:
            self.uses += self._dose(batch, task)
        elif task.act == "prepare-water":
            self.uses += self._salt(task)
        elif task.act == "test":
            self.uses += self._tests(batch, task)

    def _dose(self, batch: BatchPlan, task: Task) -> Iterator[Use]:
        treatment = _treatment(self.room, batch, task)
        if treatment is None or not treatment.active:
            return
        name = _product(self.room, treatment, task)
        if task.refused == EXPIRED and name is not None:
            yield _use("product", name, task, None)
            return
        if task.refused and task.refused != NOT_ON_SHELF:
            return
        if task.refused or name is None:
            yield self._missing(missing_product(treatment), task)
            return
        unit = self.room.written.shelf[name].strength.per
        amount = task.amount.value if task.amount is not None and task.amount.unit == unit else None
        yield _use("product", name, task, amount)

    def _missing(self, supply: Supply, task: Task, amount: float | None = None) -> Use:
        self.missing.setdefault((supply.kind, supply.name), supply)
        return _use(supply.kind, supply.name, task, amount)

    def _salt(self, task: Task) -> Iterator[Use]:
        """The mixed water that matches is used first; the rest takes dry salt, the most of it at its purity."""
        state = look_at(self.room, task.tank) if task.tank in self.room.tanks else None
        if state is None or task.amount is None or state.salinity is None:
            return
        litres = task.amount.value
        for index, stock in enumerate(stock_of(state)):
            if stock.matches(state.salinity):
                taken = min(litres, self._mixed[index])
                self._mixed[index] -= taken
                litres -= taken
        if litres > 0:
            yield _use("salt", SALT, task, salt_for(litres, state.salinity, state.warmth).salt.high)

    def _tests(self, batch: BatchPlan | None, task: Task) -> Iterator[Use]:
        for word in measures_of(task.text):
            name = self._kit(batch, task, MEASURES[word])
            if name is None:
                yield self._missing(missing_test(MEASURES[word]), task, 1.0)
            elif kit_supply(self.history, name) is not None:
                yield _use("test", name, task, 1.0)

    def _kit(self, batch: BatchPlan | None, task: Task, measures: str) -> str | None:
        if measures == "copper":
            treatment = _treatment(self.room, batch, task) if batch is not None else None
            form = treatment.form if treatment is not None else ""
            found = best_kit(self.room, form, at=task.at) if form else None
            if found is not None:
                return found[0]
        kits = self.room.written.kits.items()
        good = [name for name, kit in kits if kit.measures == measures and not is_past(kit, task.at)]
        return good[0] if good else None


def measures_of(text: str) -> tuple[str, ...]:
    """What a task of testing reads, by its own words before the first semicolon or bracket.

    >>> measures_of("ammonia, pH, temperature; a medicine may falsify the ammonia test")
    ('ammonia', 'pH')
    """
    head = re.split(r"[;(]", text)[0]
    return tuple(word for word in MEASURES if re.search(rf"\b{word}\b", head))


def _use(kind: Kind, name: str, task: Task, amount: float | None) -> Use:
    return Use(kind=kind, name=name, at=task.at, amount=amount, tank=task.tank, text=task.text, task=task.id)


def _treatment(room: Room, batch: BatchPlan, task: Task) -> Treatment | None:
    """The treatment of the stage that a task belongs to."""
    for stage in batch.stages:
        if task.id.startswith(slug(batch.batch.name, stage.name) + "/"):
            return treatment_for(room, stage.treatment)
    return None


def _product(room: Room, treatment: Treatment, task: Task) -> str | None:
    """The bottle the task names; else the one the dosing engine takes on that day."""
    named = [name for name in products_for(room, treatment) if name in task.text]
    if named:
        return max(named, key=len)
    return choose_product(room, treatment, None, task.at)[0]


def supplies_of(planned: Planned, there: Iterable[Supply]) -> tuple[Supply, ...]:
    """What is there, then what is not and would be used."""
    return (*there, *planned.missing.values())
