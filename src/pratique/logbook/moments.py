"""Times among typed words: `08:30`, `yesterday 20:00`, `2027-03-05T08:30`, and the moments they mean."""

from __future__ import annotations

import datetime as dt
import re
from zoneinfo import ZoneInfo

from pratique.problem import quoted
from pratique.room.times import LocalTimeError, absolute, read_clock_time, read_when
from pratique.room.wrong import Wrong

_CLOCK = (
    "[0-9]{1,2}[:.][0-9]{2}(?::[0-9]{2})?(?:Z|[+-][0-9]{2}:?[0-9]{2})?(?: ?[ap][.]?m[.]?)?|[0-9]{1,2} ?[ap][.]?m[.]?"
)
_DATE = "[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}|[0-9]{1,4}[/.][0-9]{1,2}[/.][0-9]{2,4}"
_DAYS = {"yesterday": -1, "today": 0, "tomorrow": 1}
_WHEN = rf"(?:(?:yesterday|today|tomorrow)(?:(?: at)? (?:{_CLOCK}))?|(?:{_DATE})(?:(?:T| at | )(?:{_CLOCK}))?|{_CLOCK})"
_LEADING = re.compile(rf"({_WHEN}),? (?=\S)", re.I)
_TRAILING = re.compile(rf"(?:^| )(?:at|on) ({_WHEN})$", re.I)
_DAY_AND_TIME = rf"(?:yesterday|today)(?: at)? (?:{_CLOCK})|(?:{_DATE})(?:T| at | )(?:{_CLOCK})"
_TRAILING_DAY = re.compile(rf" at ({_DAY_AND_TIME})$", re.I)


def is_moment(word: str) -> bool:
    return re.fullmatch(_WHEN, word, re.I) is not None


def leading_moment(text: str) -> tuple[str, str | None]:
    """`text` without the time it begins with, and that time."""
    found = _LEADING.match(text)
    return (text[found.end() :], found[1]) if found else (text, None)


def trailing_moment(text: str) -> tuple[str, str | None]:
    """`text` without the `at 08:30` it ends with, and that time. `at 25 degC` is none."""
    return _cut_off(_TRAILING, text)


def trailing_day_and_time(text: str) -> tuple[str, str | None]:
    """The same of free words, for such as `at yesterday 18:00`; `lights off at 18:00` is told by the words."""
    return _cut_off(_TRAILING_DAY, text)


def _cut_off(form: re.Pattern[str], text: str) -> tuple[str, str | None]:
    found = form.search(text)
    return (text[: found.start()].strip(), found[1]) if found else (text, None)


def read_moment(text: str, today: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    """What `text` means in `zone`, a time of day on its own being one of the day of `today`. Raises Wrong."""
    plain = re.sub(" at ", " ", text, flags=re.I)
    day, _, clock = plain.partition(" ")
    date = today.astimezone(zone).date()
    if day.casefold() in _DAYS:
        date += dt.timedelta(days=_DAYS[day.casefold()])
        if not clock and date > today.astimezone(zone).date():
            raise Wrong("L734", f"{quoted(text)} has not come yet", "an entry says what has happened", part=text)
        if not clock:
            return _absolute(f"{date}", text, zone)
    elif re.match(_DATE, plain):
        return _absolute(plain, text, zone)
    else:
        clock = plain
    read_clock_time(clock)
    return _absolute(f"{date}T{clock}", text, zone)


def read_at(text: str, now: dt.datetime, zone: ZoneInfo) -> dt.datetime:
    """What `--at` means: as `read_moment`, but a day on its own is its first moment. Raises Wrong, LocalTimeError."""
    words = " ".join(text.split())
    day = words.casefold()
    if day in _DAYS:
        words = f"{now.astimezone(zone).date() + dt.timedelta(days=_DAYS[day])}"
    elif is_moment(words) and not re.match(_DATE, words):
        return read_moment(words, now, zone)
    return absolute(read_when(words), zone)


def _absolute(when: str, text: str, zone: ZoneInfo) -> dt.datetime:
    found = read_when(when)
    if found.time is None:
        hint = f"write the time of day too, such as `{found.date}T08:30`"
        raise Wrong("L731", f"{quoted(text)} does not say at what time", hint, part=text)
    try:
        return absolute(found, zone)
    except LocalTimeError as error:
        raise Wrong(error.code, error.message, error.hint, part=text) from None
