"""What shows only in a long or crowded record: the longer course in one tank, newcomers, tubs dried, days away."""

from __future__ import annotations

import datetime as dt

import pytest

from history.kept import acts, batch, build, copper_room, first, moment, one_of_each, tank, tanks
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.basis import Basis
from pratique.schedule.model import BatchPlan
from pratique.schedule.plan import make_plan

CAME = "2027-03-05T19:00 arrived first in tub a\n"
IN_WARD = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"
KITS = {
    "meter": {"measures": "copper", "forms": ["chelated"], "error": "3 %"},
    "ionic kit": {"measures": "copper", "forms": ["ionic"], "error": "3 %"},
}


def thirty_days(zero: str = "") -> BatchPlan:
    """A month in band, the move skipped, six changes of half the water, and perhaps a reading of zero; a week on."""
    days = [dt.date(2027, 3, 6) + dt.timedelta(days=number) for number in range(32)]  # 31 days: one has 23 h
    lines = [f"{day}T08:00 reading ward copper 2.2 mg/L with meter" for day in days]
    lines.insert(1, "2027-03-06T08:10 skipped first/copper/move/1")
    lines += [f"2027-04-{day:02}T08:30 change ward 50 %" for day in range(7, 13)]
    log = IN_WARD + "\n".join([*lines, zero])
    return first(copper_room(kits=KITS), log, "2027-04-20T08:00")


@pytest.mark.parametrize(
    ("zero", "watched_from"),
    [
        ("", "2027-04-20T08:00"),
        ("2027-04-13T08:00 reading ward copper 0.05 mg/L with meter", "2027-04-13T08:00"),
        ("2027-04-13T08:00 reading ward copper 0.05 mg/L with ionic kit", "2027-04-20T08:00"),
        ("2027-04-13T08:00 reading ward copper 0.5 mg/L with meter", "2027-04-20T08:00"),
    ],
)
def test_in_the_same_tank_the_watch_counts_from_a_zero_that_can_be_believed(zero: str, watched_from: str) -> None:
    found = thirty_days(zero)
    assert [stage.tank for stage in found.stages] == ["ward", "ward"]
    assert found.stages[1].start == moment(watched_from)


def test_each_newcomer_costs_what_had_been_counted_by_then() -> None:
    """One before day one, who costs nothing; then 36 h, the most that a reading carries, and 36 h again."""
    log = (
        IN_WARD
        + """
        2027-03-05T20:00 found ward a damselfish
        2027-03-06T08:00 reading ward copper 2.2 mg/L
        2027-03-08T08:00 found ward a damselfish
        2027-03-08T09:00 reading ward copper 2.2 mg/L
        2027-03-10T08:00 found ward a damselfish
        2027-03-10T09:00 reading ward copper 2.2 mg/L
    """
    )
    state = first(copper_room(), log, "2027-03-11T08:00").stages[0].state
    assert state is not None
    assert (state.first_started, state.started) == (moment("2027-03-06T08:00"), moment("2027-03-10T09:00"))
    assert [(one.at, one.cost_hours) for one in state.breaks] == [
        (moment("2027-03-05T20:00"), 0),
        (moment("2027-03-08T08:00"), 36),
        (moment("2027-03-10T08:00"), 36),
    ]


@pytest.mark.parametrize(("mark", "restarts"), [("2027-03-08T09:00 done first/transfers/dry/1\n", 0), ("", 1)])
def test_a_drying_that_is_ticked_off_makes_the_tub_dry(mark: str, restarts: int) -> None:
    """Back in it 26 h after they left: dry where the line was ticked 25 h before, else not."""
    log = CAME + "2027-03-08T08:00 move first to tub b\n" + mark + "2027-03-09T10:00 move first to tub a"
    state = first(one_of_each(), log, "2027-03-09T12:00").stages[0].state
    assert state is not None
    assert state.restarts == restarts


def test_a_tub_that_was_scrubbed_is_not_dry_for_that() -> None:
    log = CAME + "2027-03-08T08:00 move first to tub b\n2027-03-08T08:30 cleaned tub a"
    found = first(one_of_each(), log, "2027-03-08T22:30")
    left = {task.act: task.state for task in acts(found, "strip", "dry") if task.tank == "tub a" and task.at.day == 8}
    assert (left["strip"], left["dry"] != "done") == ("done", True)


@pytest.mark.parametrize(("kits", "known"), [(KITS, True), ({"ionic kit": KITS["ionic kit"]}, False), ({}, False)])
def test_copper_is_at_hand_only_with_a_kit_that_reads_its_form(kits: dict[str, object], known: bool) -> None:
    basis = Basis(build(kits=kits))
    assert basis.is_at_hand(treatment_for(basis.room, "copper-chelated")) == known
    assert basis.is_at_hand(treatment_for(basis.room, "tank-transfer"))


def test_gear_from_a_tank_in_which_a_batch_came_only_later_is_clean() -> None:
    two = {"first": batch("2027-03-05T18:30", "trusted"), "second": batch("2027-03-05T18:30")}
    log = """
        2027-03-05T19:00 arrived first in long
        2027-03-10T08:00 gear red set in ward
        2027-03-10T19:00 arrived second in ward
        2027-03-11T08:00 gear red set in long
    """
    watched = first(build(batches=two), log, "2027-03-13T08:00").stages[-1].state
    assert watched is not None
    assert watched.restarts == 0


def test_days_away_are_counted_as_days() -> None:
    room = one_of_each(room={"away": [{"from": "2027-05-01", "to": "2027-05-12"}]})
    (said,) = [problem for problem in make_plan(room).batches[0].problems if problem.code == "S504"]
    assert "nobody looks after `first` for 12 d from" in said.message


def cleared(last: dict[str, object]) -> bool:
    """Whether the tank of the watch is stripped after the release."""
    room: Room = build(tanks={**tanks(), "long": tank("observation", **last)})
    return any(task.tank == "long" for task in acts(make_plan(room).batches[0], "strip"))


def test_only_a_bare_tank_without_a_living_filter_is_emptied_after_the_watch() -> None:
    bare = {"substrate": "bare", "rock": "none"}
    assert cleared({**bare, "cycled": "no"})
    assert not cleared({**bare, "cycled": "yes"})
    assert not cleared({"cycled": "no"})
