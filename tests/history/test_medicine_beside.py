"""A regimen that has begun stays: a medicine given beside it ends nothing, and is said."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from history.kept import acts, batch, build, codes, first, history, moment, one_of_each, plan, tank
from pratique.room.resolve import Room
from pratique.schedule.changes import changes_between
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import BatchPlan

HELD = """
    2027-03-05T19:00 arrived first in ward
    2027-03-06T19:00 dose ward 12 mL of copper bottle
    2027-03-08T19:00 dose ward 1.5 mL of copper bottle
    2027-03-09T08:00 reading ward copper 2.25 mg/L with copper meter
    2027-03-10T08:00 reading ward copper 2.25 mg/L with copper meter
"""
WORMER = "dose ward praziquantel-bath 0.126 g of fluke powder"


def ward_only(**more: object) -> Room:
    """One bare tank, copper and an anthelmintic on the shelf: copper is proposed for want of two tubs."""
    return build(tanks={"ward": tank("ward")}, batches={"first": batch(**more)})


def regimen(room: Room, lines: str, at: str) -> str:
    return first(room, lines, at).regimen.id


def test_one_dose_of_another_medicine_does_not_end_the_copper() -> None:
    """Found on a walk: a praziquantel entry made the plan one of transfers, and struck every copper test."""
    room = ward_only()
    before, after = first(room, HELD, "2027-03-11T08:00"), first(room, HELD + f"2027-03-10T08:05 {WORMER}",
                                                                 "2027-03-11T08:00")  # fmt: skip
    assert (before.regimen.id, after.regimen.id) == ("copper-hold", "copper-hold")
    assert after.stages == before.stages
    assert after.release == before.release
    assert "S538" in codes(after)
    assert "S538" not in codes(before)


def test_the_copper_is_still_read_the_day_after() -> None:
    room, lines = ward_only(), HELD + f"2027-03-10T08:05 {WORMER}"
    found = history(room, lines, "2027-03-11T07:00")
    sheet = lines_of_day(room, plan(room, lines, "2027-03-11T07:00"), found, dt.date(2027, 3, 11))
    tests = [task for task in sheet if task.act == "test" and task.text.startswith("copper")]
    assert tests
    assert not [task for task in sheet if task.state == "off"]


def test_it_is_told_when_it_is_written_down_and_nothing_is_sooner() -> None:
    room, at = ward_only(), "2027-03-10T09:00"
    (change,) = changes_between(plan(room, HELD, at), plan(room, HELD + f"2027-03-10T08:05 {WORMER}", at))
    assert change.before == change.after
    assert "S538" in change.text


def test_the_first_medicine_still_decides_which_regimen_was_begun() -> None:
    room = ward_only()
    arrived = "2027-03-05T19:00 arrived first in ward\n"
    assert regimen(room, arrived, "2027-03-07T08:00") == "copper-hold"
    tub = "2027-03-05T19:00 arrived first in tub a\n"
    copper = "2027-03-06T19:00 dose tub a 12 mL of copper bottle"
    assert regimen(one_of_each(), tub, "2027-03-07T08:00") == "transfers-anthelmintic"
    assert regimen(one_of_each(), tub + copper, "2027-03-07T08:00") == "copper-hold"


SERIES = """
    2027-03-05T19:00 arrived first in tub a
    2027-03-08T08:00 move first to tub b
    2027-03-08T09:00 dried tub a
"""


def test_an_anthelmintic_in_a_tub_does_not_end_the_series() -> None:
    lines = SERIES + "2027-03-09T08:00 dose tub b praziquantel-bath 0.126 g of fluke powder"
    found = first(one_of_each(), lines, "2027-03-09T10:00")
    assert [task.state for task in acts(found, "transfer")] == ["done", "", "", ""]
    assert "S525" not in codes(found)


OWN = {
    "copper-then-wormer": {
        "title": "copper, then an anthelmintic",
        "reason": "both, one after the other",
        "misses": "the rest",
        "stages": [
            {"name": "copper", "kind": "hold", "use": ["ward"], "treatments": ["copper-chelated"]},
            {"name": "wormer", "kind": "course", "use": ["ward"], "treatments": ["praziquantel-bath"]},
            {"name": "watch", "kind": "observation", "use": ["ward"], "treatments": ["observation"]},
        ],
    }
}


def two_wards() -> Room:
    rooms = {"ward": tank("ward"), "second": tank("ward")}
    return build(tanks=rooms, batches={"first": batch(regimen="copper-then-wormer")}, regimens=OWN)


def now_in(found: BatchPlan) -> str:
    return next(stage.name for stage in found.stages if not stage.over)


def test_the_medicine_of_a_later_stage_ends_a_hold_only_out_of_its_water() -> None:
    """Given into the copper it is given beside it; in clean water the fish have left the copper, early or not."""
    beside = HELD + f"2027-03-10T08:05 {WORMER}"
    assert now_in(first(two_wards(), beside, "2027-03-10T10:00")) == "copper"
    moved = HELD + "2027-03-10T08:05 move first to second\n"
    away = moved + "2027-03-10T08:10 dose second praziquantel-bath 0.126 g of fluke powder"
    found = first(two_wards(), away, "2027-03-10T10:00")
    assert now_in(found) == "wormer"
    assert "S525" in codes(found)
    with_copper = moved + "2027-03-10T08:06 dose second 13.5 mL of copper bottle\n"
    held = with_copper + "2027-03-10T08:10 dose second praziquantel-bath 0.126 g of fluke powder"
    assert now_in(first(two_wards(), held, "2027-03-10T10:00")) == "copper"


@settings(max_examples=25, deadline=None)
@given(hours=st.integers(0, 20 * 24), amount=st.sampled_from(["0.01 g", "0.126 g", "1 g"]))
def test_whenever_it_is_given_the_copper_goes_on(hours: int, amount: str) -> None:
    room = ward_only()
    given_at = moment("2027-03-06T20:00") + dt.timedelta(hours=hours)
    at = f"{given_at + dt.timedelta(hours=1):%Y-%m-%dT%H:%M}"
    beside = f"{given_at:%Y-%m-%dT%H:%M} dose ward praziquantel-bath {amount} of fluke powder"
    before, after = first(room, HELD, at), first(room, HELD + beside, at)
    assert after.regimen == before.regimen
    assert after.release == before.release
    assert [stage.end for stage in after.stages] == [stage.end for stage in before.stages]


@pytest.mark.parametrize("signs", [["dust"], ["white-spots"]])
def test_a_regimen_that_signs_called_for_stays_as_well(signs: list[str]) -> None:
    room = ward_only(signs=signs)
    lines = HELD + f"2027-03-10T08:05 {WORMER}"
    before, after = first(room, HELD, "2027-03-11T08:00"), first(room, lines, "2027-03-11T08:00")
    assert before.regimen.id == after.regimen.id == "copper-hold"
    assert after.stages == before.stages


def in_turn(*stages: str) -> Room:
    """A room whose one batch goes through these stages: a watch apart, an anthelmintic, copper, a watch."""
    own, watch = OWN["copper-then-wormer"]["stages"], {"kind": "observation", "treatments": ["observation"]}
    known = {
        "copper": own[0],
        "wormer": own[1],
        "before": {"name": "before", "use": ["observation"], **watch},
        "watch": {"name": "watch", "use": ["observation"], **watch},
    }
    regimen = {**OWN["copper-then-wormer"], "stages": [known[name] for name in stages]}
    return build(batches={"first": batch(regimen="mine")}, regimens={"mine": regimen})


WORMED = "2027-03-05T18:40 arrived first in ward\n" + "".join(
    f"2027-03-{day}T18:30 {WORMER}\n" for day in ("06", "14", "21")
)


@pytest.mark.parametrize(
    ("stages", "gone", "ended"),
    [
        (("wormer", "watch"), "03-24T18:30", {"wormer": "24 18:30"}),
        (("wormer", "watch"), "03-24T18:31", {"wormer": "24 18:30", "watch": "24 18:31"}),
        (("wormer", "copper", "watch"), "03-26T18:00", {"wormer": "26 18:00"}),
    ],
)
def test_in_the_tank_of_the_course_nothing_but_a_watch_begins_by_itself(
    stages: tuple[str, ...], gone: str, ended: dict[str, str]
) -> None:
    """The course is over three days after its third dose; they stayed in the ward and went from it into the display."""
    found = first(in_turn(*stages), WORMED + f"2027-{gone} move first to reef", "2027-03-28T08:00")
    assert {stage.name: f"{stage.end:%d %H:%M}" for stage in found.stages} == ended


def test_after_a_course_with_nothing_behind_it_they_are_in_it_until_they_leave() -> None:
    came = "2027-03-01T18:40 arrived first in long\n" + WORMED.replace("arrived first in", "move first to")
    found = first(in_turn("before", "wormer"), came + "2027-03-26T18:00 move first to reef", "2027-03-28T08:00")
    assert [(stage.name, stage.end) for stage in found.stages] == [
        ("before", moment("2027-03-05T18:40")),
        ("wormer", moment("2027-03-26T18:00")),
    ]
    assert "S512" in codes(found)  # no watch at the end


@pytest.mark.parametrize(("mark", "watched"), [("2027-03-24T18:30 skipped first/wormer/move/1\n", True), ("", False)])
def test_where_the_move_after_a_course_is_skipped_the_watch_begins_in_its_tank(mark: str, watched: bool) -> None:
    """On the 26th they go into the tank of the watch after all."""
    found = first(in_turn("wormer", "watch"), WORMED + mark + "2027-03-26T18:00 move first to long", "2027-03-28T08:00")
    course, watch = found.stages
    assert (course.end, watch.start) == (moment("2027-03-24T18:30" if watched else "2027-03-26T18:00"),) * 2
    assert watch.tanks == (("ward", "long") if watched else ("long",))


def test_a_course_that_lacks_a_dose_goes_on_until_they_leave() -> None:
    two = WORMED.rpartition("2027-03-21")[0]
    found = first(in_turn("wormer", "watch"), two + "2027-03-26T18:00 move first to reef", "2027-03-28T08:00")
    assert [(stage.name, stage.end) for stage in found.stages] == [("wormer", moment("2027-03-26T18:00"))]


def test_a_watch_that_is_over_was_only_in_the_tanks_of_its_own() -> None:
    lines = "2027-03-05T18:40 arrived first in long\n2027-06-20T18:00 move first to ward\n2027-06-21T18:30 " + WORMER
    found = first(in_turn("before", "wormer", "watch"), lines, "2027-06-22T08:00")
    assert [(stage.name, stage.tanks) for stage in found.stages[:2]] == [("before", ("long",)), ("wormer", ("ward",))]
