"""Wall times in every zone there is: the moment that was written, or a refusal that says why."""

# ruff: noqa: DTZ001 (wall times without a zone are what is tested)

from __future__ import annotations

import datetime as dt
from functools import cache
from zoneinfo import ZoneInfo, available_timezones

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pratique.room.resolve import LocalTimeError, absolute
from pratique.room.times import When, read_when

ZONES = sorted(zone for zone in available_timezones() if not zone.startswith(("posix", "right")))
HALF_HOUR = dt.timedelta(minutes=30)


_STEP = dt.timedelta(days=3)  # no zone changes its clocks twice in three days


@cache
def changes(zone: str, year: int = 2027) -> tuple[tuple[dt.datetime, dt.timedelta, dt.timedelta], ...]:
    """Each change of the offset in `year`: its moment in UTC, the offset before it and after it."""
    info = ZoneInfo(zone)
    found = []
    day = dt.datetime(year, 1, 1, tzinfo=dt.UTC)
    before = offset(info, day)
    while day.year == year:
        following = day + _STEP
        after = offset(info, following)
        if after != before:
            found.append((_moment_of_change(info, day, following), before, after))
        day, before = following, after
    return tuple(found)


def offset(zone: ZoneInfo, moment: dt.datetime) -> dt.timedelta:
    found = moment.astimezone(zone).utcoffset()
    assert found is not None
    return found


def _moment_of_change(zone: ZoneInfo, early: dt.datetime, late: dt.datetime) -> dt.datetime:
    first = offset(zone, early)
    while late - early > dt.timedelta(seconds=1):
        middle = early + (late - early) / 2
        middle = middle.replace(microsecond=0)
        early, late = (middle, late) if offset(zone, middle) == first else (early, middle)
    return late


REGIONS: dict[str, list[str]] = {}
for _zone in ZONES:
    REGIONS.setdefault(_zone.split("/")[0] if "/" in _zone else "others", []).append(_zone)

DIFFERENT = list({changes(zone): zone for zone in ZONES if changes(zone)}.values())
"""One zone for each different pair of clock changes."""


def when(naive: dt.datetime, written_offset: dt.timedelta | None = None) -> When:
    return When(text=naive.isoformat(), date=naive.date(), time=naive.time(), offset=written_offset)


def check(naive: dt.datetime, zone: ZoneInfo) -> str:
    """`read`, or the code of the refusal; the refusal must be right."""
    moments = [
        moment
        for fold in (0, 1)
        if (moment := naive.replace(tzinfo=zone, fold=fold).astimezone(dt.UTC))
        .astimezone(zone)
        .replace(tzinfo=None, fold=0)
        == naive
    ]
    try:
        found = absolute(when(naive), zone)
    except LocalTimeError as error:
        assert (error.code, len(set(moments))) in (("F116", 0), ("F117", 2))
        assert error.hint
        return error.code
    assert found.replace(tzinfo=None, fold=0) == naive
    assert found.astimezone(dt.UTC) == moments[0]
    assert len(set(moments)) == 1
    return "read"


@pytest.mark.parametrize("zones", REGIONS.values(), ids=REGIONS)
def test_noon_and_midnight_of_a_few_days_in_every_zone(zones: list[str]) -> None:
    for zone in zones:
        for month in (1, 4, 7, 10):
            for hour in (0, 12):
                check(dt.datetime(2027, month, 15, hour), ZoneInfo(zone))


def test_some_zones_change_their_clocks_and_some_do_not() -> None:
    changing = [zone for zone in ZONES if changes(zone)]
    assert 100 < len(changing) < len(ZONES)
    assert len(changes("Europe/Lisbon")) == len(changes("Australia/Lord_Howe")) == 2


@pytest.mark.parametrize("zone", DIFFERENT)
def test_both_clock_changes_of_2027(zone: str) -> None:
    info = ZoneInfo(zone)
    for moment, before, after in changes(zone):
        size = after - before
        wall = (moment + min(before, after)).replace(tzinfo=None)
        middle = wall + abs(size) / 2
        code = check(middle, info)
        assert code == ("F116" if size > dt.timedelta(0) else "F117")
        assert check(wall - HALF_HOUR, info) == "read"
        assert check(wall + abs(size) + HALF_HOUR, info) == "read"
        if code == "F117":
            first, second = (absolute(when(middle, given), info) for given in (before, after))
            assert second.astimezone(dt.UTC) - first.astimezone(dt.UTC) == abs(size)


@pytest.mark.parametrize("zone", DIFFERENT)
def test_the_hints_at_a_clock_change_can_be_typed(zone: str) -> None:
    info = ZoneInfo(zone)
    for moment, before, after in changes(zone):
        middle = (moment + min(before, after)).replace(tzinfo=None) + abs(after - before) / 2
        with pytest.raises(LocalTimeError) as caught:
            absolute(when(middle), info)
        proposed = caught.value.hint.split("`")[1::2]
        moments = [absolute(read_when(text), info) for text in proposed]
        assert len(moments) == (1 if caught.value.code == "F116" else 2)


@pytest.mark.parametrize("zone", DIFFERENT)
def test_days_of_a_clock_change_begin_and_end_where_their_neighbours_do(zone: str) -> None:
    info = ZoneInfo(zone)
    for moment, before, after in changes(zone):
        date = moment.astimezone(info).date()
        day = When(text=date.isoformat(), date=date)
        start, end = absolute(day, info), absolute(day, info, end_of_day=True)
        tomorrow = When(text="", date=date + dt.timedelta(days=1))
        assert end.astimezone(dt.UTC) == absolute(tomorrow, info).astimezone(dt.UTC)
        assert start.date() == date
        length = end.astimezone(dt.UTC) - start.astimezone(dt.UTC)
        assert length in (dt.timedelta(days=1), dt.timedelta(days=1) - (after - before))


zones = st.sampled_from(ZONES)
naive_times = st.datetimes(dt.datetime(1990, 1, 2), dt.datetime(2100, 12, 30)).map(
    lambda t: t.replace(microsecond=0)
)


@given(naive_times, zones)
@settings(max_examples=300, deadline=None)
@example(dt.datetime(2011, 12, 30, 12), "Pacific/Apia")  # a day that never was
@example(dt.datetime(2027, 10, 3, 2, 15), "Australia/Lord_Howe")
@example(dt.datetime(2027, 4, 4, 1, 45), "Australia/Lord_Howe")
def test_any_time_in_any_zone(naive: dt.datetime, zone: str) -> None:
    check(naive, ZoneInfo(zone))


@given(st.dates(dt.date(1990, 1, 2), dt.date(2100, 12, 30)), zones)
@settings(max_examples=200, deadline=None)
@example(dt.date(2018, 11, 4), "America/Sao_Paulo")  # midnight was skipped
@example(dt.date(2011, 12, 29), "Pacific/Apia")
def test_any_day_in_any_zone_begins_before_it_ends(date: dt.date, zone: str) -> None:
    info, day = ZoneInfo(zone), When(text="", date=date)
    try:
        start, end = absolute(day, info), absolute(day, info, end_of_day=True)
    except LocalTimeError as error:
        assert error.code == "F116"
        return
    assert start.date() == date
    assert (
        dt.timedelta(hours=20) <= end.astimezone(dt.UTC) - start.astimezone(dt.UTC) <= dt.timedelta(hours=28)
    )


def test_a_day_the_calendar_skips_is_refused() -> None:
    with pytest.raises(LocalTimeError, match="the calendar skips it"):
        absolute(When(text="2011-12-30", date=dt.date(2011, 12, 30)), ZoneInfo("Pacific/Apia"))


@given(naive_times, zones, st.integers(-12 * 60, 14 * 60))
@settings(max_examples=100, deadline=None)
def test_a_written_offset_decides(naive: dt.datetime, zone: str, minutes: int) -> None:
    given_offset = dt.timedelta(minutes=minutes)
    found = absolute(when(naive, given_offset), ZoneInfo(zone))
    assert found.astimezone(dt.UTC).replace(tzinfo=None) == naive - given_offset
