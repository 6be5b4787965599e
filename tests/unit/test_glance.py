"""The pictures of letters: each reading in its row and column, each bar no fuller than its clock."""

from __future__ import annotations

import datetime as dt
from types import SimpleNamespace
from typing import Any

import pytest

from pratique.clocks.levels import Band, Reading
from pratique.schedule.courses import LevelCourse
from pratique.sheets import glance

START = dt.datetime(2027, 3, 8, 8, tzinfo=dt.UTC)
BAND = Band(unit="mg/L", floor=2.0, ceiling=2.5, gap=36.0)


def reading(day: int, value: float, low: float | None = None, *, suits: bool = True) -> Reading:
    at = START + dt.timedelta(days=day)
    return Reading(at=at, value=value, low=value if low is None else low, high=value, suits=suits)


def picture(*readings: Reading, days: int = 6) -> list[str]:
    end = START + dt.timedelta(days=days)
    course = LevelCourse(title="t", band=BAND, target=2.25, start=START, end=end, readings=readings, changes=())
    return list(glance._level(course))


def test_each_reading_stands_in_its_row_on_its_day() -> None:
    found = picture(reading(0, 1.5), reading(1, 2.1, 1.9), reading(2, 2.2), reading(3, 2.4), reading(5, 2.7),
                    reading(6, 2.3, suits=False))  # fmt: skip
    assert found[:6] == [
        "above |     !",
        " 2.50 +-------",
        "      |   o  x",
        "      | ?o",
        " 2.00 +-------",
        "below |!",
    ]
    assert "Mon 8 Mar to Sun 14 Mar" in found[6]


def test_the_last_reading_of_a_day_stands_for_it() -> None:
    early = reading(1, 1.0)
    late = Reading(at=early.at + dt.timedelta(hours=6), value=2.4, low=2.3, high=2.5)
    assert picture(late, early)[2] == "      | o"
    assert picture(late, early)[5] == "below |"


def test_the_ends_of_the_band_belong_to_it() -> None:
    found = picture(reading(0, 2.0), reading(1, 2.5))
    assert (found[2], found[3]) == ("      | o", "      |o")


def test_a_long_course_shows_its_last_four_weeks_and_fits_a_narrow_screen() -> None:
    found = picture(reading(0, 1.0), *(reading(day, 2.3) for day in range(20, 60)), days=60)
    assert max(map(len, found[:-1])) <= 40
    assert found[2].count("o") == glance.MOST_DAYS - 1  # nobody read on the last day
    assert found[5] == "below |"


@pytest.mark.parametrize(
    ("state", "bar"),
    [
        (None, "[..........] Thu 11 Mar"),
        ({"counted": 15 * 24 - 0.1}, "[####......] 15.0 of 30 d"),
        ({"counted": 15 * 24}, "[#####.....] 15.0 of 30 d"),
        ({"counted": 800, "is_finished": True}, "[##########] full"),
        ({"kind": "transfers", "steps": 3, "steps_needed": 4}, "[#######...] move 3 of 4"),
        ({"needed": None}, "[..........] no date"),
    ],
)
def test_a_bar_is_no_fuller_than_its_clock(state: dict[str, Any] | None, bar: str) -> None:
    known = {"kind": "hold", "counted": 0.0, "needed": 720.0, "is_finished": False, "steps": 0, "steps_needed": 0}
    stage = SimpleNamespace(
        name="a very long name", start=START + dt.timedelta(days=3),
        state=None if state is None else SimpleNamespace(**{**known, **state}),
    )  # fmt: skip
    found = glance._bar(stage)  # type: ignore[arg-type]
    assert found == f"a very long  {bar}"
    assert len(found) <= 40
