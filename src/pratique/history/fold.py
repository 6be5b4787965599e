"""The room and its log folded up to one moment: what was where, what was read, given and done, water by water.

    room + log  ->  fold(room, log, at)  ->  History

One pass over the entries, and everything is kept by the water it concerns, so that a question about one tank never
goes through the whole log. An entry that names what the room file does not have is left out (L746 says so).
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from pratique.history import events as e
from pratique.history.folding import Folding, with_left
from pratique.logbook.book import Log
from pratique.logbook.entry import Arrival, Common, Dose, Move, WaterChange
from pratique.logbook.file import collector_paused
from pratique.problem import plural, quoted
from pratique.room.resolve import Room

MOVING_ACTS = ("arrive", "transfer", "move", "release")
"""Acts by which a batch comes into a tank; one marked done is taken for the move it is, if no move is on record."""


DOSING_ACTS = ("dose", "redose")
"""Acts that put a medicine into a tank."""


@dataclass(frozen=True, kw_only=True)
class History:
    """What is on record by the moment `at`. Two histories are equal where the same happened by the same moment.

    `visits`: where the greater part of each batch was; `looks`: when somebody looked, by the first part of a task's
    id (a batch, or the water of residents); `since`: the first entry, None where there is none.
    """

    room: Room = field(compare=False, repr=False)
    log: Log = field(compare=False, repr=False)
    at: dt.datetime
    since: dt.datetime | None
    waters: Mapping[str, e.WaterRecord]
    visits: Mapping[str, tuple[e.Visit, ...]]
    passages: tuple[e.Passage, ...]
    stays: tuple[e.Stay, ...]
    tasks: Mapping[str, e.TaskMark]
    looks: Mapping[str, tuple[dt.datetime, ...]]
    gear: Mapping[str, tuple[e.GearUse, ...]]
    gear_readied: Mapping[str, tuple[e.Readied, ...]]
    bottles: Mapping[str, e.Bottle]

    @property
    def is_empty(self) -> bool:
        """True where nothing is on record, and no line that cannot be read hides anything."""
        return self.since is None and not self.log.unread

    def of_water(self, water: str) -> e.WaterRecord:
        """Everything about one water; an empty record where there is nothing."""
        return self.waters.get(water, e.NOTHING)

    @cached_property
    def moving(self) -> frozenset[str]:
        """The first part of each id of a task of moving that is marked done."""
        parts = (id_.split("/") for id_, mark in self.tasks.items() if mark.what == "done")
        return frozenset(words[0] for words in parts if len(words) > 2 and words[2] in MOVING_ACTS)

    @cached_property
    def dose_marks(self) -> Mapping[str, e.TaskMark]:
        """Tasks of single doses that are marked done (`batch/stage/dose/number`), written as a dose too or not."""
        done = ((id_.split("/"), id_, mark) for id_, mark in self.tasks.items() if mark.what == "done")
        return {id_: mark for parts, id_, mark in done if len(parts) == 4 and parts[2] in DOSING_ACTS}

    @cached_property
    def lost_names(self) -> tuple[tuple[dt.datetime, str], ...]:
        """What was given, changed, moved or came under a name that the room file does not have: when, and the name."""
        known: dict[str, tuple[str, Collection[str]]] = {
            "tank": ("tank", self.room.tanks),
            "from_": ("tank", self.room.tanks),
            "to": ("tank", self.room.tanks),
            "batch": ("batch", self.room.batches),
            "product": ("bottle", self.room.written.shelf),
        }
        kinds: tuple[type[Common], ...] = (Arrival, Move, Dose, WaterChange)
        entries = [entry for kind in kinds for entry in self.log.of(kind)]
        return tuple(
            (entry.at, f"the {what} {quoted(name)}")
            for entry in entries
            for key, (what, names) in known.items()
            if entry.at <= self.at and (name := getattr(entry, key, None)) and name not in names
        )

    def lost_since(self, moment: dt.datetime) -> str:
        """What of the log since `moment` says nothing: names nobody knows, lines that cannot be read. Empty: none."""
        since = moment.timestamp()
        names = dict.fromkeys(name for at, name in self.lost_names if at.timestamp() >= since)
        lines = sum((by or self.at).timestamp() >= since for by in self.log.unread)
        found = [f"the log names {' and '.join(names)}, which the room file does not have"] if names else []
        found += [f"{plural(lines, 'line')} of the log cannot be read"] if lines else []
        return "; ".join(found)

    @cached_property
    def passages_of(self) -> Mapping[str, tuple[e.Passage, ...]]:
        """Batch (empty for residents) to its comings and goings."""
        found: defaultdict[str, list[e.Passage]] = defaultdict(list)
        for passage in self.passages:
            found[passage.batch].append(passage)
        return {batch: tuple(entries) for batch, entries in found.items()}

    @cached_property
    def standing(self) -> tuple[e.Stay, ...]:
        """Who is where at the moment `at`."""
        return tuple(stay for stay in self.stays if stay.end is None)

    @cached_property
    def presence(self) -> Mapping[str, tuple[tuple[str, e.Span], ...]]:
        """Water to each batch (empty for residents) that was in it, with the stretches in which somebody of it was."""
        spans: dict[tuple[str, str], list[e.Span]] = {}
        for stay in self.stays:
            start = stay.start or e.LONG_AGO
            known = spans.setdefault((self.room.tanks[stay.tank].water, stay.batch), [])
            if known and (known[-1][1] is None or start.timestamp() <= known[-1][1].timestamp()):
                end = None if stay.end is None or known[-1][1] is None else max(stay.end, known[-1][1])
                known[-1] = (known[-1][0], end)
            else:
                known.append((start, stay.end))
        found: defaultdict[str, list[tuple[str, e.Span]]] = defaultdict(list)
        for (water, batch), stretches in spans.items():
            found[water] += [(batch, span) for span in stretches]
        return {water: tuple(entries) for water, entries in found.items()}

    def in_water(self, water: str, moment: dt.datetime | None = None) -> tuple[e.Stay, ...]:
        """Who is in a water, or was at an earlier `moment`."""
        stays = self.of_water(water).stays
        if moment is None:
            return tuple(stay for stay in stays if stay.end is None)
        return tuple(stay for stay in stays if _covers(stay, moment))

    def count_of(self, batch: str, animal: str) -> int:
        """How many of one name of a batch are alive by the record; nought where they have not come."""
        return sum(stay.count for stay in self.standing if (stay.batch, stay.animal) == (batch, animal))


def _covers(stay: e.Stay, moment: dt.datetime) -> bool:
    now = moment.astimezone(dt.UTC)
    begun = stay.start is None or stay.start.astimezone(dt.UTC) <= now
    return begun and (stay.end is None or now < stay.end.astimezone(dt.UTC))


def fold(room: Room, log: Log, at: dt.datetime) -> History:
    """The history of `room` by `log` up to and with the moment `at` (which has an offset)."""
    return snapshot(fold_up_to(room, log, at), log, at)


def fold_up_to(room: Room, log: Log, at: dt.datetime) -> Folding:
    """The entries taken up to and with the moment `at`; more of them, not earlier, can still be taken."""
    folding = Folding(room)
    limit = at.timestamp()
    with collector_paused():
        for entry in log.entries:
            if entry.at.timestamp() > limit:
                break
            folding.take(entry)
    return folding


def snapshot(folding: Folding, log: Log, at: dt.datetime) -> History:
    """What has been taken so far as a history; the folding can go on after it."""
    places = folding.places
    waters = {
        water: e.WaterRecord(**{sort: tuple(found) for sort, found in sorts.items()})
        for water, sorts in folding.shared_out().items()
    }
    return History(
        room=folding.room,
        log=log,
        at=at,
        since=folding.since,
        waters=waters,
        visits={batch: tuple(found) for batch, found in places.all_visits().items()},
        passages=tuple(places.passages),
        stays=places.all_stays(),
        tasks=dict(folding.tasks),
        looks={key: tuple(found) for key, found in folding.looks.items()},
        gear={key: tuple(found) for key, found in folding.gear.items()},
        gear_readied={key: tuple(found) for key, found in folding.gear_readied.items()},
        bottles={name: with_left(bottle) for name, bottle in folding.bottles.items()},
    )
