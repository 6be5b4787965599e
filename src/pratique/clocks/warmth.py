"""How warm a water was, stretch by stretch: each as warm as the colder of the readings at its ends."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

from pratique.clocks.moments import TINY, hours_between, hours_later, instant

Warmth = Literal["cold", "plain", "warm", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Temperature:
    """A reading of the water's temperature (degC), with the ends of the thermometer's error."""

    at: dt.datetime
    value: float
    low: float
    high: float
    entry_id: str = ""

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.value} is outside its own range {self.low} to {self.high}")


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmthRule:
    """degC: `warm` from here (up to, not at, `hot`); below `coldest` an agent outlives its figure. None: no such limit.

    `gap` (h) is how long a temperature carries.
    """

    gap: float
    warm: float | None = None
    hot: float | None = None
    coldest: float | None = None


class Spell(NamedTuple):
    """A stretch of one warmth; `reading` is the colder one it rests on, None where there is none."""

    start: dt.datetime
    end: dt.datetime
    warmth: Warmth
    reading: Temperature | None

    @property
    def hours(self) -> float:
        """How long it lasted, in elapsed hours."""
        return hours_between(self.start, self.end)


def spells(
    temperatures: Iterable[Temperature], rule: WarmthRule, start: dt.datetime, at: dt.datetime
) -> Iterator[Spell]:
    """The stretches from `start` to `at`, without a hole between them.

    Warm is only what has a warm reading at both ends and no longer between them than a reading carries; cold is
    whatever has a cold reading at either end, however long. The last reading carries for `gap` hours.
    """
    start, at = instant(start), instant(at)
    for spell in _all(_coldest_first(temperatures, at), rule, start, at):
        first, last = max(spell.start, start), min(spell.end, at)
        if first < last:
            yield spell._replace(start=first, end=last)


def _coldest_first(temperatures: Iterable[Temperature], at: dt.datetime) -> list[tuple[dt.datetime, Temperature]]:
    """In order; of several at one moment the coldest."""
    coldest: dict[dt.datetime, Temperature] = {}
    for reading in temperatures:
        moment = instant(reading.at)
        known = coldest.get(moment)
        if moment <= at and (known is None or _key(reading) < _key(known)):
            coldest[moment] = reading
    return sorted(coldest.items())


def _key(reading: Temperature) -> tuple[float, float, float, str]:
    return reading.low, reading.value, reading.high, reading.entry_id


def _all(
    known: list[tuple[dt.datetime, Temperature]], rule: WarmthRule, start: dt.datetime, at: dt.datetime
) -> Iterator[Spell]:
    if not known:
        yield Spell(start, at, "unknown", None)
        return
    first_at, first = known[0]
    if first_at > start:
        yield Spell(start, first_at, "cold" if _warmth(first, rule) == "cold" else "unknown", first)
    for (before_at, before), (after_at, after) in pairwise(known):
        yield from _between(before_at, before, after_at, after, rule)
    last_at, last = known[-1]
    yield from _between(last_at, last, at, last, rule)


def _between(
    before_at: dt.datetime, before: Temperature, after_at: dt.datetime, after: Temperature, rule: WarmthRule
) -> Iterator[Spell]:
    colder = min(before, after, key=lambda reading: reading.low)
    warmths = {_warmth(before, rule), _warmth(after, rule)}
    carries_to = hours_later(before_at, rule.gap)
    if "cold" in warmths:
        yield Spell(before_at, after_at, "cold", colder)
    elif after_at <= carries_to:
        yield Spell(before_at, after_at, "plain" if "plain" in warmths else "warm", colder)
    else:
        carried: Warmth = "warm" if warmths == {"warm"} else "plain"
        yield Spell(before_at, carries_to, carried, colder)
        yield Spell(carries_to, after_at, "unknown", None)


def _warmth(reading: Temperature, rule: WarmthRule) -> Warmth:
    if rule.coldest is not None and reading.low < rule.coldest - TINY:
        return "cold"
    if rule.warm is None or reading.low < rule.warm - TINY:
        return "plain"
    return "plain" if rule.hot is not None and reading.high >= rule.hot else "warm"
