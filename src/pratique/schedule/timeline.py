"""The dates of one stage, each derived from the biology it is for. Pure: a start in, moments out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from pratique.dosing.ramp import Rung
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import Problem
from pratique.schedule.calendar import Calendar, plus_hours

EARLY_MORNING = 16.0
"""Hours: a morning move may be this much before its limit (moves are best in the first hours of light, WAT20)."""

MOST_MOVES = 12


@dataclass(frozen=True, slots=True)
class Due:
    """A moment and the window it may move in: not before `at` was chosen, not after `until`."""

    at: dt.datetime
    until: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """A stage's end and its inner moments: transfers, doses, the first reading in band, the end of counting."""

    start: dt.datetime
    end: dt.datetime
    moves: tuple[Due, ...] = ()
    doses: tuple[Due, ...] = ()
    in_band: dt.datetime | None = None
    counted: dt.datetime | None = None
    interval: float = 0.0


def transfer_times(calendar: Calendar, treatment: Treatment, temperature: float | None, start: dt.datetime) -> Timeline | Problem:
    """Moves no further apart than the interval at this temperature, as many as the cycle needs.

    Elapsed hours, across clock changes too. Each move is put in the first hours of light where they fall
    within reach of the limit, half an hour before it where the keeper's hours allow.
    """
    interval, moves, minimum = (treatment.number(name, temperature) for name in ("interval", "moves", "minimum"))
    if interval is None or moves is None or minimum is None:
        return _no_interval(treatment, temperature)
    found: list[Due] = []
    before = start
    while len(found) < moves.value or (found[-1].at.date() - start.date()).days < round(minimum.value / 24):
        limit = plus_hours(before, interval.value)
        at = _move_before(calendar, before, limit, treatment)
        if at is None or len(found) >= MOST_MOVES:
            return _nobody(limit, before, "a transfer is due by then")
        found.append(Due(at, limit))
        before = at
    return Timeline(start=start, end=found[-1].at, moves=tuple(found), interval=interval.value)


def _move_before(calendar: Calendar, before: dt.datetime, limit: dt.datetime, treatment: Treatment) -> dt.datetime | None:
    margin = store.routine().needed("move_margin").value
    earliest = plus_hours(before, treatment.needed("dry").value)
    near = max(earliest, plus_hours(limit, -EARLY_MORNING))
    sooner = plus_hours(limit, -margin)
    return (
        calendar.latest_between(near, sooner, morning=True)
        or calendar.latest_between(near, limit, morning=True)
        or calendar.latest_between(earliest, sooner)
        or calendar.latest_between(earliest, limit)
    )


def _no_interval(treatment: Treatment, temperature: float | None) -> Problem:
    if temperature is None:
        return Problem(code="S507", message="the temperature of the transfer tanks is not known, and the interval depends on it",
                       hint="measure it and add a line such as `temperature: 25 degC` to each")
    return Problem(code="S507", message=f"there is no transfer interval for {temperature:g} degC",
                   note="in cool water the parasite stays longer on the fish and no interval was published",
                   source="AQ18, abstract (V)", hint="warm the water to 22 degC or more first")


def _nobody(limit: dt.datetime, after: dt.datetime, what: str) -> Problem:
    return Problem(
        code="S503",
        message=f"nobody is there between {after:%a %d %b %H:%M} and {limit:%a %d %b %H:%M}, and {what}",
        hint="name a stand-in for the days away, widen the hours, or let the batch arrive on another day",
    )


def hold_times(calendar: Calendar, treatment: Treatment, climb: tuple[Rung, ...], start: dt.datetime, *,
               clean_tank_next: bool, at_once: bool = False) -> Timeline | Problem:
    """Rest, ramp, then days counted from the first reading in band (planned; the readings decide).

    `at_once` leaves the day of rest out: with signs of the fast killer there is no day to give.
    """
    course = treatment.number("course" if clean_tank_next else "course_same_tank")
    if course is None:
        return Problem(code="S508", message=f"{treatment.id} needs a clean tank to move to after the course, and none is free",
                       note="the days counted hold only with a move; no figure for staying in the same tank was read",
                       hint="add a second tank, or choose another regimen")
    rest = 0.0 if at_once else store.routine().needed("rest").value
    first = calendar.first_from(plus_hours(start, rest))
    if first is None:
        return _nobody(plus_hours(start, 24 * 30), start, "the first dose is due")
    doses: list[Due] = []
    for rung in climb:
        at = calendar.first_from(plus_hours(first, rung.hours))
        if at is None:
            return _nobody(plus_hours(first, rung.hours), start, "a dose is due")
        doses.append(Due(at, plus_hours(at, 12)))
    in_band = calendar.first_from(plus_hours(doses[-1].at, treatment.needed("test_interval_first").value))
    if in_band is None:
        return _nobody(plus_hours(doses[-1].at, 12), start, "a reading is due")
    counted = calendar.first_from(plus_hours(in_band, course.value))
    wait = treatment.number("wait_after")
    end = calendar.first_from(plus_hours(counted, wait.value)) if counted is not None and wait is not None else counted
    if counted is None or end is None:
        return _nobody(plus_hours(in_band, course.value), start, "the hold ends")
    return Timeline(start=start, end=end, doses=tuple(doses), in_band=in_band, counted=counted)


def course_times(calendar: Calendar, treatment: Treatment, temperature: float | None, start: dt.datetime) -> Timeline | Problem:
    """Doses timed on the parasite's eggs at this temperature; each later one has a window."""
    later = [treatment.number(name, temperature) for name in ("second_dose", "third_dose")]
    if any(number is None for number in later):
        shown = "the temperature is not known" if temperature is None else f"no figure was read for {temperature:g} degC"
        return Problem(code="S507", message=f"the second dose of {treatment.id} cannot be dated: {shown}",
                       hint="measure the water and add a line such as `temperature: 25 degC`; or give the days under `values:`")
    first = calendar.first_from(plus_hours(start, store.routine().needed("rest").value))
    if first is None:
        return _nobody(plus_hours(start, 24 * 30), start, "the first dose is due")
    doses = [Due(first, plus_hours(first, 12))]
    for number in later:
        assert number is not None
        limit = plus_hours(first, number.high)
        at = calendar.first_from(plus_hours(first, number.value))
        if at is None or at > limit:
            at = calendar.latest_between(plus_hours(first, number.low), limit)
        if at is None:
            return _nobody(limit, plus_hours(first, number.low), f"a dose of {treatment.id} is due in that window")
        doses.append(Due(at, limit))
    end = calendar.first_from(plus_hours(doses[-1].at, store.routine().needed("after_last_dose").value))
    if end is None:
        return _nobody(plus_hours(doses[-1].at, 72), doses[-1].at, "the course ends")
    return Timeline(start=start, end=end, doses=tuple(doses))


def watch_times(calendar: Calendar, treatment: Treatment, start: dt.datetime) -> Timeline | Problem:
    """Whole days of watching, from the day in to the same hour of the last day."""
    days = treatment.needed("days")
    end = calendar.first_from(plus_hours(start, days.value))
    if end is None:
        return _nobody(plus_hours(start, days.value), start, "the observation ends")
    return Timeline(start=start, end=end)
