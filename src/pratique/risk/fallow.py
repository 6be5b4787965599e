"""Water without fish: the chance that something in it can still infect, over the days.

No fish, so no generations: a cyst laid on the last day opens after its time, faster where warm, and what comes out
lives so long. All cysts are counted as laid on the last day, which is the worst. Below the coldest temperature of the
model a cyst is taken to stand still.
"""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Statement
from pratique.problem import Problem
from pratique.risk.answers import Point
from pratique.risk.chances import Chance, Weight, chance_of, limits_of, not_modelled, out_of_reach, weights_of
from pratique.risk.draws import Array, Draws, draws_of
from pratique.risk.kernels import EARLIEST_RELEASE, above
from pratique.risk.planned import no_temperature
from pratique.room.resolve import Animal, Room
from pratique.schedule.calendar import elapsed_hours, instant, plus_hours
from pratique.schedule.feeds import cut
from pratique.schedule.occupants import animals_of, residents_now

DAYS = (7.0, 14.0, 21.0, 28.0, 35.0, 42.0, 45.0, 56.0, 66.0, 76.0, 90.0, 120.0)
"""Days at which the curve is told: those of fallows in use are among them."""

LONGEST = 365
LEAST_CHANCE = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """Temperatures (degC) of a water without fish: `low` and `high` from hour `since` on."""

    since: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FallowRisk:
    """The chance that something in a water can still infect, `days` after its last fish (`since`).

    `still` are fish that are in it now; it is then as if they had left at `since`.
    """

    tank: str
    water: str
    agent: str
    since: dt.datetime
    days: float
    warmth: tuple[Warmth, ...]
    chance: Chance
    curve: tuple[Point, ...]
    limits: tuple[Statement, ...]
    weights: tuple[Weight, ...]
    longer: Point
    warmer: Point | None = None
    enough: tuple[tuple[str, float | None], ...] = ()
    still: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def for_fallow(
    room: Room,
    history: History | None,
    tank: str,
    at: dt.datetime,
    *,
    agent: str = "cryptocaryon",
    days: float | None = None,
    temperature: float | None = None,
    since: dt.datetime | None = None,
) -> FallowRisk | Problem:
    """The curve for the water of `tank`: from its last fish on, as warm as was read, then as in the file.

    `temperature` (degC) replaces what is to come. Without `days`, those of the longest fallow in use. `since` is day
    one where a clock knows it; else it is when the last fish left by the record.
    """
    missing = not_modelled(agent)
    if missing is not None:
        return missing
    water = room.tanks[tank].water
    left, still = _last_fish(room, history, water, at)
    since = left if since is None else since
    warmth = _warmth(room, history, tank, since, temperature)
    if isinstance(warmth, Problem):
        return warmth
    limits = limits_of(agent)
    outside = out_of_reach(agent, warmth[-1].low, max(stretch.high for stretch in warmth))
    if outside is not None:
        return outside
    known = store.pathogen(agent).number("fallow")
    wanted = days if days is not None else (known.value / 24 if known is not None else 76.0)
    found = _at(agent, warmth, wanted)
    longer = Point(at=wanted + 7, what="a week more", chance=chance_of(_at(agent, warmth, wanted + 7)))
    warmer = _warmer(agent, warmth, wanted)
    return FallowRisk(
        tank=tank, water=water, agent=agent, since=since, days=wanted, warmth=warmth, chance=chance_of(found),
        curve=tuple(
            Point(at=day, what="", chance=chance_of(_at(agent, warmth, day))) for day in sorted({*DAYS, wanted})
        ),
        limits=store.life_cycles()[agent].limits_of("fallow"), weights=weights_of(found, agent, ("cysts",)),
        longer=longer, warmer=warmer, enough=_enough(agent, warmth), still=still, notes=_notes(warmth, limits.low),
    )  # fmt: skip


def _last_fish(
    room: Room, history: History | None, water: str, at: dt.datetime
) -> tuple[dt.datetime, tuple[str, ...]]:
    """When the last fish left, and who is in it now. Without a word of it on record it begins now."""
    inside = [animal.label for animal in residents_now(room, history).get(water, ()) if _is_fish(animal)]
    if history is None or history.is_empty:
        return at, tuple(inside)
    stays = history.of_water(water).stays
    now = [stay.animal for stay in stays if stay.end is None and any(map(_is_fish, animals_of(room, [stay])))]
    if now or inside:
        return at, tuple(dict.fromkeys([*inside, *now]))
    ends = [stay.end for stay in stays if stay.end is not None and any(map(_is_fish, animals_of(room, [stay])))]
    return max(ends, key=instant, default=at), ()


def _is_fish(animal: Animal) -> bool:
    return animal.group.is_fish


def _warmth(
    room: Room, history: History | None, tank: str, since: dt.datetime, temperature: float | None
) -> tuple[Warmth, ...] | Problem:
    """Each reading carries to the next; after the last one what the file says, or `temperature`."""
    water = room.tanks[tank].water
    written = room.waters[water].conditions.temperature
    read: list[Warmth] = []
    if history is not None:
        for reading in cut(history.of_water(water).readings, (plus_hours(since, -24.0), None)):
            if reading.what == "temperature":
                low = reading.low if reading.low is not None else reading.value
                high = reading.high if reading.high is not None else reading.value
                read.append(Warmth(since=max(elapsed_hours(since, reading.at), 0.0), low=low, high=high))
    if temperature is not None:
        ahead = Warmth(since=0.0, low=temperature, high=temperature)
    elif written is not None:
        ahead = Warmth(since=0.0, low=written.low, high=written.high)
    elif read:
        ahead = read[-1]
    else:
        return no_temperature(room, tank)
    if not read:
        return (ahead,)
    now = elapsed_hours(since, history.at) if history is not None else 0.0
    read[0] = Warmth(since=0.0, low=read[0].low, high=read[0].high)
    return (*read, Warmth(since=max(now, read[-1].since + 1.0), low=ahead.low, high=ahead.high))


@lru_cache(maxsize=256)
def _at(agent: str, warmth: tuple[Warmth, ...], days: float) -> list[tuple[Draws, Array]]:
    return [(draws, chance_left(draws, warmth, days * 24)) for draws in draws_of(agent)]


def chance_left(draws: Draws, warmth: tuple[Warmth, ...], hours: float) -> Array:
    """By draw, the chance that any of its cysts, or what came out of one, lives after so many hours."""
    coldest = limits_of(_agent_of(draws)).low
    left = np.maximum(hours - draws.life, 0.0)
    aged = np.zeros(draws.count)
    ends = [*(w.since for w in warmth[1:]), math.inf]
    for stretch, end in zip(warmth, ends, strict=True):
        lasts = np.clip(np.minimum(left, end) - stretch.since, 0.0, None)
        degrees = (stretch.low + stretch.high) / 2 + draws.warmer * (stretch.high - stretch.low) / 2
        speed = np.exp(draws.release.slope * (degrees - draws.release.read_at))
        aged += lasts * np.where(degrees >= coldest - 1e-9, speed, 0.0)
    share = above((np.log(np.maximum(aged, 1e-9)) - draws.release.log_hours) / draws.release.spread)
    share = np.where(left < EARLIEST_RELEASE, 1.0, share)
    found: Array = -np.expm1(draws.cysts * np.log1p(-np.minimum(share, 1 - 1e-15)))
    return found


def _agent_of(draws: Draws) -> str:
    return next(id_ for id_, cycle in store.life_cycles().items() if draws.strain in cycle.strains)


def _warmer(agent: str, warmth: tuple[Warmth, ...], days: float) -> Point | None:
    last = warmth[-1]
    if out_of_reach(agent, last.low, last.high + 2) is not None:
        return None
    changed = (*warmth[:-1], Warmth(since=last.since, low=last.low + 2, high=last.high + 2))
    return Point(at=days, what="two degrees warmer from now on", chance=chance_of(_at(agent, changed, days)))


def _enough(agent: str, warmth: tuple[Warmth, ...]) -> tuple[tuple[str, float | None], ...]:
    """By strain, the first day on which even the high end is under LEAST_CHANCE; None where no day of a year is."""
    found: list[tuple[str, float | None]] = []
    for draws in draws_of(agent):
        high = (float(np.percentile(chance_left(draws, warmth, day * 24.0), 95)) for day in range(1, LONGEST))
        day = next((float(number) for number, chance in enumerate(high, 1) if chance < LEAST_CHANCE), None)
        found.append((draws.strain.title, day))
    return tuple(found)


def _notes(warmth: tuple[Warmth, ...], coldest: float) -> tuple[str, ...]:
    found = []
    if len(warmth) > 1:
        found.append("as warm as it was read up to now, each reading until the next; then as the file or you say")
    if any(w.low < coldest for w in warmth[:-1]):
        found.append(f"hours below {coldest:g} degC are taken to bring a cyst no further")
    return tuple(found)
