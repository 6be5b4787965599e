"""Fish for which no regimen plans: an emergency moved them, their batch has no plan, or the rest of it is elsewhere.

They get what any fish in a tank without a filter needs (practice A7, B39), and the sheet says that nothing more is
planned.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from pratique.figure import Figure
from pratique.history.events import Stay
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem, plural
from pratique.room.resolve import Animal, Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import Calendar, instant, shown
from pratique.schedule.medicine import MIXED_BEFORE
from pratique.schedule.model import Plan, Task
from pratique.schedule.occupants import animals_of
from pratique.schedule.recorded import medicines_on_record, room_as_recorded
from pratique.schedule.routines import FOULS, WATER_TEST, copper_test
from pratique.schedule.tasks import MIX_FOR_CHANGE, NEW_WATER, round_task
from pratique.schedule.urgent.desk import typed
from pratique.water.standing import find_standing, next_change
from pratique.water.state import look_at


@dataclass(frozen=True, slots=True, kw_only=True)
class Refuge:
    """A bare tank with fish that nothing is planned for: since when the first of them is in it."""

    tank: str
    since: dt.datetime
    animals: tuple[Animal, ...]


def refuges(room: Room, history: History) -> Iterator[Refuge]:
    """Every tank that is no display, into which residents were moved."""
    return _by_tank(room, [stay for stay in history.standing if not stay.batch])


def without_plan(room: Room, history: History, plan: Plan) -> Iterator[Refuge]:
    """The same, with batches that no stage was found for, and those of a batch that are apart from the rest of it."""
    found = [stay for stay in history.standing if not stay.batch]
    for batch in plan.batches:
        visits = history.visits.get(batch.batch.name, ())
        if batch.over or not visits:
            continue
        here = room.tanks[visits[-1].tank].water if batch.stages else ""
        own = (stay for stay in history.standing if stay.batch == batch.batch.name)
        found += (stay for stay in own if room.tanks[stay.tank].water != here)
    return _by_tank(room, found)


def _by_tank(room: Room, stays: Iterable[Stay]) -> Iterator[Refuge]:
    stays = [stay for stay in stays if room.tanks[stay.tank].use != "display"]
    for tank in dict.fromkeys(stay.tank for stay in stays):
        here = [stay for stay in stays if stay.tank == tank]
        starts = [stay.start for stay in here if stay.start is not None]
        if starts:
            since = min(starts, key=instant)
            yield Refuge(tank=tank, since=since.astimezone(room.zone), animals=animals_of(room, here))


def refuge_problems(room: Room, history: History) -> Iterator[Problem]:
    """That nothing is planned for them beyond their daily care (S545)."""
    for refuge in refuges(room, history):
        who = plural(sum(animal.count for animal in refuge.animals), "animal")
        yield Problem(
            code="S545",
            severity="warning",
            message=f"{who} moved into `{refuge.tank}` on {shown(refuge.since)} have no plan",
            places=(room.place(room.tanks[refuge.tank].path, key=True),),
            note="the sheet has their looks, tests, changes and food; no medicine, no end and no release",
            hint=f"`pratique signs {shell_word(refuge.tank)} …` says what comes first; for a plan write them "
            "as a batch into the room file, with `regimen`, and log that it arrived",
        )


def refuge_tasks(room: Room, history: History, refuge: Refuge, calendar: Calendar, date: dt.date) -> Iterator[Task]:
    """What is done for the fish in a refuge on one day; on the first evening they are not fed."""
    if date < refuge.since.date():
        return
    for task in _Care(room, history, refuge, calendar, date).tasks():
        if instant(task.at) >= instant(refuge.since):
            yield task
        elif instant(task.until) >= instant(refuge.since):  # the rest of the round in which they came
            yield replace(task, at=refuge.since)


class _Care:
    """One day in one refuge."""

    def __init__(self, room: Room, history: History, refuge: Refuge, calendar: Calendar, date: dt.date) -> None:
        self.refuge, self.calendar, self.date = refuge, calendar, date
        self.room = room_as_recorded(room, history)
        self.water = self.room.water_of(refuge.tank)
        self.medicines = medicines_on_record(room, history, self.water.name)

    def tasks(self) -> Iterator[Task]:
        heads = sum(animal.count for animal in self.refuge.animals if animal.group.is_fish)
        moved = f"moved here {shown(self.refuge.since)}, no course is planned for them"
        look = f"count heads ({heads}); breathing, skin, eating; a dead one out at once; {moved}"
        for number, at in enumerate((self.calendar.morning(self.date), self.calendar.evening(self.date))):
            yield from self._task("look", str(number), look, at, ("HADF11, abstract (V)",))
            yield from self._tests(number, at)
        if self.date > self.refuge.since.date():
            food = "feed a little, note who eats; leftovers out"
            yield from self._task("feed", "0", food, self.calendar.evening(self.date), ())
        if not self.water.conditions.cycled:
            yield from self._change()

    def _tests(self, number: int, at: dt.datetime | None) -> Iterator[Task]:
        if not self.water.conditions.cycled:
            yield from self._task("test", f"ammonia-{number}", WATER_TEST, at, FOULS)
        copper = next((id_ for id_ in self.medicines if store.treatment(id_).form), None)
        if copper is not None:
            text = copper_test(treatment_for(self.room, copper))
            source = "COMMON, practice A2: twice a day at first (C)"
            yield from self._task("test", f"copper-{number}", text, at, (source,))

    def _change(self) -> Iterator[Task]:
        state = look_at(self.room, self.refuge.tank)
        share = next_change(find_standing(state, self.refuge.animals))
        evening, litres = self.calendar.evening(self.date), state.litres.times(share)
        yield from self._task("prepare-water", "0", MIX_FOR_CHANGE, evening, (), amount=litres, reason=MIXED_BEFORE)
        if self.date == self.refuge.since.date():
            return
        part = f"{share * 100:.0f} %"
        text = f"change {part}, {NEW_WATER}; more where a test says so"
        for id_ in self.medicines:
            ask = typed("pratique dose", self.refuge.tank, id_, "--change", part, "--reading", "…")
            text += f"; {ask} says what goes into the new water"
        yield from self._task("change-water", "0", text, self.calendar.morning(self.date), FOULS, amount=litres)

    def _task(
        self,
        act: str,
        which: str,
        text: str,
        at: dt.datetime | None,
        sources: tuple[str, ...],
        *,
        amount: Figure | None = None,
        reason: str = "",
    ) -> Iterator[Task]:
        id_ = (self.water.name, act, which)
        return round_task(self.calendar, at, id_, self.refuge.tank, act, text, sources, amount=amount, reason=reason)
