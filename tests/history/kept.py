"""Short words for histories: a log typed as a keeper would, folded and planned from."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Any
from zoneinfo import ZoneInfo

from pratique.history.fold import History, fold
from pratique.logbook.book import Log, build_log
from pratique.logbook.entry import Common
from pratique.logbook.ids import Ids
from pratique.logbook.phrase import parse_entry
from pratique.logbook.scope import Scope
from pratique.room.resolve import Room
from pratique.schedule.model import BatchPlan, Plan, Task
from pratique.schedule.plan import make_plan
from schedule_rooms import batch, build, tank, tanks

HOME = ZoneInfo("Europe/Lisbon")
FAR = dt.datetime(2029, 1, 1, tzinfo=HOME)


def moment(text: str, zone: dt.tzinfo = HOME) -> dt.datetime:
    """`2027-03-05T18:30` in the zone of the room."""
    return dt.datetime.fromisoformat(text).replace(tzinfo=zone)


def typed(room: Room, lines: str | Iterable[str], written: str | None = None) -> list[Common]:
    """The entries of a log typed line by line, each with its time before it; written at once, or on one day."""
    ids = Ids()
    entries: list[Common] = []
    for line in lines.splitlines() if isinstance(lines, str) else lines:
        if not line.strip():
            continue
        scope = Scope(room=room, at=FAR, written=FAR, log=Log(entries=tuple(entries), written=tuple(entries)))
        found = parse_entry([line.strip()], scope)
        assert not found.problems, [f"{problem.code} {problem.message}" for problem in found.problems]
        for entry in found.entries:
            when = moment(written, room.zone) if written is not None else entry.at
            entries.append(entry.model_copy(update={"id": ids.new(when), "written": when}))
    return entries


def log_of(entries: Iterable[Common]) -> Log:
    log, findings = build_log(list(entries))
    assert not findings
    return log


def history(room: Room, lines: str, at: str, written: str | None = None) -> History:
    return fold(room, log_of(typed(room, lines, written)), moment(at, room.zone))


def plan(room: Room, lines: str, at: str) -> Plan:
    return make_plan(room, history(room, lines, at))


def first(room: Room, lines: str, at: str) -> BatchPlan:
    return plan(room, lines, at).batches[0]


def acts(found: BatchPlan, *names: str) -> list[Task]:
    return [task for task in found.tasks if task.act in names]


def codes(found: BatchPlan | Plan) -> list[str]:
    return [problem.code for problem in found.problems]


def one_of_each(**more: Any) -> Room:
    """Two tubs, a ward, an observation tank, a reef, and a batch of two clownfish and a tang."""
    two = batch("2027-03-05T18:30", "untrusted", "ocellaris clownfish", "yellow tang")
    return build(batches={"first": two}, **more)


def copper_room(**more: Any) -> Room:
    """One ward for copper and an observation tank: the batch shows dust, so copper comes first and at once."""
    rooms = {"reef": tank("display"), "ward": tank("ward"), "long": tank("observation")}
    return build(batches={"first": batch(signs=["dust"])}, **{"tanks": rooms, **more})


__all__ = [
    "HOME", "acts", "batch", "build", "codes", "copper_room", "first", "history", "log_of", "moment", "one_of_each",
    "plan", "tank", "tanks", "typed",
]  # fmt: skip
