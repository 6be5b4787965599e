"""The dates of a transfer series: never further apart than the interval, in the first hours of light if possible."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Treatment, cite
from pratique.problem import Problem
from pratique.schedule.calendar import Calendar, instant, plus_hours
from pratique.schedule.timeline import Due, Timeline, nobody

BEFORE_LIMIT = 16.0
"""Hours a morning move may come before its limit: moves are best in the first hours of light (WAT20)."""

SHORTEST = 12.0
"""Hours: moves closer together than this are no series, however fast a tank may dry."""

MOST_TRIES = 500
"""Moves tried before a series is given up as impossible."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spacing:
    """The figures of one series at the temperatures of its tanks: hours, a count of moves, whole days."""

    interval: Sourced
    moves: int
    days: int
    dry: float
    margin: float


def transfer_spacing(treatment: Treatment, temperatures: Iterable[float | None]) -> Spacing | Problem:
    """The strictest figures of all these temperatures (degC), or why there are none."""
    found: list[list[Sourced]] = []
    for temperature in dict.fromkeys(temperatures):
        numbers = [treatment.number(name, temperature) for name in ("interval", "moves", "minimum")]
        known = [number for number in numbers if number is not None]
        if len(known) < len(numbers):
            return _no_interval(treatment, temperature)
        found.append(known)
    interval = min((entry[0] for entry in found), key=lambda number: number.value)
    dry = treatment.needed("dry")
    if interval.value < max(dry.value, SHORTEST):
        return _too_short(treatment, interval, dry)
    return Spacing(
        interval=interval,
        moves=max(round(entry[1].value) for entry in found),
        days=max(round(entry[2].value / 24) for entry in found),
        dry=dry.value,
        margin=store.routine().needed("move_margin").value,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """How far a series has come: day one, the moment before which nothing more can be done, when a tank is `ready`."""

    day_one: dt.date
    now: dt.datetime
    ready: dt.datetime


def transfer_times(
    calendar: Calendar, spacing: Spacing, start: dt.datetime, begun: Begun | None = None
) -> Timeline | Problem:
    """As many moves as the cycle needs, each within the interval of the last in elapsed hours.

    Days are counted as the trade does, by the calendar: in on day 1, moved on days 4, 7, 10 and 13. A series of
    mornings is looked for first, then one at any hours; only then is it given up. Of a series that has `begun`,
    `start` is the last move made, and `spacing` counts those still to be made.
    """
    series = _search(calendar, spacing, start, begun, mornings=True)
    return series if isinstance(series, Timeline) else _search(calendar, spacing, start, begun, mornings=False)


def _search(
    calendar: Calendar, spacing: Spacing, start: dt.datetime, begun: Begun | None, *, mornings: bool
) -> Timeline | Problem:
    """Moves one after the other; where a later one finds nobody there, earlier ones are tried at other hours."""
    found: list[Due] = []
    day_one = begun.day_one if begun is not None else start.date()
    trail = [_first(_candidates(calendar, spacing, start, mornings), begun)]
    dead_ends: set[tuple[dt.datetime, int]] = set()
    furthest = (start, plus_hours(start, spacing.interval.value))
    for _ in range(MOST_TRIES):
        at = next(trail[-1], None)
        if at is None:
            trail.pop()
            if not trail:
                break
            dead_ends.add((instant(found.pop().at), len(found)))
            continue
        before = found[-1].at if found else start
        if found and begun is not None:
            before = max(before, begun.now, key=instant)
        if (instant(at), len(found)) in dead_ends:
            continue
        found.append(Due(at, plus_hours(before, spacing.interval.value)))
        if len(found) >= spacing.moves and (at.date() - day_one).days >= spacing.days:
            return Timeline(start=start, end=at, moves=tuple(found), interval=spacing.interval.value)
        furthest = max(furthest, (at, plus_hours(at, spacing.interval.value)), key=lambda pair: instant(pair[0]))
        made = at if begun is None else max(at, begun.now, key=instant)
        trail.append(_candidates(calendar, spacing, made, mornings))
    return nobody(*furthest, "a transfer is due by then")


def _first(chances: Iterator[dt.datetime], begun: Begun | None) -> Iterator[dt.datetime]:
    """The next move of a series that has begun keeps its hour while its limit has not passed; else it is later."""
    if begun is None:
        yield from chances
        return
    dry = (at for at in chances if instant(at) >= instant(begun.ready) or instant(begun.ready) <= instant(begun.now))
    best = next(dry, None)
    if best is not None:
        yield best
        yield from (at for at in dry if instant(at) >= instant(begun.now))


def _candidates(calendar: Calendar, spacing: Spacing, before: dt.datetime, mornings: bool) -> Iterator[dt.datetime]:
    """When the next move may be, the best first: a morning with a margin, a morning, then any hour at all."""
    limit = plus_hours(before, spacing.interval.value)
    earliest = plus_hours(before, spacing.dry)
    near = max(earliest, plus_hours(limit, -BEFORE_LIMIT), key=instant)
    sooner = plus_hours(limit, -spacing.margin)
    yield from calendar.chances(near, sooner, morning=True)
    yield from calendar.chances(near, limit, morning=True)
    if mornings:
        return
    yield from calendar.chances(earliest, sooner)
    yield from calendar.chances(earliest, limit)
    opening = calendar.first_from(earliest)
    if opening is not None and instant(opening) <= instant(limit):
        yield opening


def _no_interval(treatment: Treatment, temperature: float | None) -> Problem:
    if temperature is None:
        return Problem(
            code="S507",
            message="the temperature of the transfer tanks is not known, and the interval depends on it",
            hint="measure it and add a line such as `temperature: 25 degC` to each",
        )
    known = treatment.numbers.get("interval", ())
    warmest = max((number.below for number in known if number.below is not None), default=None)
    warm = warmest is not None and temperature >= warmest
    return Problem(
        code="S507",
        message=f"there is no transfer interval for {temperature:g} degC",
        note="no interval was published for water this warm"
        if warm
        else "in cool water the parasite stays longer on the fish, and no interval was published",
        source="AQ18, abstract (V)",
        hint="bring the transfer tanks to 24 to 28 degC first",
    )


def _too_short(treatment: Treatment, interval: Sourced, dry: Sourced) -> Problem:
    return Problem(
        code="S502",
        message=f"an interval of {interval.value:g} h is shorter than the {max(dry.value, SHORTEST):g} h "
        "between two moves that a tank needs to dry",
        source=cite(dry),
        hint=f"write a longer `{treatment.id}.interval` under `values:`, or delete the line",
    )
