"""The log as a whole: the entries in effect, in the order in which things happened.

A correction takes the place of what it corrects, so that a log with a mistake set right gives the same entries
as one without the mistake. The latest correction of an entry (by `written`, then id) holds; a correction
that was itself withdrawn, or turned into another entry, does not.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import pairwise
from typing import TypeVar

from pratique.logbook.entry import Common, Correction
from pratique.logbook.faults import Fault
from pratique.logbook.line import to_line
from pratique.problem import Place

E = TypeVar("E", bound=Common)

_INDEXED = {"kind": "kind", "tank": "tank", "from_": "tank", "to": "tank"}
"""Field of an entry to the index it is found in."""


@dataclass(frozen=True, kw_only=True)
class Log:
    """`entries` are in effect, by `at`, then `written`, then id; `written` is every line as it stands in the file.

    `unread`: for each line that cannot be read and may have told of a dose, the moment by which it was written: that of
    the next line; None at the end of the file. Two logs are equal where the same entries are in effect.
    """

    entries: tuple[Common, ...] = ()
    written: tuple[Common, ...] = field(default=(), compare=False, repr=False)
    file: str = field(default="", compare=False)
    lines: Mapping[str, int] = field(default_factory=dict, compare=False, repr=False)
    unread: tuple[dt.datetime | None, ...] = field(default=(), compare=False)

    @cached_property
    def by_id(self) -> dict[str, Common]:
        """Every entry as it was written, corrected ones and corrections too."""
        return {entry.id: entry for entry in reversed(self.written)}

    @property
    def by_tank(self) -> dict[str, tuple[Common, ...]]:
        """Tank to the entries that name it; a move stands under both of its tanks."""
        return self._indexes["tank"]

    @property
    def by_kind(self) -> dict[str, tuple[Common, ...]]:
        return self._indexes["kind"]

    @cached_property
    def _indexes(self) -> dict[str, dict[str, tuple[Common, ...]]]:
        """Both in one walk: a long log does not fit into the processor's own memory."""
        found: dict[str, defaultdict[str, list[Common]]] = {index: defaultdict(list) for index in _INDEXED.values()}
        pairs = [(key, found[index]) for key, index in _INDEXED.items()]
        for entry in self.entries:
            fields = entry.__dict__
            for key, index in pairs:
                name = fields.get(key)
                if name is not None:
                    index[name].append(entry)
        return {key: {name: tuple(entries) for name, entries in index.items()} for key, index in found.items()}

    def of(self, model: type[E]) -> tuple[E, ...]:
        """The entries of one kind, such as `log.of(Reading)`."""
        entries = self.by_kind.get(model.model_fields["kind"].default, ())
        return tuple(entry for entry in entries if isinstance(entry, model))

    def plus(self, more: Iterable[Common]) -> Log:
        """The log as it would be with `more` written, for trying what an entry changes."""
        new = tuple(more)
        if self._end_with(new):
            return replace(self, entries=(*self.entries, *new), written=(*self.written, *new))
        log, _ = build_log([*self.written, *new])
        return replace(log, file=self.file, lines=self.lines, unread=self.unread)

    def _end_with(self, new: tuple[Common, ...]) -> bool:
        """True where `new` are entries of their own that come after all others, in their order."""
        ids = {entry.id for entry in new}
        if any(isinstance(entry, Correction) for entry in new) or len(ids) < len(new) or ids & self.by_id.keys():
            return False
        order = [_order_of_events(entry) for entry in (*self.entries[-1:], *new)]
        return all(earlier <= later for earlier, later in pairwise(order))

    def place(self, entry: Common) -> Place | None:
        """Where the entry was written; None where it was not read from a file."""
        line = self.lines.get(entry.id)
        return None if line is None else Place(file=self.file, line=line, column=1)


Finding = tuple[int, Fault]
"""The index of an entry among those given, and what is wrong with it."""


def build_log(written: Sequence[Common]) -> tuple[Log, list[Finding]]:
    """The log of these entries, in whatever order they come, and which of them do not fit together."""
    unique, ambiguous, findings = _told_apart(written)
    effects, found = _Corrections(unique, ambiguous).settle()
    if found:
        position = {id(entry): index for index, entry in enumerate(written)}
        findings += [(position[id(entry)], fault) for entry, fault in found]
    if ambiguous:
        effects.sort(key=to_line)
    effects.sort(key=_order_of_events)
    return Log(entries=tuple(effects), written=tuple(unique)), sorted(findings, key=lambda found: found[0])


def _order_of_events(entry: Common) -> tuple[float, float, str]:
    return entry.at.timestamp(), entry.written.timestamp(), entry.id


def _told_apart(written: Sequence[Common]) -> tuple[list[Common], set[str], list[Finding]]:
    """The entries without exact repeats, the ids that two different entries have, and a finding for each."""
    unique: list[Common] = []
    first: dict[str, Common] = {}
    others: defaultdict[str, list[Common]] = defaultdict(list)
    findings: list[Finding] = []
    for index, entry in enumerate(written):
        same = first.setdefault(entry.id, entry)
        if same is not entry:
            if entry == same or entry in others[entry.id]:
                continue
            others[entry.id].append(entry)
            hint = "give one of them another id by hand, such as with its last letter changed"
            message = f"`{entry.id}` is the id of two different entries; both are read, and neither can be corrected"
            findings.append((index, Fault("L710", message, hint, part=entry.id)))
        unique.append(entry)
    return unique, {name for name, found in others.items() if found}, findings


class _Corrections:
    """Which corrections hold. Each names one entry, so they form trees, unless a file was tampered with."""

    def __init__(self, unique: Sequence[Common], ambiguous: set[str]) -> None:
        self._entries = unique
        self._ambiguous = ambiguous
        self._known = {entry.id for entry in self._entries}
        self._faults: list[tuple[Common, Fault]] = []

    def settle(self) -> tuple[list[Common], list[tuple[Common, Fault]]]:
        """The entries in effect, and the corrections that have no effect."""
        targeting: defaultdict[str, list[Correction]] = defaultdict(list)
        for entry in self._entries:
            if isinstance(entry, Correction) and self._is_sound(entry):
                targeting[entry.of].append(entry)
        if not targeting:
            return [entry for entry in self._entries if not isinstance(entry, Correction)], self._faults
        latest = self._latest(targeting)
        effects: list[Common] = []
        for entry in self._entries:
            correction = latest.get(entry.id)
            if correction is None and not isinstance(entry, Correction):
                effects.append(entry)
            elif correction is not None and correction.instead is not None:
                effects.append(correction.instead)
        return effects, self._faults

    def _is_sound(self, entry: Correction) -> bool:
        if entry.of in self._ambiguous:
            message = f"`{entry.of}` is the id of two different entries, so the correction of it has no effect"
        elif entry.of not in self._known:
            message = f"there is no entry `{entry.of}`, so the correction of it has no effect"
        else:
            return True
        self._faults.append((entry, Fault("L711", message, "look the id up in the log", part=entry.of)))
        return False

    def _latest(self, targeting: Mapping[str, list[Correction]]) -> dict[str, Correction]:
        """Id to the correction that holds for it: corrections nobody corrects first, then what they name."""
        corrections = [found for group in targeting.values() for found in group]
        by_id = {found.id: found for found in corrections}
        waiting = {found.id: len(targeting.get(found.id, ())) for found in corrections}
        ready = [found for found in corrections if not waiting[found.id]]
        latest: dict[str, Correction] = {}
        settled = set()
        while ready:
            correction = ready.pop()
            settled.add(correction.id)
            if correction.id not in latest:
                held = latest.get(correction.of)
                if held is None or _order(held) < _order(correction):
                    latest[correction.of] = correction
            if correction.of in waiting:
                waiting[correction.of] -= 1
                if not waiting[correction.of]:
                    ready.append(by_id[correction.of])
        for found in corrections:
            if found.id not in settled:
                message = f"the correction `{found.id}` leads in a circle back to itself, and has no effect"
                self._faults.append((found, Fault("L712", message, "write the correction anew", part=found.of)))
        return latest


def _order(entry: Common) -> tuple[float, str]:
    return entry.written.timestamp(), entry.id
