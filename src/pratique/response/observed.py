"""What was seen in one water, as it counts: each sign once and in the order of the file, not as it was typed."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from pratique.knowledge import store
from pratique.quantity import Measure

Fact = tuple[str, str]
"""A circumstance and the choice that holds, ids of circumstances.yaml."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TypedReading:
    """A reading of the water that was typed, in the unit of the log."""

    what: str
    value: Measure


@dataclass(frozen=True, slots=True, kw_only=True)
class Observed:
    """Signs seen (`present`) and looked for in vain (`absent`), the facts around them, and who is concerned.

    `affected` are names of animals, empty where nobody said; `breaths` a count a minute beside the `usual` one;
    `hours` how long it has been going on; `notes` say how something typed was taken.
    """

    tank: str
    at: dt.datetime
    present: tuple[str, ...] = ()
    absent: tuple[str, ...] = ()
    facts: tuple[Fact, ...] = ()
    affected: tuple[str, ...] = ()
    dying: tuple[str, ...] = ()
    dead: tuple[str, ...] = ()
    breaths: float | None = None
    usual: float | None = None
    hours: float | None = None
    readings: tuple[TypedReading, ...] = ()
    notes: tuple[str, ...] = field(default=())

    @property
    def is_empty(self) -> bool:
        """True where nothing was said of any fish or of its water."""
        return not (self.present or self.absent or self.facts or self.readings or self.dying or self.dead)

    def chosen(self, circumstance: str) -> tuple[str, ...]:
        """The choices that hold of one circumstance."""
        return tuple(choice for name, choice in self.facts if name == circumstance)

    def seen(self, *signs: str) -> Observed:
        """The same with these signs seen."""
        return replace(self, present=in_order((*self.present, *signs)))

    def missed(self, *signs: str) -> Observed:
        """The same with these signs looked for in vain."""
        return replace(self, absent=in_order((*self.absent, *signs)))

    def with_facts(self, facts: Iterable[Fact]) -> Observed:
        """The same with these facts; one that can have but one answer keeps the answer it has."""
        known = dict.fromkeys(self.facts)
        for name, choice in facts:
            if store.circumstances()[name].several or not any(other == name for other, _ in known):
                known[name, choice] = None
        return replace(self, facts=tuple(sorted(known)))


def in_order(signs: Iterable[str]) -> tuple[str, ...]:
    """Each sign once, as signs.yaml has them."""
    wanted = set(signs)
    return tuple(sign for sign in store.signs() if sign in wanted)
