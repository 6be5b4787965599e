"""What a dose, a change of water or a reading leaves on the sheet: never a dose on top of what is too much already."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st

from history.kept import acts, batch, build, codes, first, history, log_of, moment, plan, tank
from pratique.history.fold import fold
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import Task
from pratique.schedule.plan import make_plan
from pratique.schedule.reckoned import reckoned_level, too_high
from pratique.schedule.recorded import medicines_on_record

READ = """
    2027-03-05T19:00 arrived first in ward
    2027-03-06T19:00 dose ward 13.5 mL of copper bottle
    2027-03-08T07:00 reading ward copper 2.2 mg/L with copper meter
"""
MORNING = "2027-03-08T07:30"


def ward() -> Room:
    return build(tanks={"ward": tank("ward")}, batches={"first": batch()})


def lines(text: str, at: str) -> tuple[Task, ...]:
    """The sheet of the day of `at`, every entry written down when it happened."""
    room = ward()
    known = history(room, text, at)
    written = [entry.model_copy(update={"written": entry.at}) for entry in known.log.written]

    log = log_of(written)
    known = fold(room, log, moment(at))
    return lines_of_day(room, make_plan(room, known), known, moment(at).date())


def still_open(found: tuple[Task, ...], *names: str) -> list[Task]:
    return [task for task in found if task.act in names and task.state not in ("done", "skipped", "off", "missed")]


# --- copper that came in with a change -------------------------------------------------------------------------


def test_copper_in_the_water_of_a_change_is_reckoned_like_a_dose() -> None:
    """2.2 mg/L in 45 of 60 L, and 34 mL of 10 mg/mL with the 15 L: 1.65 + 5.67 = 7.32 mg/L."""
    text = READ + "2027-03-08T07:20 change ward 15 L with 34 mL of copper bottle"
    known = history(ward(), text, MORNING)
    found = too_high(known, treatment_for(ward(), "copper-chelated"), "ward", known.at)
    assert found is not None
    assert found.reckoned.level.value == pytest.approx(2.2 * 45 / 60 + 340 / 60)
    assert "S532" in codes(first(ward(), text, MORNING))
    sheet = lines(text, MORNING)
    assert [task.act for task in still_open(sheet, "change-water", "dose", "redose")] == ["change-water"]
    assert [task for task in sheet if task.urgent and task.act == "test"]


def test_it_is_on_record_that_the_water_holds_it() -> None:
    """Where all the copper there ever was came with a change."""
    text = "2027-03-05T19:00 arrived first in ward\n2027-03-06T19:00 change ward 30 L with 40 mL of copper bottle"
    known = history(ward(), text, "2027-03-06T20:00")
    assert medicines_on_record(ward(), known, "ward") == ("copper-chelated",)
    assert "S532" in codes(first(ward(), text, "2027-03-06T20:00"))


def test_a_dose_into_new_water_counts_once_that_is_changed_in() -> None:
    text = READ + "2027-03-08T07:10 dose ward 34 mL of copper bottle into new-water\n"
    assert "S532" not in codes(first(ward(), text, MORNING))
    assert "S532" in codes(first(ward(), text + "2027-03-08T07:20 change ward 15 L", MORNING))


# --- a change without it ---------------------------------------------------------------------------------------

HALVED = READ + "2027-03-08T07:20 change ward 30 L\n"


def test_a_change_without_copper_leaves_one_dose_by_reckoning_and_not_that_of_the_change() -> None:
    sheet = lines(HALVED, MORNING)
    (dose,) = still_open(sheet, "dose", "redose")
    assert "1.1 mg/L by reckoning" in dose.text
    assert "read first" in dose.text
    assert dose.amount is not None
    assert dose.amount.value == pytest.approx((2.0 - 1.1) * 60 / 10, rel=0.01)
    struck = [task for task in sheet if task.act == "redose" and task.routine]
    assert [task.state for task in struck] == ["off"]


def test_the_reading_of_the_morning_stays_done_and_the_evening_is_read_again() -> None:
    sheet = [task for task in lines(HALVED, MORNING) if task.act == "test" and task.text.startswith("copper")]
    morning = [task for task in sheet if task.at.hour == 7]
    assert {task.state for task in morning} == {"done"}
    assert [task.state for task in sheet if task.at.hour == 18] == [""]


def test_the_dose_of_a_change_that_went_into_the_tank_after_it_is_ticked() -> None:
    text = READ + "2027-03-08T07:20 change ward 15 L\n2027-03-08T07:25 dose ward 3.3 mL of copper bottle"
    sheet = lines(text, MORNING)
    (dose,) = [task for task in sheet if task.act == "redose" and task.routine]
    assert dose.state == "done"
    assert not still_open(sheet, "redose")


def test_a_dose_that_was_only_ticked_leaves_nothing_reckoned() -> None:
    """Nobody knows how much it was: the ramp is counted on, and nothing is added to a level that is guessed."""
    text = """
        2027-03-05T19:00 arrived first in ward
        2027-03-06T19:00 done first/copper/dose/1
        2027-03-08T19:00 dose ward 1.5 mL of copper bottle
    """
    known = history(ward(), text, "2027-03-09T08:00")
    found = reckoned_level(known, treatment_for(ward(), "copper-chelated"), "ward", known.at)
    assert found is not None
    assert not found.is_whole
    assert not [task for task in acts(first(ward(), text, "2027-03-09T08:00"), "redose") if task.state != "done"]


# --- a reading above the ceiling -------------------------------------------------------------------------------


def test_after_a_reading_above_the_ceiling_only_clean_water_goes_in() -> None:
    sheet = lines(READ + "2027-03-08T07:30 reading ward copper 3.4 mg/L with copper meter", "2027-03-08T07:40")
    (change,) = still_open(sheet, "change-water")
    assert change.urgent
    assert not still_open(sheet, "dose", "redose")
    assert [task.state for task in sheet if task.routine and task.act == "redose"] == ["off"]
    evening = [task for task in sheet if task.act == "test" and task.text.startswith("copper") and task.at.hour == 18]
    assert [task.state for task in evening] == [""]


# --- an old reading --------------------------------------------------------------------------------------------

LOW = READ + "2027-03-08T18:10 reading ward copper 1.7 mg/L with copper meter\n"


def test_a_low_reading_is_dosed_by_while_it_is_fresh() -> None:
    found = [task for task in acts(first(ward(), LOW, "2027-03-08T19:00"), "redose") if task.state != "done"]
    assert found[0].amount is not None
    assert "by the reading 1.7 mg/L" in found[0].text


def test_an_old_reading_or_one_from_before_a_change_asks_for_another_first() -> None:
    kept = "2027-03-08T20:00 change ward 15 L with 3.4 mL of copper bottle\n"
    for text, at in ((LOW, "2027-03-09T18:30"), (LOW + kept, "2027-03-08T21:00")):
        found = first(ward(), text, at)
        (dose, *_) = [task for task in acts(found, "redose") if task.state != "done"]
        assert dose.amount is None
        assert "only after a reading" in dose.text
    late = [problem for problem in first(ward(), LOW, "2027-03-09T18:30").problems if problem.code == "S522"]
    assert late
    assert all("read the level before anything is added" in problem.hint for problem in late)


# --- an overdose counts no sooner ------------------------------------------------------------------------------

ONE = "2027-03-05T19:00 arrived first in ward\n2027-03-06T19:00 dose ward 12 mL of copper bottle\n"


@settings(max_examples=30, deadline=None)
@given(minutes=st.integers(1, 46 * 60), amount=st.integers(4, 60))
def test_too_much_never_brings_the_release_nearer(minutes: int, amount: int) -> None:
    at = moment("2027-03-06T19:00") + dt.timedelta(minutes=minutes)
    once = first(ward(), ONE, f"{at:%Y-%m-%dT%H:%M}")
    twice = first(ward(), f"{ONE}{at:%Y-%m-%dT%H:%M} dose ward {amount} mL of copper bottle", f"{at:%Y-%m-%dT%H:%M}")
    assert "S532" in codes(twice)
    assert once.release is not None
    assert twice.release is not None
    assert instant(twice.release.earliest) >= instant(once.release.earliest)


# --- whatever is poured ----------------------------------------------------------------------------------------

FAST = (Phase.explicit, Phase.reuse, Phase.generate)
"""Without shrinking: each example makes two plans of a whole room."""

POURS = st.lists(
    st.tuples(
        st.integers(1, 600),
        st.sampled_from(
            [
                "dose ward {} mL of copper bottle",
                "change ward {} L",
                "change ward 15 L with {} mL of copper bottle",
                "reading ward copper {} mg/L with copper meter",
            ]
        ),
        st.sampled_from(["1.5", "2.2", "3.4", "12", "30"]),
    ),
    min_size=1, max_size=6,
)  # fmt: skip


@settings(max_examples=60, deadline=None, phases=FAST)
@given(pours=POURS)
def test_no_dose_stands_on_a_sheet_of_a_water_with_too_much_in_it(pours: list[tuple[int, str, str]]) -> None:
    text, at = ONE, moment("2027-03-08T07:00")
    for minutes, words, amount in pours:
        at += dt.timedelta(minutes=minutes)
        text += f"{at:%Y-%m-%dT%H:%M} {words.format(amount)}\n"
    when = f"{at + dt.timedelta(minutes=1):%Y-%m-%dT%H:%M}"
    known = history(ward(), text, when)
    copper = treatment_for(ward(), "copper-chelated")
    found = too_high(known, copper, "ward", known.at)
    last = [entry for entry in known.of_water("ward").readings if entry.what == "copper"][-1:]
    read = bool(last) and last[0].value > 2.5 and at == last[0].at
    assume(found is not None or read)
    today = [task for task in lines(text, when) if task.state not in ("done", "skipped", "off", "missed")]
    assert not [task for task in today if task.act in ("dose", "redose")]
    assert [task for task in today if task.urgent and task.act == "change-water"]
    made = plan(ward(), text, when)
    assert ("S532" in codes(made)) is (found is not None)
