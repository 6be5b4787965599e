"""What the words of an entry can refer to: the names of a room, today's tasks, and the log so far."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from pratique.knowledge import store
from pratique.logbook.book import E, Log
from pratique.logbook.common import Common
from pratique.logbook.ids import Ids
from pratique.logbook.words import Names
from pratique.room.resolve import Room

TaskOf = Callable[[int], str | None]
"""The task on a line of a day's sheet, None where it has no such line."""

MEASURES = {
    "copper": ("cu",),
    "ammonia": ("nh3", "nh4", "tan"),
    "nitrite": ("no2",),
    "ph": (),
    "salinity": ("sg", "specific gravity"),
    "temperature": ("temp",),
    "oxygen": ("o2", "dissolved oxygen"),
    "alkalinity": ("alk", "kh"),
}
"""What is measured, and what else it is called."""


@dataclass(frozen=True, kw_only=True)
class Scope:
    """`at` is when things happened unless an entry says otherwise, `written` the moment of writing.

    `sheet_of` knows the lines of the day sheet of any day; without it `task_of` those of the one there is. `corrects`
    is the id of the entry that is being set right, `typed` what was understood of the same words before.
    """

    room: Room
    at: dt.datetime
    written: dt.datetime
    by: str | None = None
    log: Log = field(default_factory=Log)
    task_of: TaskOf | None = None
    sheet_of: Callable[[dt.date], TaskOf] | None = None
    task_ids: Collection[str] = ()
    corrects: str = ""
    typed: list[Common] = field(default_factory=list, compare=False)

    @cached_property
    def ids(self) -> Ids:
        return Ids(self.log.by_id)

    @cached_property
    def tanks(self) -> Names:
        return Names("tank", self.room.tanks)

    @cached_property
    def gear(self) -> Names:
        return Names("gear", self.room.written.gear)

    @cached_property
    def batches(self) -> Names:
        return Names("batch", self.room.batches)

    @cached_property
    def products(self) -> Names:
        return Names("product", self.room.written.shelf)

    @cached_property
    def kits(self) -> Names:
        return Names("kit", self.room.written.kits)

    @cached_property
    def measured(self) -> Names:
        return Names("measure", MEASURES, {word: (name,) for name, words in MEASURES.items() for word in words})

    @cached_property
    def signs(self) -> Names:
        """By id, title and the plain words that `pratique signs` knows too."""
        signs = store.signs()
        others = {word: (name,) for name, sign in signs.items() for word in (sign.title, *sign.words)}
        return Names("sign", signs, others)

    @cached_property
    def treatments(self) -> Names:
        return Names("treatment", store.treatment_ids())

    @cached_property
    def treatment_names(self) -> Names:
        """With trade names, and the active for what the shelf has of it; asked only where no id was typed, since
        every treatment is a file of its own."""
        others: defaultdict[str, list[str]] = defaultdict(list)
        bottles = [(product.active, product.form or "") for product in self.room.written.shelf.values()]
        for name in store.treatment_ids():
            treatment = store.treatment(name)
            for other in treatment.names:
                others[other].append(name)
            if (treatment.active, treatment.form or "") in bottles:
                others[treatment.active].append(name)
        return Names("treatment", store.treatment_ids(), others)

    @cached_property
    def animals(self) -> Names:
        """The animals of the room file by their label; by species where that tells which."""
        others: defaultdict[str, list[str]] = defaultdict(list)
        labels = [animal.label for animal in self.room.residents]
        found = [(animal.label, animal.scientific) for animal in self.room.residents]
        for batch in self.room.batches.values():
            labels += [animal.label for animal in batch.animals]
            found += [(animal.label, animal.scientific) for animal in batch.animals]
        for label, scientific in found:
            record = store.species().get(scientific)
            for name in (scientific, *(record.names if record else ())):
                others[name].append(label)
        return Names("animal", labels, others)

    @cached_property
    def _batches_of(self) -> Mapping[str, set[str | None]]:
        found: defaultdict[str, set[str | None]] = defaultdict(set)
        for animal in self.room.residents:
            found[animal.label].add(None)
        for name, batch in self.room.batches.items():
            for animal in batch.animals:
                found[animal.label].add(name)
        return found

    def task_on(self, line: int, at: dt.datetime) -> str | None:
        """The task on a line of the sheet for the day of `at`."""
        if self.sheet_of is not None:
            return self.sheet_of(self._date(at))(line)
        return self.task_of(line) if self.task_of is not None else None

    def known(self, model: type[E]) -> tuple[E, ...]:
        """The entries of one kind that are in the log, and those typed just before."""
        return (*self.log.of(model), *(entry for entry in self.typed if isinstance(entry, model)))

    def is_today(self, at: dt.datetime) -> bool:
        """True on the day of writing."""
        return self._date(at) == self._date(self.written)

    def _date(self, at: dt.datetime) -> dt.date:
        return at.astimezone(self.room.zone).date()

    def batch_of(self, label: str) -> str | None:
        """The batch of an animal, where no resident and no other batch has one of that name."""
        batches = self._batches_of.get(label, set())
        return next(iter(batches)) if len(batches) == 1 else None

    def only_kit_for(self, what: str) -> str | None:
        """The kit a reading was made with, where the room has but one that measures it."""
        kits = [name for name, kit in self.room.written.kits.items() if kit.measures == what]
        return kits[0] if len(kits) == 1 else None
