"""Whole quarantines as a keeper writes them down, for the tests of `pratique release`."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from pratique.cli.main import cli
from pratique.logbook.book import Log
from pratique.logbook.entry import Common
from pratique.logbook.file import append, read_log
from pratique.logbook.ids import Ids
from pratique.logbook.phrase import parse_entry
from pratique.logbook.scope import Scope
from pratique.room.load import load_room
from pratique.room.resolve import Room
from schedule_rooms import as_yaml, batch, room_data, tank

ARRIVED = dt.date(2027, 3, 5)
DAYS = 84
LAST = "2027-05-28T20:00"


def watched() -> dict[str, Any]:
    """One clownfish from a trusted breeder, watched for 84 days; a reef with a coral and a tang."""
    reef = tank("display", cycled="yes", salinity="34 g/kg", temperature="25.5 degC")
    home = [
        {"species": "yellow tang", "name": "Lemon", "tank": "reef"},
        {"species": "torch coral", "tank": "reef"},
    ]
    return room_data(
        tanks={"reef": reef, "ward": tank("ward"), "long": tank("observation")},
        animals=home,
        batches={"pair": batch("2027-03-05T18:30", "trusted", "ocellaris clownfish", into="reef")},
        values={"observation.days": {"value": f"{DAYS} d", "reason": "twelve weeks"}},
    )


def coppered() -> dict[str, Any]:
    """One clownfish with dust on it, so copper comes first."""
    first = batch(signs=["dust"], into="reef")
    tanks = {"reef": tank("display"), "ward": tank("ward"), "long": tank("observation")}
    return room_data(tanks=tanks, batches={"pair": first})


def watch_lines(skip: Iterable[int] = (), tank: str = "long") -> list[str]:
    """A look and a feeding each day of a watch, save on the days to `skip`."""
    lines = [f"2027-03-05 18:30 arrived pair in {tank}"]
    for number in range(DAYS + 1):
        if number in set(skip):
            continue
        day = ARRIVED + dt.timedelta(days=number)
        lines.append(f"{day} 19:00 done pair/observation/look/1/{day}")
        lines.append(f"{day} 19:10 fed {tank}")
    return lines


def _typed(room: Room, known: Iterable[Common], lines: Iterable[str]) -> list[Common]:
    """The entries of lines that each begin with their time, as if written at once."""
    ids, before, new = Ids(), list(known), []
    far = dt.datetime(2029, 1, 1, tzinfo=room.zone)
    for line in lines:
        entries = tuple(before)
        found = parse_entry([line], Scope(room=room, at=far, written=far, log=Log(entries=entries, written=entries)))
        assert not found.problems, [f"{problem.code} {problem.message}" for problem in found.problems]
        for entry in found.entries:
            now = entry.model_copy(update={"id": ids.new(entry.at), "written": entry.at})
            new.append(now)
            before.append(now)
    return new


class Quarantine:
    """A folder with a room and its log, and the question asked of them."""

    def __init__(self, folder: Path, data: dict[str, Any]) -> None:
        self.room = folder / "fishroom.yaml"
        self.room.write_text(as_yaml(data), "utf-8")
        self.log = folder / "fishroom.log.jsonl"

    def write(self, *lines: str, by: str | None = None) -> None:
        room, _ = load_room(self.room)
        assert room is not None
        known = read_log(self.log)[0].entries if self.log.exists() else ()
        append(self.log, [entry.model_copy(update={"by": by}) for entry in _typed(room, known, sorted(lines))])

    def ask(self, *more: str, at: str = LAST, width: int = 100) -> Result:
        words = ["release", *(more or ("pair",)), "--room", str(self.room), "--at", at]
        return CliRunner().invoke(cli, words, env={"COLUMNS": str(width), "NO_COLOR": "1"})

    def answer(self, at: str = LAST) -> dict[str, Any]:
        result = self.ask("pair", "--json", at=at)
        assert result.exit_code == 0, result.output
        found: dict[str, Any] = json.loads(result.stdout)["result"]
        return found
