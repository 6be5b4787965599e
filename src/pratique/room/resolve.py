"""The room put together: names looked up, times made absolute, tanks gathered into waters."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pratique.problem import Problem
from pratique.room.animals import Animals
from pratique.room.distances import check_distances
from pratique.room.document import Document, Path_
from pratique.room.findings import Findings
from pratique.room.known import check_zone_name
from pratique.room.model import RoomFile
from pratique.room.own import check_own_regimens, check_own_values
from pratique.room.prescriptions import check_prescriptions
from pratique.room.shelf import check_shelf
from pratique.room.tanks import NAMED_SECTIONS, check_look_alikes, gather_tanks, gather_waters
from pratique.room.things import Animal, AwayDays, Batch, Room, Tank, Water, Wish
from pratique.room.times import LocalTimeError, absolute
from pratique.room.wished import check_apart

__all__ = [
    "Animal",
    "AwayDays",
    "Batch",
    "LocalTimeError",
    "Room",
    "Tank",
    "Water",
    "Wish",
    "absolute",
    "resolve",
]


def resolve(document: Document, written: RoomFile, raw: Mapping[str, Any]) -> tuple[Room, list[Problem]]:
    """The room with every reason why it does not hang together. It is sound only where there is none.

    `raw` is the whole file as the keeper wrote it, `written` what of it the validator did not refuse.
    """
    named = {key: tuple(raw[key]) for key in NAMED_SECTIONS if isinstance(raw.get(key), dict)}
    findings = Findings(document, written, named, _zone(written.room.time_zone) or ZoneInfo("UTC"))
    if _zone(written.room.time_zone) is None:
        check_zone_name(findings, written.room.time_zone)
    check_look_alikes(findings)
    tanks = gather_tanks(findings)
    waters = gather_waters(findings, tanks, _waters_named_by_tanks(raw))
    animals = Animals(findings)
    room = Room(
        document=document,
        written=written,
        zone=findings.zone,
        tanks=tanks,
        waters=waters,
        residents=tuple(animals.residents(tanks)),
        batches={batch.name: batch for batch in animals.batches(tanks)},
        away=tuple(_away(findings)),
        overrides=written.values,
        wishes={wish.name: wish for wish in animals.wishes(tanks)},
    )
    check_apart(findings)
    check_distances(findings, tanks)
    check_shelf(findings)
    check_prescriptions(findings)
    check_own_values(findings)
    check_own_regimens(findings)
    return room, findings.problems


def _zone(key: str) -> ZoneInfo | None:
    if ("/" not in key and key != "UTC") or key.startswith(("posix/", "right/")):
        return None
    try:
        return ZoneInfo(key)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def _waters_named_by_tanks(raw: Mapping[str, Any]) -> set[str]:
    tanks = raw.get("tanks")
    entries = tanks.values() if isinstance(tanks, dict) else ()
    found = (entry.get("water") for entry in entries if isinstance(entry, dict))
    return {water for water in found if isinstance(water, str)}


def _away(findings: Findings) -> Iterator[AwayDays]:
    for index, away in enumerate(findings.written.room.away):
        path: Path_ = ("room", "away", index)
        start = findings.moment(away.from_, (*path, "from"))
        end = findings.moment(away.to, (*path, "to"), end_of_day=True)
        if start is None or end is None:
            continue
        if start.astimezone(dt.UTC) >= end.astimezone(dt.UTC):
            place, other = findings.place((*path, "to")), findings.place((*path, "from"))
            findings.report(
                "F118", place, "the days away end before they begin", "swap `from` and `to`", other
            )
        else:
            yield AwayDays(start=start, end=end, stand_in=away.stand_in or "")
