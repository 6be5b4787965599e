"""The room as it hangs together: what other modules work with once every name in the file resolves."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from zoneinfo import ZoneInfo

from pratique.knowledge.model import Group
from pratique.problem import Place
from pratique.quantity import Measure
from pratique.room import model
from pratique.room.document import Document, Path_


@dataclass(frozen=True, slots=True, kw_only=True)
class Animal:
    """One line of animals: `count` of one species, its group looked up. `size` and `weight` are of each."""

    label: str
    scientific: str
    group: Group
    count: int
    size: Measure | None
    signs: tuple[str, ...]
    jumps: bool
    path: Path_
    name: str = ""
    tank: str = ""
    scaleless: bool = False
    weight: Measure | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """A glass box in the water `water`, which has the tank's own name where it is shared with no other."""

    name: str
    water: str
    written: model.Tank
    path: Path_

    @property
    def use(self) -> str:
        return self.written.use


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """Tanks that share one body of water; doses, clocks and contacts belong here."""

    name: str
    conditions: model.Conditions
    tanks: tuple[Tank, ...]
    sump: Measure | None
    path: Path_


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Animals that arrived together and are planned together."""

    name: str
    written: model.Batch
    arrives: dt.datetime
    animals: tuple[Animal, ...]
    signs: tuple[str, ...]
    path: Path_

    @property
    def head_count(self) -> int:
        return sum(animal.count for animal in self.animals)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """An arrival that is wished for: from `earliest` to `latest`, in the room's hours; `companion` if it can."""

    name: str
    written: model.Wish
    earliest: dt.datetime
    latest: dt.datetime
    animals: tuple[Animal, ...]
    companion: tuple[Animal, ...]
    signs: tuple[str, ...]
    path: Path_


@dataclass(frozen=True, slots=True, kw_only=True)
class AwayDays:
    """From `start` up to `end` nobody, or only `stand_in`, can work in the room."""

    start: dt.datetime
    end: dt.datetime
    stand_in: str


@dataclass(frozen=True, kw_only=True)
class Room:
    """A sound room: every name in it resolves."""

    document: Document
    written: model.RoomFile
    zone: ZoneInfo
    tanks: dict[str, Tank]
    waters: dict[str, Water]
    residents: tuple[Animal, ...]
    batches: dict[str, Batch]
    away: tuple[AwayDays, ...]
    overrides: Mapping[str, model.OwnValue] = field(default_factory=dict)
    wishes: Mapping[str, Wish] = field(default_factory=dict)

    @property
    def name(self) -> str:
        return self.written.room.name

    def water_of(self, tank: str) -> Water:
        return self.waters[self.tanks[tank].water]

    @cached_property
    def residents_by_water(self) -> dict[str, tuple[Animal, ...]]:
        found: dict[str, list[Animal]] = {}
        for animal in self.residents:
            found.setdefault(self.tanks[animal.tank].water, []).append(animal)
        return {water: tuple(animals) for water, animals in found.items()}

    def place(self, path: Path_, *, key: bool = False, label: str = "") -> Place:
        return self.document.place(path, key=key, label=label)
