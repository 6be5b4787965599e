"""What changed and why, as sentences."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from history.kept import HOME, batch, build, copper_room, history, log_of, moment, one_of_each, typed
from pratique.history.fold import fold
from pratique.room.resolve import Room
from pratique.schedule.calendar import shown
from pratique.schedule.changes import changes_between, changes_since_yesterday, release_moves
from pratique.schedule.plan import make_plan

CAME = "2027-03-05T19:00 arrived first in tub a\n"


def since(room: Room, log: str, at: str) -> list[str]:
    record = history(room, log, at)
    changes = changes_since_yesterday(room, make_plan(room, record), record)
    return [f"{change.batch}: {change.text}" for change in changes]


def day(text: str) -> dt.datetime:
    return dt.datetime.fromisoformat(text).replace(tzinfo=HOME)


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ("2027-03-12", "2027-03-21", ["release moves from Fri 12 Mar to Sun 21 Mar, 9 days later"]),
        ("2027-03-28", "2027-04-02", ["release moves from Sun 28 Mar to Fri 2 Apr, 5 days later"]),
        ("2027-12-28", "2028-01-02", ["release moves from Tue 28 Dec 2027 to Sun 2 Jan 2028, 5 days later"]),
        ("2027-03-12", "2027-03-11", ["release moves from Fri 12 Mar to Thu 11 Mar, 1 day sooner"]),
        ("2027-03-12", "2027-03-12T22:00", []),
    ],
)
def test_how_a_release_moves(before: str, after: str, said: list[str]) -> None:
    assert release_moves(day(before), day(after)) == said


def test_where_there_is_no_date() -> None:
    assert release_moves(None, None) == []
    assert release_moves(day("2027-03-12"), None) == ["there is no date of release any more"]
    assert release_moves(None, day("2027-03-12")) == ["release Fri 12 Mar at the earliest"]


def test_a_day_on_which_nothing_happened() -> None:
    assert since(one_of_each(), CAME, "2027-03-07T20:00") == []


def test_an_arrival_otherwise_than_announced() -> None:
    (said,) = since(one_of_each(), "2027-03-06T20:00 arrived first in tub b", "2027-03-06T21:00")
    assert said == (
        "first: arrived Sat 6 Mar 20:00 in tub b, announced for Fri 5 Mar 18:30; "
        "release moves from Sun 4 Jul to Mon 5 Jul, 1 day later"
    )


@pytest.mark.parametrize(
    ("written", "said"),
    [
        (
            "2027-03-08T20:00",
            ["first: arrived Fri 5 Mar 19:00 in tub a, announced for Fri 5 Mar 18:30, written down since"],
        ),
        ("2028-01-01T12:00", []),
    ],
    ids=["written down today", "written long after the day that is asked about"],
)
def test_an_arrival_of_days_ago_is_no_news_of_today(written: str, said: list[str]) -> None:
    room = one_of_each()
    record = history(room, CAME, "2027-03-08T21:00", written)
    changes = changes_since_yesterday(room, make_plan(room, record), record)
    assert [
        f"{change.batch}: {'; '.join(change.reasons[:1])}" for change in changes if "arrived" in change.text
    ] == said


def test_an_arrival_as_announced_moves_nothing() -> None:
    (said,) = since(one_of_each(), CAME.replace("19:00", "18:30"), "2027-03-05T21:00")
    assert said == "first: arrived Fri 5 Mar 18:30 in tub a"


def test_a_move_that_is_overdue() -> None:
    (said,) = since(one_of_each(), CAME, "2027-03-08T22:00")
    assert said.startswith("first: transfer series: the next move is 3 h late; release moves from Sun 4 Jul to ")


def test_deaths_and_what_a_batch_lost() -> None:
    log = CAME + "2027-03-06T08:00 death tub a yellow tang"
    assert since(one_of_each(), log, "2027-03-06T09:00") == ["first: 1 yellow tang dead, 1 left of the batch"]


def test_a_batch_that_went_and_one_that_cannot_be_planned_any_more() -> None:
    straight = since(one_of_each(), "2027-03-05T19:00 arrived first in reef", "2027-03-05T20:00")
    assert "went straight into reef" in straight[0]
    assert "there is no date of release any more" in straight[0]


def test_a_level_that_is_unknown_for_hours() -> None:
    log = """
        2027-03-05T18:40 arrived first in ward
        2027-03-05T18:50 dose ward copper-chelated 13.5 mL of copper bottle
        2027-03-08T08:00 reading ward copper 2.25 mg/L
    """
    (said,) = since(copper_room(), log, "2027-03-10T21:00")
    assert "copper clock not counting for" in said
    assert "more than 36 h since the last reading in band" in said


def test_one_entry_by_its_id() -> None:
    room = one_of_each()
    entries = typed(room, CAME + "2027-03-06T08:00 found tub a damselfish")
    at = moment("2027-03-06T09:00")
    (change,) = changes_between(*(make_plan(room, fold(room, log_of(known), at)) for known in (entries[:1], entries)))
    assert change.entry_ids == (entries[1].id,)
    assert "transfer series restarted: 1 damselfish found in the same water" in change.text


def test_the_same_plan_has_no_changes_and_another_tank_is_one() -> None:
    plan = make_plan(one_of_each())
    assert changes_between(plan, plan) == ()
    two = build(batches={"first": batch("2027-03-05T18:30"), "second": batch("2027-03-28T18:30")})
    log = "2027-03-01T08:00 note the log begins\n2027-03-06T08:00 arrived second in long"
    found = since(two, log, "2027-03-06T09:00")
    assert any(said.startswith("second: arrived Sat 6 Mar 08:00 in long") for said in found)


def test_without_another_reason_the_first_stage_that_ends_half_a_day_elsewhere_is_named() -> None:
    """The hours of the first stage are no reason, the half day of the second is one, and one is enough."""
    plan = make_plan(one_of_each())
    (one,) = plan.batches
    assert one.release is not None
    added = [dt.timedelta(hours=11.9), dt.timedelta(hours=-12), *[dt.timedelta(days=3)] * (len(one.stages) - 2)]
    stages = tuple(replace(stage, end=stage.end + more) for stage, more in zip(one.stages, added, strict=True))
    release = replace(one.release, earliest=one.release.earliest + dt.timedelta(days=3))
    later = replace(plan, batches=(replace(one, stages=stages, release=release),))
    (change,) = changes_between(plan, later)
    was, now = one.stages[1], stages[1]
    assert change.reasons == (f"{was.name} ends {shown(now.end)} instead of {shown(was.end)}",)
    assert change.text.endswith(", 3 days later")


def test_a_stage_in_another_tank_is_named_and_the_tubs_of_a_series_are_not() -> None:
    plan = make_plan(one_of_each())
    (one,) = plan.batches
    moved = {"observation": ("ward",), "transfers": ("tub b", "tub a")}
    stages = tuple(replace(stage, tanks=moved.get(stage.kind, stage.tanks)) for stage in one.stages)
    (change,) = changes_between(plan, replace(plan, batches=(replace(one, stages=stages),)))
    assert change.reasons == ("observation in ward instead of long",)
