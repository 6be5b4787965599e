"""Where a batch really was, tank after tank, from its arrival on: what the plan of its past is pinned to."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import product

from pratique.history.events import Addition, Passage, TaskMark, Visit
from pratique.history.fold import MOVING_ACTS, History
from pratique.logbook.ids import slug
from pratique.room.resolve import Batch, Room
from pratique.schedule.calendar import instant
from pratique.schedule.model import Task
from pratique.schedule.occupants import display_visit, survivors

TOGETHER = dt.timedelta(hours=12)
"""Animals of one batch that follow it into a water within this time came with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Track:
    """One batch that has arrived. `batch` has its real arrival and the animals left; `visits` are those in quarantine.

    `gone`: when it went into a display. `ended`: when the last of it died or went elsewhere than into a tank.
    """

    batch: Batch
    visits: tuple[Visit, ...]
    gone: Visit | None = None
    ended: dt.datetime | None = None

    @property
    def start(self) -> dt.datetime:
        """When it came into quarantine."""
        return self.visits[0].start

    @property
    def closed(self) -> dt.datetime | None:
        """When quarantine was over, whatever the reason."""
        return self.gone.start if self.gone is not None else self.ended

    def at(self, moment: dt.datetime) -> Visit:
        """The visit that holds `moment`, or the nearest before it."""
        now = instant(moment)
        return next((visit for visit in reversed(self.visits) if instant(visit.start) <= now), self.visits[0])

    def after(self, moment: dt.datetime) -> tuple[Visit, ...]:
        """The visits that began later."""
        return tuple(visit for visit in self.visits if instant(visit.start) > instant(moment))

    def since(self, moment: dt.datetime) -> tuple[Visit, ...]:
        """The visit at `moment` and all later ones."""
        return (self.at(moment), *self.after(moment))


def track_of(room: Room, history: History, batch: Batch, marked: tuple[Visit, ...] = ()) -> Track | None:
    """The track of a batch, or None where it has not arrived. `marked`: visits known only from tasks marked done."""
    visits = _with_marked(history.visits.get(batch.name, ()), marked)
    apart = [visit for visit in visits if room.tanks[visit.tank].use != "display"]
    gone = display_visit(visits, room)
    if gone is not None:
        apart = [visit for visit in apart if instant(visit.start) < instant(gone.start)]
    if not apart:
        return None
    animals = survivors(history, batch)
    last = apart[-1]
    ended = last.end if gone is None and last is visits[-1] else None
    left = replace(batch, arrives=apart[0].start, animals=animals)
    return Track(batch=left, visits=tuple(apart), gone=gone, ended=ended)


def _with_marked(visits: tuple[Visit, ...], marked: tuple[Visit, ...]) -> tuple[Visit, ...]:
    found = sorted([*visits, *marked], key=lambda visit: instant(visit.start))
    ends: list[Visit] = []
    for index, visit in enumerate(found):
        later = found[index + 1] if index + 1 < len(found) else None
        ends.append(replace(visit, end=later.start) if later is not None and marked else visit)
    return tuple(visit for visit in ends if visit.end is None or instant(visit.end) > instant(visit.start))


def only_in_display(room: Room, history: History, batch: str) -> Visit | None:
    """The visit of a batch that went straight into a display and has been nowhere else."""
    visits = history.visits.get(batch, ())
    return visits[0] if visits and all(room.tanks[visit.tank].use == "display" for visit in visits) else None


def has_moving_marks(history: History, batch: Batch) -> bool:
    """True where a task of moving this batch is marked done."""
    return slug(batch.name) in history.moving


def marked_visit(history: History, tasks: tuple[Task, ...], track: Track | None) -> Visit | None:
    """The next act of moving, where it is marked done. What is marked before its turn moves nobody."""
    task = next((task for task in tasks if task.act in MOVING_ACTS and task.state != "done"), None)
    mark = history.tasks.get(task.id) if task is not None else None
    if task is None or mark is None or mark.what != "done":
        return None
    if track is not None and (track.closed is not None or instant(mark.at) <= instant(track.visits[-1].start)):
        return None
    return Visit(tank=task.tank, start=mark.at, entry_id=mark.entry_id)


def newcomers(
    room: Room, history: History, track: Track, water: str, since: dt.datetime, until: dt.datetime | None = None
) -> Iterator[Passage]:
    """Animals that came into a water from outside of it after the batch was there, and before `until`."""
    name = track.batch.name
    passages = history.of_water(water).passages
    first = bisect_right(passages, since.timestamp(), key=_seconds)
    last = len(passages) if until is None else bisect_left(passages, until.timestamp(), key=_seconds)
    for passage in passages[first:last]:
        if passage.from_ and room.tanks[passage.from_].water == water:
            continue
        own = passage.batch == name
        if not own or instant(passage.at) > instant(track.at(passage.at).start) + TOGETHER:
            yield passage


def _seconds(passage: Passage) -> float:
    return passage.at.timestamp()


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A dose on record. `amount` is in `unit` of `product`; both are empty where only a task was marked done."""

    at: dt.datetime
    product: str = ""
    amount: float | None = None
    unit: str = ""
    entry_id: str = ""


def given(addition: Addition) -> Given:
    """An addition as a dose (mL, g or tablets)."""
    return Given(
        at=addition.at, product=addition.product, amount=addition.amount, unit=addition.unit, entry_id=addition.entry_id
    )


NEAR = dt.timedelta(hours=3)
"""A task marked done and an entry that says the same are one act if they are no further apart; so are parts of a dose.
"""


def in_one(doses: Iterable[Given]) -> list[Given]:
    """The doses in order; what was given of one product at one moment is one dose, in however many entries."""
    found: dict[tuple[dt.datetime, str, str], Given] = {}
    for dose in sorted(doses, key=lambda dose: instant(dose.at)):
        key = (instant(dose.at), dose.product, dose.unit)
        known = found.get(key)
        if known is None or known.amount is None or dose.amount is None:
            found[key] = dose
        else:
            found[key] = replace(known, amount=known.amount + dose.amount)
    return list(found.values())


def is_same_giving(before: dt.datetime, at: dt.datetime) -> bool:
    """True where what was given `at` a moment is the rest of the dose `before`: of another bottle, or given slowly."""
    return instant(at) - instant(before) <= NEAR


def rounds_of(doses: Iterable[Given]) -> tuple[int, ...]:
    """For each dose, in order, of which giving it is a part: 0 for the first, 1 for the next."""
    found: list[int] = []
    first: dt.datetime | None = None
    for dose in doses:
        if first is None or not is_same_giving(first, dose.at):
            first = dose.at
            found.append(found[-1] + 1 if found else 0)
        else:
            found.append(found[-1])
    return tuple(found)


MOST_DOSES = 40
"""Doses of one stage that are looked for among the tasks marked done."""


def marked_doses(tasks: Mapping[str, TaskMark], batch: str, stage: str, doses: list[Given]) -> list[Given]:
    """Doses of a stage that are known only from tasks marked done."""
    found: list[Given] = []
    for act, number in product((slug(batch, stage, "dose"), slug(batch, stage, "redose")), range(1, MOST_DOSES)):
        mark = tasks.get(f"{act}/{number}")
        if mark is not None and mark.what == "done" and not _is_near(mark.at, doses):
            found.append(Given(at=mark.at, entry_id=mark.entry_id))
    return found


def _is_near(moment: dt.datetime, doses: list[Given]) -> bool:
    return any(abs(instant(dose.at) - instant(moment)) <= NEAR for dose in doses)
