"""The dates of one stage: transfers, copper, the anthelmintic, the watch."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from pratique.dosing.ramp import rungs
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import Problem
from pratique.room.values import treatment_for
from pratique.schedule.calendar import Calendar, elapsed_hours
from pratique.schedule.timeline import Timeline, course_times, daily_times, day_window, hold_times, watch_times
from pratique.schedule.transfers import Spacing, transfer_spacing, transfer_times
from schedule_rooms import build

LISBON = ZoneInfo("Europe/Lisbon")
TRANSFER = store.treatment("tank-transfer")
COPPER = store.treatment("copper-chelated")
FLUKES = store.treatment("praziquantel-bath")


def calendar(**room: object) -> Calendar:
    return Calendar(build(room=room))


def at(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text).replace(tzinfo=LISBON)


def own(id_: str, **values: str) -> Treatment:
    """A treatment with values of the keeper's."""
    written = {f"{id_}.{name}": {"value": value, "reason": "a test"} for name, value in values.items()}
    return treatment_for(build(values=written), id_)


def spacing(*temperatures: float | None, treatment: Treatment = TRANSFER) -> Spacing:
    found = transfer_spacing(treatment, temperatures or (25.0,))
    assert isinstance(found, Spacing), found
    return found


def dates(line: Timeline | Problem, name: str) -> list[str]:
    assert isinstance(line, Timeline), line
    return [f"{due.at:%d %H:%M}" for due in getattr(line, name)]


def refusal(found: Timeline | Spacing | Problem) -> Problem:
    assert isinstance(found, Problem)
    return found


class TestTransfers:
    def test_moves_are_early_in_the_morning(self) -> None:
        line = transfer_times(calendar(), spacing(), at("2027-03-05T18:30"))
        assert dates(line, "moves") == ["08 08:30", "11 08:00", "14 07:30", "17 07:00"]

    def test_limits_are_elapsed_hours_from_the_move_before(self) -> None:
        line = transfer_times(calendar(), spacing(), at("2027-03-23T18:30"))
        assert isinstance(line, Timeline)
        before = line.start
        for move in line.moves:
            assert elapsed_hours(before, move.until) == 72
            assert elapsed_hours(before, move.at) <= 72
            before = move.at

    def test_mornings_on_the_limit_are_better_than_a_night_and_a_fifth_move(self) -> None:
        # over the autumn change the limit comes an hour earlier by the clock
        line = transfer_times(calendar(), spacing(), at("2027-10-20T19:00"))
        assert dates(line, "moves") == ["23 08:30", "26 08:00", "29 08:00", "01 07:00"]

    def test_an_absence_shorter_than_the_interval_is_stepped_over_at_other_hours(self) -> None:
        away = [{"from": "2027-03-08T20:00", "to": "2027-03-11T18:00"}]
        line = transfer_times(calendar(away=away), spacing(), at("2027-03-05T19:45"))
        # the comfortable morning of the 8th would have been too early for the evening of the 11th
        assert dates(line, "moves")[:2] == ["08 19:15", "11 18:45"]

    def test_an_absence_longer_than_the_interval_is_said(self) -> None:
        away = [{"from": "2027-03-09", "to": "2027-03-13"}]
        problem = refusal(transfer_times(calendar(away=away), spacing(), at("2027-03-05T18:30")))
        assert problem.code == "S503"
        assert "stand_in" in problem.hint

    def test_a_stand_in_moves_the_fish(self) -> None:
        away = [{"from": "2027-03-09", "to": "2027-03-13", "stand_in": "Kim"}]
        assert len(dates(transfer_times(calendar(away=away), spacing(), at("2027-03-05T18:30")), "moves")) == 4

    def test_hours_at_night_only(self) -> None:
        line = transfer_times(calendar(hours="21:00-23:00"), spacing(), at("2027-03-05T21:30"))
        assert dates(line, "moves") == ["08 21:00", "11 21:00", "14 21:00", "17 21:00"]

    @pytest.mark.parametrize(
        ("temperatures", "moves", "days"),
        [((21.0,), 5, 15), ((24.0,), 4, 12), ((27.0,), 4, 9), ((27.0, 21.0), 5, 15), ((20.0, 20.0), 5, 15)],
    )
    def test_the_strictest_tank_counts(self, temperatures: tuple[float, ...], moves: int, days: int) -> None:
        found = spacing(*temperatures)
        assert (found.interval.value, found.moves, found.days) == (72, moves, days)

    def test_the_shortest_interval_of_the_tanks_counts(self) -> None:
        numbers = {**TRANSFER.numbers, "interval": TRANSFER.numbers["cautious_interval"]}
        cautious = TRANSFER.model_copy(update={"numbers": numbers})
        assert spacing(24.0, 27.0, treatment=cautious).interval.value == 48
        assert spacing(27.0, 24.0, treatment=cautious).interval.value == 48

    def test_own_number_of_moves(self) -> None:
        found = spacing(25.0, treatment=own("tank-transfer", moves="6 count"))
        assert len(dates(transfer_times(calendar(), found, at("2027-03-05T18:30")), "moves")) == 6

    def test_cool_water_needs_five_moves_and_fifteen_days(self) -> None:
        line = transfer_times(calendar(), spacing(21.0), at("2027-03-05T18:30"))
        assert isinstance(line, Timeline)
        assert (line.end.date() - line.start.date()).days >= 15
        assert len(line.moves) >= 5

    @pytest.mark.parametrize(
        ("temperature", "words"),
        [(None, "not known"), (18.0, "18 degC"), (31.0, "31 degC"), (34.0, "34 degC")],
    )
    def test_no_interval_is_on_file(self, temperature: float | None, words: str) -> None:
        problem = refusal(transfer_spacing(TRANSFER, (25.0, temperature)))
        assert problem.code == "S507"
        assert words in problem.message
        assert "degC" in problem.hint

    def test_changes_a_day_apart_have_half_a_day_each(self) -> None:
        found = daily_times(calendar(), at("2027-03-06T08:00"), 2)
        assert [(due.at, due.until, due.wished) for due in found] == [
            (at(f"2027-03-{day}T08:00"), at(f"2027-03-{day}T20:00"), at(f"2027-03-{day}T08:00")) for day in ("06", "07")
        ]

    @pytest.mark.parametrize(("degrees", "why"), [(33.0, "water this warm"), (15.0, "in cool water")])
    def test_why_there_is_no_interval(self, degrees: float, why: str) -> None:
        assert why in refusal(transfer_spacing(store.treatment("tank-transfer"), (degrees,))).note

    def test_own_interval(self) -> None:
        found = spacing(25.0, treatment=own("tank-transfer", interval="48 h"))
        line = transfer_times(calendar(), found, at("2027-03-05T18:30"))
        assert isinstance(line, Timeline)
        assert line.interval == 48
        assert len(line.moves) == 6  # 12 days are still needed at 25 degC
        assert found.interval.source == "OWN"

    @pytest.mark.parametrize("interval", ["23 h", "0 h"])
    def test_an_interval_shorter_than_drying(self, interval: str) -> None:
        problem = refusal(transfer_spacing(own("tank-transfer", interval=interval), (25.0,)))
        assert problem.code == "S502"
        assert f"an interval of {interval} is shorter than the 24 h" in problem.message

    def test_no_drying_at_all_is_no_series(self) -> None:
        assert refusal(transfer_spacing(own("tank-transfer", interval="0 h", dry="0 h"), (25.0,))).code == "S502"


def hold(start: str = "2027-03-05T18:30", **keys: Any) -> Timeline:
    treatment = keys.pop("treatment", COPPER)
    guarded = keys.pop("guarded", False)
    climb = rungs(treatment, treatment.needed("target").value, guarded=guarded)
    line = hold_times(keys.pop("calendar", calendar()), treatment, climb, at(start), **keys)
    assert isinstance(line, Timeline), line
    return line


class TestHold:
    def test_a_day_of_rest_then_the_ramp(self) -> None:
        assert dates(hold(), "doses") == ["06 18:30", "08 18:30"]

    def test_at_once_with_signs_of_the_fast_killer(self) -> None:
        assert dates(hold(at_once=True), "doses") == ["05 18:30", "07 18:30"]

    def test_days_count_from_the_first_reading_in_band(self) -> None:
        line = hold()
        assert line.in_band == at("2027-03-09T07:00")
        assert line.counted is not None
        assert elapsed_hours(line.in_band, line.counted) >= 14 * 24
        assert line.end == line.counted

    def test_the_slower_ramp_shows_in_the_dates(self) -> None:
        assert dates(hold(guarded=True), "doses") == ["06 18:30", "08 18:30", "10 18:30", "12 18:30"]
        assert hold(guarded=True).counted == at("2027-03-27T07:00")

    def test_a_step_put_off_puts_off_those_after_it(self) -> None:
        away = [{"from": "2027-03-07", "to": "2027-03-11"}]
        line = hold(guarded=True, calendar=calendar(away=away))
        assert dates(line, "doses") == ["06 18:30", "12 07:00", "14 07:00", "16 07:00"]
        assert line.doses[1].wished == at("2027-03-08T18:30")

    def test_ionic_copper_waits_a_day_after_the_half_change(self) -> None:
        line = hold(treatment=store.treatment("copper-ionic"))
        assert line.counted is not None
        assert 24 <= elapsed_hours(line.counted, line.end) < 24 + 13

    def test_the_same_tank_takes_longer_and_is_cleared(self) -> None:
        line = hold(changes_after=6)
        assert line.in_band is not None
        assert line.counted is not None
        assert elapsed_hours(line.in_band, line.counted) >= 30 * 24
        assert len(line.changes) == 6
        assert line.changes[0].at == line.counted
        assert elapsed_hours(line.changes[-1].at, line.end) >= 24

    def test_nobody_comes_back(self) -> None:
        for gone in ("2027-03-06", "2027-03-08", "2027-03-10", "2027-03-22"):
            away = calendar(away=[{"from": gone, "to": "2029-03-01"}])
            climb = rungs(COPPER, 2.25)
            assert refusal(hold_times(away, COPPER, climb, at("2027-03-05T18:30"))).code == "S503"
        away = calendar(away=[{"from": "2027-04-12", "to": "2029-03-01"}])
        assert refusal(hold_times(away, COPPER, climb, at("2027-03-05T18:30"), changes_after=6)).code == "S503"


class TestCourse:
    @pytest.mark.parametrize(
        ("temperature", "expected"),
        [
            (20.0, ["06 18:30", "15 18:30", "24 18:30"]),
            (24.0, ["06 18:30", "14 18:30", "22 18:30"]),
            (25.0, ["06 18:30", "14 18:30", "21 18:30"]),
            (27.0, ["06 18:30", "12 18:30", "18 18:30"]),
            (29.5, ["06 18:30", "11 18:30", "16 18:30"]),
        ],
    )
    def test_doses_by_temperature(self, temperature: float, expected: list[str]) -> None:
        line = course_times(calendar(), FLUKES, temperature, at("2027-03-05T18:30"))
        assert dates(line, "doses") == expected
        assert isinstance(line, Timeline)
        assert all(due.wished == due.at < due.until for due in line.doses)

    def test_the_second_moves_within_its_window(self) -> None:
        away = [{"from": "2027-03-12", "to": "2027-03-15"}]
        line = course_times(calendar(away=away), FLUKES, 25.0, at("2027-03-05T18:30"))
        # wished on the 14th, window from day 6 to day 10: the 12th to the 16th
        assert dates(line, "doses")[1] == "16 07:00"
        # the third follows the second, and stays inside its own window, day 14 to 18 from the first
        assert dates(line, "doses")[2] == "23 07:00"

    def test_the_latest_before_the_absence_where_nobody_is_back_in_time(self) -> None:
        away = [{"from": "2027-03-14", "to": "2027-03-17"}]
        line = course_times(calendar(away=away), FLUKES, 25.0, at("2027-03-05T18:30"))
        assert dates(line, "doses")[1] == "13 21:30"

    def test_a_late_second_leaves_the_third_less_room(self) -> None:
        # the second on the last day of its window, the 16th: the third not before the 22nd, when nobody is there
        away = [{"from": "2027-03-12", "to": "2027-03-15"}, {"from": "2027-03-21T22:00", "to": "2027-03-26"}]
        problem = refusal(course_times(calendar(away=away), FLUKES, 25.0, at("2027-03-05T18:30")))
        assert problem.code == "S503"

    def test_a_window_nobody_is_there_for(self) -> None:
        away = [{"from": "2027-03-11", "to": "2027-03-17"}]
        problem = refusal(course_times(calendar(away=away), FLUKES, 25.0, at("2027-03-05T18:30")))
        assert problem.code == "S503"
        assert "praziquantel" in problem.message

    @pytest.mark.parametrize("temperature", [None, 15.0, 33.0])
    def test_no_date_without_a_temperature(self, temperature: float | None) -> None:
        problem = refusal(course_times(calendar(), FLUKES, temperature, at("2027-03-05T18:30")))
        assert problem.code == "S507"
        assert "values" in problem.hint

    def test_own_days(self) -> None:
        mine = own("praziquantel-bath", second_dose="11 d", third_dose="20 d")
        line = course_times(calendar(), mine, 33.0, at("2027-03-05T18:30"))
        assert dates(line, "doses") == ["06 18:30", "17 18:30", "26 18:30"]

    def test_own_days_that_contradict_each_other(self) -> None:
        mine = own("praziquantel-bath", second_dose="20 d")
        problem = refusal(course_times(calendar(), mine, 25.0, at("2027-03-05T18:30")))
        assert problem.code == "S502"
        assert problem.message.endswith("contradict each other: the second on day 20, the third on day 15")

    def test_a_single_figure_is_that_day(self) -> None:
        number = own("praziquantel-bath", second_dose="11 d").needed("second_dose")
        assert day_window(number) == (11 * 24 - 12, 11 * 24 + 12)

    def test_nobody_comes_back(self) -> None:
        """Looked for over thirty days from when it is due, by then an hour later."""
        spans = {
            "2027-03-06": "Sat 6 Mar 18:30 and Mon 5 Apr 19:30",
            "2027-03-23": "Wed 24 Mar 18:30 and Fri 23 Apr 19:30",
        }
        for gone, span in spans.items():
            away = calendar(away=[{"from": gone, "to": "2029-03-01"}])
            problem = refusal(course_times(away, FLUKES, 25.0, at("2027-03-05T18:30")))
            assert problem.code == "S503"
            assert problem.message.startswith(f"nobody is there between {span}, and ")


class TestWatch:
    def test_whole_days(self) -> None:
        line = watch_times(calendar(), store.treatment("observation"), at("2027-03-05T18:30"))
        assert isinstance(line, Timeline)
        assert elapsed_hours(line.start, line.end) == 90 * 24

    def test_own_days(self) -> None:
        line = watch_times(calendar(), own("observation", days="60 d"), at("2027-01-05T18:30"))
        assert isinstance(line, Timeline)
        assert line.end == at("2027-03-06T18:30")

    def test_nobody_comes_back(self) -> None:
        away = calendar(away=[{"from": "2027-05-01", "to": "2029-03-01"}])
        problem = refusal(watch_times(away, store.treatment("observation"), at("2027-03-05T18:30")))
        assert problem.code == "S503"
