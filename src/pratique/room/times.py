"""Dates, times of day and working hours as a keeper writes them, and the moment each one means."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from pydantic import BeforeValidator

from pratique.dates import full_day
from pratique.problem import quoted
from pratique.room.written import Form
from pratique.room.wrong import Wrong, need_text


@dataclass(frozen=True, slots=True)
class When:
    """A local date, with a time or (a whole day) without; `offset` where the keeper gave one."""

    text: str
    date: dt.date
    time: dt.time | None = None
    offset: dt.timedelta | None = None


_DATE = re.compile(r"(?P<y>[0-9]{4})-(?P<m>[0-9]{1,2})-(?P<d>[0-9]{1,2})(?:(?:T|t| +)(?P<t>.+))?")
_TIME = re.compile(
    r"(?P<h>[0-9]{1,2})[:.](?P<m>[0-9]{2})(?::(?P<s>[0-9]{2}))? ?"
    r"(?P<o>Z|[+-][0-9]{2}:?[0-9]{2})?"
)
_SHORT_YEAR = re.compile(r"[0-9]{2}[/.-][0-9]{1,2}[/.-][0-9]{1,2}|[0-9]{1,2}[/.-][0-9]{1,2}[/.-][0-9]{2}")
_EXAMPLE = "write year-month-day, such as `2027-03-05`"


def read_when(value: Any) -> When:
    if isinstance(value, When):
        return value
    text = " ".join(need_text(value, "a date").split())
    found = _DATE.fullmatch(text)
    if found is None:
        raise _wrong_date(text)
    try:
        date = dt.date(int(found["y"]), int(found["m"]), int(found["d"]))
    except ValueError:
        raise Wrong("F115", f"{quoted(text)} is not a day of the calendar", _EXAMPLE) from None
    if not 1990 <= date.year <= 2150:
        raise Wrong("F115", f"{quoted(text)} lies outside 1990 to 2150", "check the year", part=found["y"])
    if found["t"] is None:
        return When(text=text, date=date)
    time, offset = read_clock_time(found["t"])
    return When(text=text, date=date, time=time, offset=offset)


def read_clock_time(text: str) -> tuple[dt.time, dt.timedelta | None]:
    """`8:30`, `08:30`, `20:00+02:00`: a time of day and the offset where one is given."""
    text = text.strip()
    found = _TIME.fullmatch(text)
    if found is None or int(found["h"]) > 23 or int(found["m"]) > 59 or int(found["s"] or 0) > 59:
        raise _wrong_time(text)
    time = dt.time(int(found["h"]), int(found["m"]), int(found["s"] or 0))
    return time, _read_offset(found["o"], text) if found["o"] else None


def _read_offset(written: str, text: str) -> dt.timedelta:
    if written == "Z":
        return dt.timedelta(0)
    digits = written.replace(":", "")
    hours, minutes = int(digits[1:3]), int(digits[3:5])
    if hours > 14 or minutes > 59:
        message = f"{quoted(text)} has an offset that no time zone has"
        raise Wrong("F115", message, "write such as `+01:00`", part=written)
    return dt.timedelta(hours=hours, minutes=minutes) * (-1 if digits[0] == "-" else 1)


def _wrong_time(text: str) -> Wrong:
    twelve = re.fullmatch(r"([0-9]{1,2})(?:[:.]?([0-9]{2}))? ?([ap])\.?m\.?", text, re.I)
    if twelve and 1 <= int(twelve[1]) <= 12 and int(twelve[2] or 0) <= 59:
        hour = int(twelve[1]) % 12 + (12 if twelve[3].lower() == "p" else 0)
        hint = f"write `{hour:02}:{twelve[2] or '00'}`"
        return Wrong("F115", f"{quoted(text)} is in the twelve-hour form", hint, part=text)
    hint = "write hours and minutes, such as `08:30` or `18:00`"
    if re.fullmatch(r"24[:.]00", text):
        hint = "write `23:59`, or `00:00` of the next day"
    return Wrong("F115", f"{quoted(text)} is not a time of day", hint, part=text)


def _wrong_date(text: str) -> Wrong:
    slashed = re.fullmatch(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})(.*)", text)
    if slashed:
        a, b, year, rest = int(slashed[1]), int(slashed[2]), slashed[3], slashed[4]
        days = [f"`{year}-{m:02}-{d:02}{rest}`" for d, m in ((a, b), (b, a)) if 1 <= m <= 12 and 1 <= d <= 31]
        days = list(dict.fromkeys(days))
        if len(days) == 2:
            hint = f"write {days[0]} or {days[1]}, year first"
            return Wrong("F115", f"{quoted(text)} could be two different days", hint)
        hint = f"write {days[0]}" if days else _EXAMPLE
        return Wrong("F115", f"{quoted(text)} is not written year first", hint)
    if found := re.fullmatch(r"([0-9]{4})[/.]([0-9]{1,2})[/.]([0-9]{1,2})(.*)", text):
        hint = f"write `{found[1]}-{found[2]}-{found[3]}{found[4]}`"
        return Wrong("F115", f"{quoted(text)} has other signs than `-` between its parts", hint)
    if _SHORT_YEAR.fullmatch(text):
        hint = "write all four, year first, such as `2027-03-05`"
        return Wrong("F115", f"{quoted(text)} has a year of two digits", hint)
    if _TIME.fullmatch(text) or re.fullmatch(r"[0-9]{1,2} ?[ap]m", text, re.I):
        return Wrong("F115", f"{quoted(text)} has no day", "write the day too, such as `2027-03-05T18:00`")
    hint = f"{_EXAMPLE}, or with a time `2027-03-05T18:00`"
    return Wrong("F115", f"{quoted(text)} is not a date", hint)


WhenField = Annotated[
    When, BeforeValidator(read_when), Form("year-month-day, a time may follow", "2027-03-05T18:00")
]


@dataclass(frozen=True, slots=True)
class Hours:
    """A stretch of the day in which somebody can work, local time, `start` before `end`."""

    text: str
    start: dt.time
    end: dt.time


def read_hours(value: Any) -> tuple[Hours, ...]:
    """`07:00-09:00, 18:00-22:00`, or a list of such stretches, in the order of the day."""
    if isinstance(value, Mapping):
        need_text(value, "working hours")
    items = value if isinstance(value, (list, tuple)) else need_text(value, "working hours").split(",")
    found = sorted((_read_stretch(item) for item in items), key=lambda hours: hours.start)
    for first, second in pairwise(found):
        if second.start < first.end:
            message = f"{quoted(first.text)} and {quoted(second.text)} overlap"
            raise Wrong("F118", message, "write them as one stretch")
    if not found:
        raise Wrong("F112", "no hours are given", "write such as `07:00-09:00, 18:00-22:00`")
    return tuple(found)


def _read_stretch(item: Any) -> Hours:
    if isinstance(item, Hours):
        return item
    text = " ".join(need_text(item, "working hours").split())
    ends = re.split(r" ?(?:-|–|\bto\b) ?", text)
    if len(ends) != 2:
        hint = "write such as `07:00-09:00`, several with commas"
        raise Wrong("F115", f"{quoted(text)} is not a stretch of the day", hint, part=text)
    start, end = read_clock_time(ends[0])[0], read_clock_time(ends[1])[0]
    if start >= end:
        hint = "a night shift is two stretches: `22:00-23:59, 00:00-06:00`"
        raise Wrong("F118", f"{quoted(text)} ends before it begins", hint, part=text)
    return Hours(text=text, start=start, end=end)


HoursField = Annotated[
    tuple[Hours, ...],
    BeforeValidator(read_hours),
    Form("stretches of the day, commas between them", "07:00-09:00, 18:00-22:00"),
]


class LocalTimeError(ValueError):
    """A wall time that does not exist, or exists twice, in the room's zone."""

    def __init__(self, code: str, message: str, hint: str) -> None:
        super().__init__(message)
        self.code, self.message, self.hint = code, message, hint


def absolute(when: When, zone: ZoneInfo, *, end_of_day: bool = False) -> dt.datetime:
    """The moment `when` means in `zone`. A date alone is its first moment, or its last with `end_of_day`.

    Raises LocalTimeError for a time skipped or repeated by a clock change without an offset.
    """
    if when.time is None:
        start = _start_of(when.date, zone)
        return start if not end_of_day else _midnight(when.date + dt.timedelta(days=1), zone)
    naive = dt.datetime.combine(when.date, when.time)
    if when.offset is not None:
        return naive.replace(tzinfo=dt.timezone(when.offset)).astimezone(zone)
    early, late = naive.replace(tzinfo=zone, fold=0), naive.replace(tzinfo=zone, fold=1)
    if early.utcoffset() == late.utcoffset():
        return early
    shown = quoted(when.text)
    after = settled(early)
    if after.replace(tzinfo=None, fold=0) != naive:
        hint = f"write the time the clock shows, such as `{after:%Y-%m-%dT%H:%M}`"
        message = f"{shown} does not exist in {zone.key}: the clocks go forward over it"
        raise LocalTimeError("F116", message, hint)
    first, second = (f"{naive:%Y-%m-%dT%H:%M}{_offset(moment)}" for moment in (early, late))
    message = f"{shown} happens twice in {zone.key}: the clocks go back over it"
    raise LocalTimeError("F117", message, f"write `{first}` for the first, `{second}` for the second")


def settled(moment: dt.datetime) -> dt.datetime:
    """The same moment as the zone's clocks show it, also where its wall time is skipped by a clock change."""
    return moment.astimezone(dt.UTC).astimezone(moment.tzinfo)


def _start_of(date: dt.date, zone: ZoneInfo) -> dt.datetime:
    """The first moment of `date`, which is not midnight where the clocks go forward over midnight."""
    start = _midnight(date, zone)
    if start.date() != date:
        message = f"{full_day(date)} does not exist in {zone.key}: the calendar skips it"
        raise LocalTimeError("F116", message, f"write the day the calendar shows, such as `{start:%Y-%m-%d}`")
    return start


def _midnight(date: dt.date, zone: ZoneInfo) -> dt.datetime:
    return settled(dt.datetime.combine(date, dt.time(0), tzinfo=zone))


def _offset(moment: dt.datetime) -> str:
    text = moment.strftime("%z")
    return f"{text[:3]}:{text[3:]}"
