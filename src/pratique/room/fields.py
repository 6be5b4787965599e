"""How each kind of value in a room file is read from its text. Every failure is a `Wrong` with its code."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.quantity import CANONICAL, Measure, QuantityError, parse_measure, parse_number

CODE_OF_KIND = {
    "number": "U201",
    "not-finite": "U202",
    "comma": "U203",
    "exponent": "U204",
    "leading-zero": "U205",
    "no-unit": "U206",
    "unknown-unit": "U207",
    "unit-mistake": "U208",
    "dimension": "U209",
    "time": "U210",
    "spread": "U211",
}


class Wrong(ValueError):
    """A value that cannot be read: code, sentence and hint; the place is added by `translate`."""

    def __init__(self, code: str, message: str, hint: str = "", note: str = "") -> None:
        super().__init__(message)
        self.code, self.message, self.hint, self.note = code, message, hint, note


def wrong_quantity(error: QuantityError) -> Wrong:
    return Wrong(CODE_OF_KIND[error.kind], f"`{error.text}` {error.detail}", error.hint)


def need_text(value: Any, what: str) -> str:
    if isinstance(value, Mapping):
        raise Wrong("F110", f"a list of keys stands where {what} belongs", f"write {what} on one line after the colon")
    if isinstance(value, list):
        raise Wrong("F110", f"a list stands where {what} belongs", f"write one value: {what}")
    text = str(value).strip()
    if not text:
        raise Wrong("F112", f"{what} is missing after the colon", "write it, or delete the key")
    return text


def measure(dimension: str, *, least: float | None = None, most: float | None = None, above: float | None = None) -> Callable[[Any], Measure]:
    """A reader of `dimension`; limits are in its canonical unit, `above` excluded."""

    def read(value: Any) -> Measure:
        if isinstance(value, Measure):
            return value
        text = need_text(value, f"a {dimension}")
        try:
            found = parse_measure(text, dimension)
        except QuantityError as error:
            raise wrong_quantity(error) from None
        unit = CANONICAL[dimension]
        if above is not None and found.low <= above:
            kind = "is negative" if found.value < 0 else "is not above zero" if above == 0 else f"is not above {above:g} {unit}"
            raise Wrong("U212", f"`{text}` {kind}" if found.value <= above else f"`{text}` reaches {found.low:.3g} {unit} at the low end of its error", f"a {dimension} here is above {above:g} {unit}")
        if least is not None and found.value < least:
            raise Wrong("U212", f"`{text}` is below {least:g} {unit}, the least that is read here", "check the number and its unit")
        if most is not None and found.value > most:
            raise Wrong("U212", f"`{text}` is above {most:g} {unit}, the most that is read here", "check the number and its unit")
        return found

    return read


Volume = Annotated[Measure, BeforeValidator(measure("volume", above=0, most=10_000_000))]
Length = Annotated[Measure, BeforeValidator(measure("length", above=0, most=10_000))]
Mass = Annotated[Measure, BeforeValidator(measure("mass", above=0, most=100_000_000))]
MassLeft = Annotated[Measure, BeforeValidator(measure("mass", least=0, most=100_000_000))]
Temperature = Annotated[Measure, BeforeValidator(measure("temperature", least=-2, most=45))]
Duration = Annotated[Measure, BeforeValidator(measure("duration", above=0, most=24 * 366 * 5))]
Level = Annotated[Measure, BeforeValidator(measure("level", least=0, most=100_000))]
PH = Annotated[Measure, BeforeValidator(measure("ph", least=4, most=11))]


def read_yes(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    text = need_text(value, "`yes` or `no`").lower()
    if text in ("yes", "true", "on"):
        return True
    if text in ("no", "false", "off"):
        return False
    raise Wrong("F114", f"`{text}` is neither `yes` nor `no`", "write `yes` or `no`")


Yes = Annotated[bool, BeforeValidator(read_yes)]


def read_count(value: Any) -> int:
    if isinstance(value, int):
        return value
    text = need_text(value, "a whole number")
    try:
        number = parse_number(text)
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if number != int(number) or number < 1 or number > 1_000_000:
        raise Wrong("U212", f"`{text}` is not a whole number from 1", "write how many, such as `2`")
    return int(number)


Count = Annotated[int, BeforeValidator(read_count)]

_NAME_MOST = 60


def read_name(value: Any) -> str:
    text = need_text(value, "a name")
    if len(text) > _NAME_MOST:
        raise Wrong("F114", f"a name of {len(text)} characters is too long for a label", f"use at most {_NAME_MOST}")
    return " ".join(text.split())


Name = Annotated[str, BeforeValidator(read_name)]


def read_sentence(value: Any) -> str:
    return " ".join(need_text(value, "a few words").split())


Sentence = Annotated[str, BeforeValidator(read_sentence)]


@dataclass(frozen=True, slots=True)
class Salinity:
    """g/kg as written, or a specific gravity with the temperature it was read at and its scale's reference."""

    text: str
    value: float
    is_gravity: bool = False
    at: float | None = None
    reference: float | None = None


_GRAVITY = re.compile(
    r"(?P<number>\S+) ?(?:sg|SG) ?(?:(?:at|@) ?(?P<at>[^,]+?))?(?:, ?(?:reference|scale) (?P<ref>.+))?"
)


def read_salinity(value: Any) -> Salinity:
    if isinstance(value, Salinity):
        return value
    text = " ".join(need_text(value, "a salinity").split())
    try:
        found = _GRAVITY.fullmatch(text)
        if found:
            return _gravity(text, found)
        if re.fullmatch(r"1\.0[0-9]+", text):
            raise Wrong(
                "U206",
                f"`{text}` has no unit; it looks like a specific gravity",
                f"write `{text} sg at 25 degC`, with the temperature it was read at",
            )
        plain = parse_measure(text, "salinity")
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if not 0 <= plain.value <= 80:
        raise Wrong("U212", f"`{text}` is outside 0 to 80 g/kg", "check the number and its unit")
    return Salinity(text=text, value=plain.value)


def _gravity(text: str, found: re.Match[str]) -> Salinity:
    number = parse_number(found["number"], "specific gravity")
    if not 0.99 <= number <= 1.06:
        raise Wrong("U212", f"`{text}` is not a specific gravity of any tank (0.990 to 1.060)", "write such as `1.025 sg at 25 degC`")
    if found["at"] is None:
        raise Wrong(
            "U213",
            f"`{text}` does not say at which temperature it was read",
            f"write `{found['number']} sg at 25 degC`; a scale that is not 25/25 also says `, reference 60 degF`",
            "the same 1.025 means 33.2, 34.8 or 35.9 g/kg by the reference temperature of the scale",
        )
    at = parse_measure(found["at"].strip(), "temperature").value
    reference = parse_measure(found["ref"].strip(), "temperature").value if found["ref"] else at
    return Salinity(text=text, value=number, is_gravity=True, at=at, reference=reference)


SalinityField = Annotated[Salinity, BeforeValidator(read_salinity)]


@dataclass(frozen=True, slots=True)
class When:
    """A local date, with a time or (a whole day) without; `offset` where the keeper gave one."""

    text: str
    date: dt.date
    time: dt.time | None = None
    offset: dt.timedelta | None = None


_DATE = re.compile(r"(?P<y>\d{4})-(?P<m>\d{1,2})-(?P<d>\d{1,2})(?:[T ]+(?P<t>.+))?")
_TIME = re.compile(r"(?P<h>\d{1,2})[:.](?P<m>\d{2})(?::(?P<s>\d{2}))?\s*(?P<o>Z|[+-]\d{2}:?\d{2})?")


def read_when(value: Any) -> When:
    if isinstance(value, When):
        return value
    text = need_text(value, "a date")
    found = _DATE.fullmatch(text)
    if found is None:
        raise _wrong_date(text)
    try:
        date = dt.date(int(found["y"]), int(found["m"]), int(found["d"]))
    except ValueError:
        raise Wrong("F115", f"`{text}` is not a day of the calendar", "write year-month-day, such as `2027-03-05`") from None
    if not 1990 <= date.year <= 2150:
        raise Wrong("F115", f"`{text}` lies outside 1990 to 2150", "check the year")
    if found["t"] is None:
        return When(text=text, date=date)
    time, offset = read_clock_time(found["t"])
    return When(text=text, date=date, time=time, offset=offset)


def read_clock_time(text: str) -> tuple[dt.time, dt.timedelta | None]:
    """`8:30`, `08:30`, `20:00+02:00`: a time of day and the offset where one is given."""
    if re.search(r"[ap]\.?m", text, re.I):
        raise Wrong("F115", f"`{text}` is in the twelve-hour form", "write 24 hours, such as `18:30` for half past six in the evening")
    found = _TIME.fullmatch(text.strip())
    if found is None or int(found["h"]) > 23 or int(found["m"]) > 59 or int(found["s"] or 0) > 59:
        raise Wrong("F115", f"`{text}` is not a time of day", "write hours and minutes, such as `08:30` or `18:00`")
    offset = None
    if found["o"] == "Z":
        offset = dt.timedelta(0)
    elif found["o"]:
        digits = found["o"].replace(":", "")
        hours, minutes = int(digits[1:3]), int(digits[3:5])
        if hours > 14 or minutes > 59:
            raise Wrong("F115", f"`{text}` has an offset no time zone has", "write such as `+01:00`")
        offset = dt.timedelta(hours=hours, minutes=minutes) * (-1 if digits[0] == "-" else 1)
    return dt.time(int(found["h"]), int(found["m"]), int(found["s"] or 0)), offset


def _wrong_date(text: str) -> Wrong:
    slashed = re.fullmatch(r"(\d{1,2})[/.\-](\d{1,2})[/.\-](\d{4})(.*)", text)
    if slashed:
        a, b, year = int(slashed[1]), int(slashed[2]), slashed[3]
        readings = [f"`{year}-{m:02}-{d:02}`" for d, m in ((a, b), (b, a)) if 1 <= m <= 12 and 1 <= d <= 31]
        readings = list(dict.fromkeys(readings))
        if len(readings) == 2:
            return Wrong("F115", f"`{text}` could be two different days", f"write {readings[0]} or {readings[1]}, year first")
        return Wrong("F115", f"`{text}` is not written year first", f"write {' or '.join(readings) or 'such as `2027-03-05`'}")
    if re.fullmatch(r"\d{4}[/.]\d{1,2}[/.]\d{1,2}.*", text):
        return Wrong("F115", f"`{text}` has other signs than `-` between its parts", f"write `{re.sub(r'[/.]', '-', text[:10])}{text[10:]}`")
    if re.fullmatch(r"\d{2}[/.\-]\d{1,2}[/.\-]\d{1,2}", text):
        return Wrong("F115", f"`{text}` has a year of two digits", "write all four, year first, such as `2027-03-05`")
    return Wrong("F115", f"`{text}` is not a date", "write year-month-day, such as `2027-03-05`, or with a time `2027-03-05T18:00`")


WhenField = Annotated[When, BeforeValidator(read_when)]


@dataclass(frozen=True, slots=True)
class Hours:
    """A stretch of the day in which somebody can work, local time, `start` before `end`."""

    text: str
    start: dt.time
    end: dt.time


def read_hours(value: Any) -> tuple[Hours, ...]:
    items = value if isinstance(value, list) else str(value).split(",") if not isinstance(value, Mapping) else [value]
    found = []
    for item in items:
        if isinstance(item, Hours):
            found.append(item)
            continue
        text = need_text(item, "working hours")
        ends = re.split(r"\s*(?:-|–|to)\s*", text)
        if len(ends) != 2:
            raise Wrong("F115", f"`{text}` is not a stretch of the day", "write such as `07:00-09:00`, several with commas")
        start, end = read_clock_time(ends[0])[0], read_clock_time(ends[1])[0]
        if start >= end:
            raise Wrong("F115", f"`{text}` ends before it begins", "a night shift is two stretches: `22:00-23:59, 00:00-06:00`")
        found.append(Hours(text=text, start=start, end=end))
    found.sort(key=lambda hours: hours.start)
    for first, second in zip(found, found[1:], strict=False):
        if second.start < first.end:
            raise Wrong("F115", f"`{first.text}` and `{second.text}` overlap", "write them as one stretch")
    if not found:
        raise Wrong("F112", "no hours are given", "write such as `07:00-09:00, 18:00-22:00`")
    return tuple(found)


HoursField = Annotated[tuple[Hours, ...], BeforeValidator(read_hours)]


@dataclass(frozen=True, slots=True)
class Strength:
    """How much of `substance` a product holds: mg per mL, mg per g, or mg per tablet.

    `percent` is kept where that was written, since `37 %` names a product as well as a strength.
    """

    text: str
    per: str  # "mL", "g" or "tablet"
    milligrams: float
    substance: str
    percent: float | None = None
    basis: str = ""  # "w/v", "w/w" or "" for a mass per volume


_STRENGTH = re.compile(
    r"(?P<number>\S+) ?(?P<unit>%|mg/mL|g/L|mg/L|mg/g|g/kg|mg per tablet|g per 100 mL)"
    r"(?: ?(?P<basis>w/v|w/w|v/v))?(?:,? ?density (?P<density>\S+) ?g/mL)?(?: as (?P<substance>.+?))?"
    r"(?:,? ?density (?P<density2>\S+) ?g/mL)?"
)


def read_strength(value: Any) -> Strength:
    if isinstance(value, Strength):
        return value
    text = " ".join(need_text(value, "a strength").split())
    found = _STRENGTH.fullmatch(text)
    if found is None:
        raise Wrong(
            "U214",
            f"`{text}` is not a strength",
            "write such as `10 mg/mL as Cu`, `3 % w/v as H2O2`, `95 % w/w as praziquantel`, `500 mg per tablet as praziquantel`",
        )
    try:
        number = parse_number(found["number"], "strength")
        density_text = found["density"] or found["density2"]
        density = parse_number(density_text) if density_text else None
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if number <= 0 or (density is not None and not 0.5 <= density <= 3):
        raise Wrong("U212", f"`{text}` is not a strength a bottle can have", "check the number")
    if found["substance"] is None:
        raise Wrong(
            "U215",
            f"`{text}` does not say of what",
            f"write `{text} as Cu`, or `{text} as CuSO4.5H2O`, or the substance the label names",
            "taking the salt for the metal is an error of 3.93 times with copper sulfate pentahydrate",
        )
    return _strength(text, number, found, density)


def _strength(text: str, number: float, found: re.Match[str], density: float | None) -> Strength:
    unit, basis, substance = found["unit"], found["basis"] or "", found["substance"].strip()
    if unit != "%":
        if basis:
            raise Wrong("U214", f"`{text}` has both a unit and `{basis}`", "`w/v` and `w/w` go with a percentage only")
        factor, per = {
            "mg/mL": (1.0, "mL"), "g/L": (1.0, "mL"), "mg/L": (0.001, "mL"), "g per 100 mL": (10.0, "mL"),
            "mg/g": (1.0, "g"), "g/kg": (1.0, "g"), "mg per tablet": (1.0, "tablet"),
        }[unit]
        return Strength(text=text, per=per, milligrams=number * factor, substance=substance)
    if number > 100:
        raise Wrong("U212", f"`{text}` is more than the whole", "a percentage is at most 100")
    if basis == "w/v":
        return Strength(text=text, per="mL", milligrams=number * 10, substance=substance, percent=number, basis=basis)
    if basis == "w/w" and density is not None:
        return Strength(text=text, per="mL", milligrams=number * 10 * density, substance=substance, percent=number, basis=basis)
    if basis == "w/w":
        return Strength(text=text, per="g", milligrams=number * 10, substance=substance, percent=number, basis=basis)
    raise Wrong(
        "U216",
        f"`{text}` does not say by what the percentage is counted",
        "write `w/v` (g in 100 mL, most liquids), or `w/w` (g in 100 g: powders; liquids also need `density 1.13 g/mL`)",
    )


StrengthField = Annotated[Strength, BeforeValidator(read_strength)]
