"""When somebody is there: windows, absences, stand-ins, clock changes."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from pratique.schedule.calendar import Calendar, elapsed_hours, instant, plus_hours, shown
from schedule_rooms import build

LISBON = ZoneInfo("Europe/Lisbon")


def calendar(**room: object) -> Calendar:
    return Calendar(build(room=room))


def at(text: str, zone: ZoneInfo = LISBON, fold: int = 0) -> dt.datetime:
    return dt.datetime.fromisoformat(text).replace(tzinfo=zone, fold=fold)


def hours_of(found: Calendar, date: str) -> list[str]:
    windows = found.windows(dt.date.fromisoformat(date))
    return [f"{found.local(w.start):%H:%M}-{found.local(w.end):%H:%M} {w.who}".strip() for w in windows]


def test_hours_of_an_ordinary_day() -> None:
    assert hours_of(calendar(), "2027-03-05") == ["07:00-09:00", "18:00-22:00"]


def test_days_away_without_stand_in_have_no_windows() -> None:
    found = calendar(away=[{"from": "2027-03-05", "to": "2027-03-06"}])
    assert hours_of(found, "2027-03-05") == hours_of(found, "2027-03-06") == []
    assert hours_of(found, "2027-03-04") == hours_of(found, "2027-03-07") == ["07:00-09:00", "18:00-22:00"]


def test_a_stand_in_is_named_in_the_windows() -> None:
    found = calendar(away=[{"from": "2027-03-05", "to": "2027-03-05", "stand_in": "Kim"}])
    assert hours_of(found, "2027-03-05") == ["07:00-09:00 Kim", "18:00-22:00 Kim"]
    assert found.who_at(at("2027-03-05T12:00")) == "Kim"
    assert found.who_at(at("2027-03-06T12:00")) == ""


def test_leaving_in_the_middle_of_a_window_cuts_it() -> None:
    found = calendar(away=[{"from": "2027-03-05T08:00", "to": "2027-03-07T20:00"}])
    assert hours_of(found, "2027-03-05") == ["07:00-08:00"]
    assert hours_of(found, "2027-03-07") == ["20:00-22:00"]


def test_what_is_left_of_a_window_is_too_short_to_begin_anything() -> None:
    found = calendar(away=[{"from": "2027-03-05T07:20", "to": "2027-03-05T17:00"}])
    assert hours_of(found, "2027-03-05") == ["18:00-22:00"]


def test_an_absence_without_stand_in_wins_over_one_with() -> None:
    away = [
        {"from": "2027-03-01", "to": "2027-03-10", "stand_in": "Kim"},
        {"from": "2027-03-05", "to": "2027-03-05"},
    ]
    found = calendar(away=away)
    assert hours_of(found, "2027-03-05") == []
    assert hours_of(found, "2027-03-06") == ["07:00-09:00 Kim", "18:00-22:00 Kim"]
    assert found.is_away(at("2027-03-05T12:00"))
    assert not found.is_away(at("2027-03-06T12:00"))


def test_first_hour_leaves_time_for_the_job() -> None:
    found = calendar()
    assert found.first_from(at("2027-03-05T08:20")) == at("2027-03-05T08:20")
    assert found.first_from(at("2027-03-05T08:45")) == at("2027-03-05T18:00")
    assert found.first_from(at("2027-03-05T21:45")) == at("2027-03-06T07:00")


def test_a_window_shorter_than_half_an_hour_still_serves() -> None:
    found = calendar(hours="07:00-07:20")
    assert found.first_from(at("2027-03-05T06:00")) == at("2027-03-05T07:00")
    assert found.first_from(at("2027-03-05T07:10")) == at("2027-03-06T07:00")


def test_nobody_ever_comes_back() -> None:
    found = calendar(away=[{"from": "2027-03-05", "to": "2029-03-05"}])
    assert found.first_from(at("2027-03-05T08:20")) is None
    assert found.latest_between(at("2027-03-05T08:20"), at("2027-04-05T08:20")) is None
    assert found.morning(dt.date(2027, 3, 6)) is None
    assert found.evening(dt.date(2027, 3, 6)) is None


def test_latest_moments_go_back_window_by_window() -> None:
    found = calendar()
    chances = list(found.chances(at("2027-03-05T08:00"), at("2027-03-06T19:00")))
    assert chances == [at(f"2027-03-{day}") for day in ("06T19:00", "06T08:30", "05T21:30", "05T08:30")]


def test_mornings_are_the_first_hours_of_the_first_window() -> None:
    found = calendar(hours="06:00-23:00")
    chances = list(found.chances(at("2027-03-05T00:00"), at("2027-03-06T22:00"), morning=True))
    assert chances == [at("2027-03-06T09:00"), at("2027-03-05T09:00")]


def test_the_evening_of_a_day_with_one_window() -> None:
    assert calendar(hours="06:00-23:00").evening(dt.date(2027, 3, 5)) == at("2027-03-05T20:00")
    assert calendar(hours="06:00-07:00").evening(dt.date(2027, 3, 5)) == at("2027-03-05T06:00")
    assert calendar().evening(dt.date(2027, 3, 5)) == at("2027-03-05T18:00")
    assert calendar().morning(dt.date(2027, 3, 5)) == at("2027-03-05T07:00")


@pytest.mark.parametrize(
    ("date", "before", "after"),
    [("2027-03-26", "19:00", "20:00"), ("2027-10-29", "19:00", "18:00")],
    ids=["forward", "back"],
)
def test_elapsed_hours_cross_a_clock_change(date: str, before: str, after: str) -> None:
    start = at(f"{date}T{before}")
    end = plus_hours(start, 72)
    assert f"{end:%H:%M}" == after
    assert elapsed_hours(start, end) == 72


def test_the_hour_that_comes_twice_is_ordered_truly() -> None:
    first, second = at("2027-10-31T01:30"), at("2027-10-31T01:15", fold=1)
    assert elapsed_hours(first, second) == 0.75
    assert instant(first) < instant(second)


def test_a_window_inside_the_hour_that_comes_twice_is_the_first_of_them() -> None:
    found = calendar(hours="01:00-01:40")
    (window,) = found.windows(dt.date(2027, 10, 31))
    assert window.end - window.start == dt.timedelta(minutes=40)
    assert found.window_at(at("2027-10-31T01:20")) == window
    assert found.window_at(at("2027-10-31T01:20", fold=1)) is None


@pytest.mark.parametrize(
    ("hours", "left"),
    [("01:00-02:00", []), ("01:10-01:50", []), ("00:00-01:30", ["00:00-00:30"]), ("01:30-04:00", ["02:30-04:00"])],
)
def test_hours_that_the_clocks_skip_are_read_inwards(hours: str, left: list[str]) -> None:
    # Lisbon goes from 01:00 to 02:00 on 28 March 2027.
    assert hours_of(calendar(hours=hours), "2027-03-28") == left


def test_midnight_that_does_not_exist() -> None:
    found = calendar(time_zone="America/Asuncion")
    midnight = found.midnight(dt.date(2010, 10, 3))
    assert f"{midnight:%Y-%m-%d %H:%M}" == "2010-10-03 01:00"


def test_a_moment_as_a_task_says_it() -> None:
    assert shown(at("2027-03-08T18:30")) == "Mon 8 Mar 18:30"


def test_a_day_begins_at_midnight() -> None:
    assert calendar().midnight(dt.date(2027, 3, 6)) == at("2027-03-06T00:00")
