"""What the record knows of the tanks of a transfer series: when each became dry, and when it was wet by others."""

from __future__ import annotations

import datetime as dt

from pratique.clocks import transfers
from pratique.history.events import Visit
from pratique.history.fold import History
from pratique.logbook.ids import slug
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import cut
from pratique.schedule.track import Track

LONG_AGO = 24.0 * 60
"""Hours after which it is no matter how a tank was left: it has long been dry."""


def tank_events(history: History, track: Track, stage: str, *more: str) -> list[transfers.TankEvent]:
    """Which of the batch's tanks, and of `more`, became dry, and which others than the batch lived in or left wet."""
    found: list[transfers.TankEvent] = []
    lately = (plus_hours(track.start, -LONG_AGO), track.closed)
    for tank in dict.fromkeys([*(visit.tank for visit in track.visits), *more]):
        record = history.of_water(history.room.tanks[tank].water)
        found += [
            transfers.TankEvent(at=readied.at, tank=tank, what="dry")
            for readied in cut(record.readied, lately)
            if readied.tank == tank and readied.what == "dried"
        ]
        found += [
            transfers.TankEvent(at=passage.at, tank=tank, what="left")
            for passage in cut(record.passages, lately)
            if passage.from_ == tank and passage.batch != track.batch.name
        ]
        found += [
            transfers.TankEvent(at=visit.start - JUST_BEFORE, tank=tank, what="left")
            for visit in track.visits
            if visit.tank == tank and _others_live_in(history, track, visit)
        ]
    return found + _dried_by_task(history, track, stage)


JUST_BEFORE = dt.timedelta(minutes=1)
"""Before a move: a tank in which others still lived then was wet."""


def _others_live_in(history: History, track: Track, visit: Visit) -> bool:
    """True where animals of no batch, or of another, were in the tank before the batch came into it."""
    stays = history.in_water(history.room.tanks[visit.tank].water, visit.start)
    others = (stay for stay in stays if stay.tank == visit.tank and stay.batch != track.batch.name)
    return any(stay.start is None or instant(stay.start) < instant(visit.start) for stay in others)


def _dried_by_task(history: History, track: Track, stage: str) -> list[transfers.TankEvent]:
    """The n-th task `dry` of a series is about the tank that the n-th move left."""
    found: list[transfers.TankEvent] = []
    for number, visit in enumerate(track.visits, 1):
        mark = history.tasks.get(f"{slug(track.batch.name, stage, 'dry')}/{number}")
        if mark is not None and mark.what == "done":
            found.append(transfers.TankEvent(at=mark.at, tank=visit.tank, what="dry"))
    return found
