"""Whether a tank is dry when fish are moved into it, by what is on record of it."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pratique.clocks.moments import SAME_HOURS, hours_between, instant
from pratique.clocks.state import spoken

DryState = Literal["dry", "wet", "unproven"]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankEvent:
    """A tank was left wet (fish out, or wet gear in it), or is visibly dry from now on."""

    at: dt.datetime
    tank: str
    what: Literal["left", "dry"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DryRule:
    """Hours: `dry` after it is visibly dry; `margin` more where nobody wrote down when that was."""

    dry: float
    margin: float


class Dry(NamedTuple):
    """`unproven` is long enough empty to be dry, with no word of it on record."""

    state: DryState
    why: str = ""


class Dryness:
    """What is known of the tanks of one series."""

    def __init__(self, events: Iterable[TankEvent], rule: DryRule) -> None:
        self._rule = rule
        self._events: defaultdict[str, list[tuple[dt.datetime, str]]] = defaultdict(list)
        for event in events:
            # of one moment, the tank was left first and dry then
            self._events[event.tank].append((instant(event.at), "1 dry" if event.what == "dry" else "0 left"))
        for known in self._events.values():
            known.sort()

    def of(self, tank: str, moment: dt.datetime) -> Dry:
        """How the tank stands when fish come into it. One never used before is dry."""
        left, dried = self._last_left(tank, moment)
        if left is None and dried is None:
            return Dry("dry")
        if dried is not None:
            hours = hours_between(dried, moment)
            if hours >= self._rule.dry - SAME_HOURS:
                return Dry("dry")
            return Dry("wet", f"visibly dry for only {spoken(hours)}")
        assert left is not None  # one of the two is known
        hours = hours_between(left, moment)
        long_enough = hours >= self._rule.dry + self._rule.margin - SAME_HOURS
        return Dry("unproven" if long_enough else "wet", f"left {spoken(hours)} before")

    def _last_left(self, tank: str, moment: dt.datetime) -> tuple[dt.datetime | None, dt.datetime | None]:
        """When the tank was last left wet, and when it first was dry after that."""
        known = self._events.get(tank, [])
        dried = None
        for index in range(bisect_right(known, (moment, "2")) - 1, -1, -1):
            at, what = known[index]
            if what == "0 left":
                return at, dried
            dried = at
        return None, dried
