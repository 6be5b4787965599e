"""Who was where: by the log, then by tasks of moving that are only ticked; without a log, by the plan."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from pratique.history.events import Passage, Stay
from pratique.history.fold import MOVING_ACTS, History
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant
from pratique.schedule.model import BatchPlan, Plan, Task
from pratique.schedule.track import NEAR


@dataclass(frozen=True, slots=True, kw_only=True)
class Whereabouts:
    """`passages` and `stays` as in a history, with what is only ticked or planned among them.

    `visits`: batch to the moments (s) at which the greater part of it came into a tank, in order.
    """

    passages: tuple[Passage, ...]
    stays: tuple[Stay, ...]
    visits: Mapping[str, tuple[tuple[float, str], ...]]

    def standing(self, room: Room, water: str) -> tuple[Stay, ...]:
        """Who is in a water at the end."""
        return tuple(stay for stay in self.stays if stay.end is None and room.tanks[stay.tank].water == water)


def whereabouts(history: History, plan: Plan) -> Whereabouts:
    """Everybody's, up to the moment of the history."""
    passages, stays = list(history.passages), list(history.stays)
    for batch in plan.batches:
        for task in _moves(history, batch):
            stays = _with_move(history, batch, task, passages, stays)
    passages.sort(key=lambda passage: passage.at.timestamp())
    return Whereabouts(passages=tuple(passages), stays=tuple(stays), visits=_visits(history, passages))


def _moves(history: History, plan: BatchPlan) -> Iterator[Task]:
    """Acts of moving that are ticked and not on record otherwise; all that are planned where nothing is on record."""
    now = instant(history.at)
    known = history.passages_of.get(plan.batch.name, ())
    for task in sorted(plan.tasks, key=lambda task: instant(task.done_at or task.at)):
        at = task.done_at or task.at
        if task.act not in MOVING_ACTS or instant(at) > now:
            continue
        if history.is_empty or (task.state == "done" and not any(_is_same(task, passage) for passage in known)):
            yield replace(task, at=at)


def _is_same(task: Task, passage: Passage) -> bool:
    return passage.to == task.tank and abs(instant(passage.at) - instant(task.done_at or task.at)) <= NEAR


def _with_move(
    history: History, plan: BatchPlan, task: Task, passages: list[Passage], stays: list[Stay]
) -> list[Stay]:
    """The stays with one more move of a batch; `passages` take it in."""
    name, now = plan.batch.name, instant(task.at)
    mark = history.tasks.get(task.id)
    entry_id = mark.entry_id if mark is not None else ""
    mine = [stay for stay in stays if stay.batch == name]
    later = min((instant(stay.start) for stay in mine if stay.start and instant(stay.start) > now), default=None)
    kept, here = [], dict[str, tuple[str, int]]()
    for stay in stays:
        if stay.batch != name or not _lasts(stay, now):
            kept.append(stay)
            continue
        here[stay.animal] = (stay.tank, stay.count)
        if stay.start is None or instant(stay.start) < now:
            kept.append(replace(stay, end=task.at))
    own = [index for index, passage in enumerate(passages) if passage.batch == name]
    for animal in plan.batch.animals:
        from_, count = here.get(animal.label, ("", animal.count))
        if from_ == task.tank:
            continue
        end = later.astimezone(task.at.tzinfo) if later is not None else None
        kept.append(Stay(animal=animal.label, batch=name, tank=task.tank, count=count, start=task.at, end=end))
        for index in own:
            passages[index] = _from(passages[index], animal.label, task.tank, now)
        moved = Passage(
            at=task.at, how="moved" if from_ else "arrived", animal=animal.label, batch=name, count=count, from_=from_,
            to=task.tank, entry_id=entry_id,
        )  # fmt: skip
        passages.append(moved)
    return kept


def _lasts(stay: Stay, now: dt.datetime) -> bool:
    """True where a stay has begun by `now` and goes on."""
    begun = stay.start is None or instant(stay.start) <= now
    return begun and (stay.end is None or instant(stay.end) > now)


def _from(passage: Passage, animal: str, tank: str, now: dt.datetime) -> Passage:
    """A batch that came by the log after it had come by a tick did not come from outside."""
    if passage.animal == animal and not passage.from_ and passage.to not in ("", tank) and instant(passage.at) > now:
        return replace(passage, from_=tank, how="moved")
    return passage


def _visits(history: History, passages: list[Passage]) -> dict[str, tuple[tuple[float, str], ...]]:
    found: dict[str, list[tuple[float, str]]] = {}
    for name, visits in history.visits.items():
        found[name] = [(visit.start.timestamp(), visit.tank) for visit in visits]
    known = {passage.entry_id for passage in history.passages}
    for passage in passages:
        if passage.batch and passage.to and passage.entry_id not in known:
            found.setdefault(passage.batch, []).append((passage.at.timestamp(), passage.to))
    return {name: tuple(sorted(set(visits))) for name, visits in found.items()}
