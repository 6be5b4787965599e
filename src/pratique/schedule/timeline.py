"""The dates of one stage, each derived from the biology it is for. Pure: a start in, moments out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pratique.dosing.ramp import Rung
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Treatment
from pratique.problem import Problem
from pratique.schedule.calendar import Calendar, elapsed_hours, instant, plus_hours, shown

DOSE_WINDOW = 12.0
"""Hours a dose may still be given after its moment, where no window is on file."""

DOSES = 3
"""Doses of a course: the second and the third each meet the worms that have hatched since."""

NEVER_BACK = 24 * 30.0
"""Hours named in the message where nobody is there any more at all."""


@dataclass(frozen=True, slots=True)
class Due:
    """A moment, and the end of the window it may move in. `wished` is the moment it would have without absences.

    `done` is on record, with the `amount` of `product` that was given, in `tank`. Of what is overdue `until` has
    passed, `at` is when it can be done now, and `note` says what being late costs.
    """

    at: dt.datetime
    until: dt.datetime
    wished: dt.datetime | None = None
    done: bool = False
    tank: str = ""
    product: str = ""
    amount: Figure | None = None
    note: str = ""

    @property
    def is_late(self) -> bool:
        """True where it was due before it can be done."""
        return not self.done and instant(self.at) > instant(self.until)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timeline:
    """A stage's ends and its inner moments, those of the past by the record where there is one.

    `moves` are the transfers; `doses` the additions, and `levels` what each should bring; `in_band` the first
    reading expected in band, from which the days of copper count to `counted`; `changes` the water changes that
    take copper out of a tank the fish stay in; `interval` the hours allowed between two transfers. `due_end`: when a
    stage should have ended whose fish are still in its tank.
    """

    start: dt.datetime
    end: dt.datetime
    moves: tuple[Due, ...] = ()
    doses: tuple[Due, ...] = ()
    levels: tuple[float, ...] = ()
    in_band: dt.datetime | None = None
    counted: dt.datetime | None = None
    changes: tuple[Due, ...] = ()
    interval: float = 0.0
    due_end: dt.datetime | None = None


def hold_times(
    calendar: Calendar,
    treatment: Treatment,
    climb: tuple[Rung, ...],
    start: dt.datetime,
    *,
    changes_after: int | None = None,
    at_once: bool = False,
    second: bool = False,
) -> Timeline | Problem:
    """Rest, ramp, then days counted from the first reading in band (planned; the readings decide), or the `second`.

    `changes_after`: the fish stay in this tank, so the longer course holds, and this many daily changes take the
    copper out. `at_once` leaves the day of rest out: with signs of the fast killer there is no day to give.
    """
    stays = changes_after is not None
    course = treatment.needed("course_same_tank" if stays else "course")
    doses = _climb_times(calendar, climb, plus_hours(start, 0.0 if at_once else rest_hours()))
    if isinstance(doses, Problem):
        return doses
    apart = treatment.needed("test_interval_first").value * (2 if second else 1)
    in_band = calendar.first_from(plus_hours(doses[-1].at, apart))
    if in_band is None:
        return never_back(plus_hours(doses[-1].at, apart), "copper is to be read")
    counted = calendar.first_from(plus_hours(in_band, course.value))
    if counted is None:
        return never_back(plus_hours(in_band, course.value), "copper is to be read")
    changes = daily_times(calendar, counted, changes_after or 0)
    wait = 24.0 if stays else _value(treatment, "wait_after")
    over = plus_hours(changes[-1].at if changes else counted, wait)
    end = calendar.first_from(over)
    if end is None:
        return never_back(over, "the hold ends")
    return Timeline(
        start=start,
        end=end,
        doses=doses,
        levels=tuple(rung.level for rung in climb),
        in_band=in_band,
        counted=counted,
        changes=changes,
    )


def _climb_times(calendar: Calendar, climb: tuple[Rung, ...], first: dt.datetime) -> tuple[Due, ...] | Problem:
    """One moment to a rung. A rung put off puts off all after it: two steps are never closer than the ramp asks."""
    doses: list[Due] = []
    for index, rung in enumerate(climb):
        wished = plus_hours(doses[-1].at, rung.hours - climb[index - 1].hours) if doses else first
        at = calendar.first_from(wished)
        if at is None:
            return never_back(wished, "a dose is due")
        doses.append(Due(at, plus_hours(at, DOSE_WINDOW), wished))
    return tuple(doses)


def daily_times(calendar: Calendar, start: dt.datetime, count: int) -> tuple[Due, ...]:
    """`count` moments, the first at `start`, the others a day apart as far as somebody is there."""
    found = [Due(start, plus_hours(start, DOSE_WINDOW), start)] if count else []
    while 0 < len(found) < count:
        wished = plus_hours(found[-1].at, 24)
        at = calendar.first_from(wished)
        if at is None:
            break
        found.append(Due(at, plus_hours(at, DOSE_WINDOW), wished))
    return tuple(found)


def course_times(
    calendar: Calendar, treatment: Treatment, temperature: float | None, start: dt.datetime
) -> Timeline | Problem:
    """Doses timed on the parasite's eggs at this temperature (degC); each later one has a window.

    The window of the third is counted from the first and, as the second moves, from the second (agents 18.3).
    """
    rested = plus_hours(start, rest_hours())
    first = calendar.first_from(rested)
    if first is None:
        return never_back(rested, "the first dose is due")
    doses = [Due(first, plus_hours(first, DOSE_WINDOW), first)]
    while len(doses) < DOSES:
        due = next_dose(calendar, treatment, temperature, doses)
        if isinstance(due, Problem):
            return due
        doses.append(due)
    over = plus_hours(doses[-1].at, pause_hours())
    end = calendar.first_from(over)
    if end is None:
        return never_back(over, "the course ends")
    return Timeline(start=start, end=end, doses=tuple(doses))


class Window(NamedTuple):
    """When a later dose may be given, and the moment it is best given at."""

    earliest: dt.datetime
    limit: dt.datetime
    wished: dt.datetime


def dose_window(treatment: Treatment, temperature: float | None, doses: Sequence[Due]) -> Window | Problem:
    """The window of the dose after `doses` (one or two); it moves with the second where that was early or late."""
    second, third = (treatment.number(name, temperature) for name in ("second_dose", "third_dose"))
    if second is None or third is None:
        return _no_repeat(treatment, temperature)
    number = second if len(doses) == 1 else third
    first = doses[0].at
    low, high = day_window(number)
    shift = elapsed_hours(first, doses[1].at) - second.value if len(doses) > 1 else 0.0
    earliest, limit = plus_hours(first, low + max(shift, 0.0)), plus_hours(first, high + min(shift, 0.0))
    wished = plus_hours(first, min(max(number.value + shift, low), high))
    if not instant(doses[-1].at) < instant(earliest) <= instant(limit):
        return _out_of_order(treatment, number, second)
    return Window(earliest, limit, wished)


def next_dose(
    calendar: Calendar, treatment: Treatment, temperature: float | None, doses: Sequence[Due]
) -> Due | Problem:
    """The dose after `doses`, inside its window."""
    window = dose_window(treatment, temperature, doses)
    if isinstance(window, Problem):
        return window
    earliest, limit, wished = window
    at = calendar.first_from(wished)
    if at is None or instant(at) > instant(limit):
        at = calendar.latest_between(earliest, limit)
    if at is None:
        return nobody(earliest, limit, f"a dose of {treatment.id} is due in that window")
    return Due(at, limit, wished)


def day_window(number: Sourced) -> tuple[float, float]:
    """The ends of a dose's window in hours; a single figure is read as that day, half a day to either side."""
    half = 12.0 if number.low == number.high else 0.0
    return number.low - half, number.high + half


def _no_repeat(treatment: Treatment, temperature: float | None) -> Problem:
    if temperature is None:
        reason, hint = "the temperature is not known", "measure the water and add a line such as `temperature: 25 degC`"
    else:
        reason, hint = f"no figure was read for {temperature:g} degC", "keep the water at 22 to 28 degC for the course"
    return Problem(
        code="S507",
        message=f"the second dose of {treatment.id} cannot be dated: {reason}",
        note="its window lies between the hatching of the eggs and the laying of the new worms",
        hint=f"{hint}; or give the days under `values:` as `{treatment.id}.second_dose` and `.third_dose`",
    )


def _out_of_order(treatment: Treatment, number: Sourced, second: Sourced) -> Problem:
    return Problem(
        code="S502",
        message=f"the doses of {treatment.id} contradict each other: the second on day {second.value / 24:g}, "
        f"the third on day {number.value / 24:g}",
        note="days are counted from the first dose; one of the two is the keeper's own value",
        hint=f"write both `{treatment.id}.second_dose` and `{treatment.id}.third_dose` under `values:`",
    )


def watch_times(calendar: Calendar, treatment: Treatment, start: dt.datetime) -> Timeline | Problem:
    """Whole days of watching, from the day in to the same hour of the last day."""
    over = plus_hours(start, treatment.needed("days").value)
    end = calendar.first_from(over)
    if end is None:
        return never_back(over, "the watch ends")
    return Timeline(start=start, end=end)


def nobody(after: dt.datetime, before: dt.datetime, what: str) -> Problem:
    """The problem of an act that is due when nobody is there, and that may not move."""
    return Problem(
        code="S503",
        message=f"nobody is there between {shown(after)} and {shown(before)}, and {what}",
        hint="name a `stand_in` for the days away, widen `hours`, or let the batch arrive on another day",
    )


def never_back(after: dt.datetime, what: str) -> Problem:
    """The same where nobody is there any more at all, from `after` on."""
    return nobody(after, plus_hours(after, NEVER_BACK), what)


def pause_hours() -> float:
    """Hours between the last dose of a course and its end."""
    return _routine("after_last_dose")


def rest_hours() -> float:
    """Hours between the arrival in a tank and the first dose of a medicine."""
    return _routine("rest")


def _routine(name: str) -> float:
    return store.routine().needed(name).value


def _value(treatment: Treatment, name: str) -> float:
    number = treatment.number(name)
    return number.value if number is not None else 0.0
