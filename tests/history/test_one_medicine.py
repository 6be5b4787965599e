"""Two batches in one water, and medicines that do not go together: what is there stays, the other is not planned."""

from __future__ import annotations

import pytest

from history.kept import acts, batch, build, codes, plan, tank
from pratique.room.resolve import Room
from pratique.schedule.model import BatchPlan

FLUKES = {
    "title": "flukes, then a watch", "reason": "the last ones had flukes", "misses": "velvet",
    "stages": [
        {"name": "flukes", "kind": "course", "use": "ward", "treatments": ["praziquantel-bath"]},
        {"name": "watch", "kind": "observation", "use": "observation, ward", "treatments": ["observation"]},
    ],
}  # fmt: skip

IN_COPPER = """
    2027-03-05T18:40 arrived first in ward
    2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle
    2027-03-07T18:50 dose ward 1.5 mL of copper bottle
    2027-03-08T08:00 reading ward copper 2.25 mg/L with copper meter
"""
JOINED = IN_COPPER + "2027-03-08T19:00 arrived second in ward\n"


def two_batches(regimen: str = "flukes first") -> Room:
    return build(
        batches={"first": batch(signs=["dust"]), "second": batch("2027-03-08T18:30", regimen=regimen)},
        regimens={"flukes first": FLUKES},
        tanks={"reef": tank("display"), "ward": tank("ward"), "other": tank("ward"), "long": tank("observation")},
    )


def batches_of(lines: str, at: str, regimen: str = "flukes first") -> tuple[BatchPlan, BatchPlan]:
    first, second = plan(two_batches(regimen), lines, at).batches
    return first, second


def to_give(found: BatchPlan) -> list[tuple[bool, str]]:
    """For each dose still to be given: has it an amount, and by what was it refused."""
    doses = [task for task in acts(found, "dose", "redose") if task.state != "done"]
    return [(task.amount is not None, task.refused) for task in doses]


def test_no_praziquantel_into_the_copper_of_another_batch() -> None:
    """The second batch was put into the ward of the first: the day sheet had 0.126 g for its water."""
    first, second = batches_of(JOINED, "2027-03-09T08:00")
    assert to_give(second) == [(False, "S546")] * 3
    assert not [task for task in acts(second, "dose", "redose") if task.state == "late" and "S522" in codes(second)]
    (said,) = [problem for problem in second.problems if problem.code == "S546"]
    assert "no praziquantel-bath is planned for `second` in `ward`: copper-chelated is in this water, for `first`" in (
        said.message
    )
    assert "S546" not in codes(first)
    redose = [routine for stage in first.stages for routine in stage.routines if routine.act == "redose"]
    assert all(routine.amount is not None for routine in redose)


def test_nor_when_those_it_was_for_have_left_until_a_reading_shows_none() -> None:
    gone = JOINED + "2027-03-22T09:00 move first to long\n"
    _, second = batches_of(gone, "2027-03-22T10:00")
    assert to_give(second) == [(False, "S546")] * 3
    assert any("by the log copper-chelated is in this water" in problem.message for problem in second.problems)
    clean = gone + "2027-03-23T08:00 change ward 90 %\n2027-03-23T09:00 reading ward copper 0 mg/L with copper meter\n"
    _, second = batches_of(clean, "2027-03-23T10:00")
    assert to_give(second) == [(True, "")] * 3


def test_what_was_given_first_stays_whoever_came_first() -> None:
    worming = """
        2027-03-05T18:40 arrived first in ward
        2027-03-05T20:00 arrived second in ward
        2027-03-06T08:00 dose ward praziquantel-bath 0.126 g of fluke powder
    """
    first, second = batches_of(worming, "2027-03-06T09:00")
    assert {refused for _, refused in to_give(first)} == {"S546"}
    assert to_give(second) == [(True, "")] * 2


@pytest.mark.parametrize(
    ("lines", "regimen"),
    [
        (IN_COPPER + "2027-03-08T19:00 arrived second in other", "flukes first"),
        (JOINED, "copper-hold"),
        (IN_COPPER, "flukes first"),
    ],
)
def test_in_a_water_of_their_own_or_in_the_same_medicine_nothing_is_withheld(lines: str, regimen: str) -> None:
    for found in batches_of(lines, "2027-03-09T08:00", regimen):
        assert "S546" not in codes(found)
        assert "S546" not in [refused for _, refused in to_give(found)]
