"""New entries beside the log they go into: what does not fit, what has to be said of them, what they change."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from pratique.checks.entries.consequences import consequences_of
from pratique.checks.entries.day_sheets import DaySheets
from pratique.checks.entries.doubts import doubts
from pratique.checks.entries.interlocks import interlocks_of
from pratique.history.fold import History
from pratique.logbook.book import Log
from pratique.logbook.entry import Common, Correction, Done, Skipped
from pratique.problem import Problem
from pratique.room.resolve import Room
from pratique.sheets.log_effects import effects, small_effects

LIGHT = {"note", "top-off", "opened", "bought", "spoiled", "fed", "dip", "out"}
"""Kinds that no date of any plan hangs on."""

LIGHT_ACTS = {"look", "feed", "test", "set-up", "prepare-water", "signs", "trace"}
"""Acts whose tick moves no date."""


@dataclass(frozen=True, kw_only=True)
class Written:
    """`sheets` are those before, `after` the log with the entries, `judged` the moment of both."""

    room: Room
    sheets: DaySheets
    entries: Sequence[Common]
    after: Log
    at: dt.datetime
    judged: dt.datetime

    @cached_property
    def is_last(self) -> bool:
        """True where the entries come after all that is on record, so that what was taken need not be taken again."""
        last = self.after.entries[-len(self.entries) :]
        same = [entry.id for entry in last] == [entry.id for entry in self.entries]
        plain = not any(isinstance(entry, Correction) for entry in self.entries)
        return same and plain and last[-1].at.timestamp() <= self.judged.timestamp()

    def doubts(self) -> list[Problem]:
        """What does not fit what is believed just before each entry."""
        return self._doubts

    @cached_property
    def _doubts(self) -> list[Problem]:
        if not self.is_last:
            return doubts(self.room, self.after, self.entries)
        assert self.sheets.history is not None  # kept as it was, before the folding goes on
        return doubts(self.room, self.after, self.entries, self.sheets.folding)

    @cached_property
    def later(self) -> DaySheets:
        """The sheets with the entries."""
        begun = self.sheets.folding if self.is_last and self._doubts is not None else None
        return DaySheets(self.room, self.after, self.judged, begun, self.sheets.but)

    def warnings(self, history: History) -> Iterator[Problem]:
        """Interlocks a dose met, and what has to be said of an act that does harm."""
        yield from interlocks_of(history, self.entries)
        yield from consequences_of(self.room, self.sheets, self.later, self.entries)

    def effects(self) -> list[str]:
        """One sentence for each thing that is otherwise with them."""
        if self.is_light:
            return small_effects(self.sheets, self.later)
        return effects(self.room, self.sheets, self.later, self.at)

    @cached_property
    def is_light(self) -> bool:
        """True where no date can move by these entries."""
        return all(self._is_light(entry) for entry in self.entries)

    def _is_light(self, entry: Common) -> bool:
        if isinstance(entry, (Done, Skipped)):
            task = self.sheets.find(entry.task)
            return task is not None and (task.act in LIGHT_ACTS or (task.routine and task.act != "change-water"))
        return entry.kind in LIGHT
