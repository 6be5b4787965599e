"""Whole histories: a keeper who does as the plan says gets the date it promised; one who is late gets a later one."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from history.keeper import Keeper, to_the_end
from history.kept import batch, build, codes, tank, tanks
from pratique.schedule.model import Task
from pratique.schedule.plan import make_plan

NO_LONG = {name: keys for name, keys in tanks().items() if name != "long"}
REGIMENS: dict[str, dict[str, Any]] = {
    "transfers-anthelmintic": {"batches": {"x": batch()}},
    "copper-hold": {"batches": {"x": batch(signs=["dust"])}},
    "copper-in-one-tank": {
        "batches": {"x": batch(signs=["dust"])},
        "tanks": {"reef": tank("display"), "w": tank("ward")},
    },
    "watch-only": {"batches": {"x": batch("2027-03-05T18:30", "trusted")}},
    "without-copper": {"batches": {"x": batch("2027-03-05T18:30", "untrusted", "bamboo shark")}},
    "with-copper-too": {
        "batches": {"x": batch(signs=["white-spots"])},
        "tanks": {**tanks(), "ward 2": tank("ward")},
    },
    "corals": {"batches": {"x": batch("2027-03-05T18:30", "unsure", "torch coral")}},
    "slowly": {"batches": {"x": batch("2027-03-05T18:30", "untrusted", "coral beauty angelfish", signs=["dust"])}},
    "anthelmintic in one tank": {"batches": {"x": batch()}, "tanks": NO_LONG},
}


@pytest.mark.parametrize("name", REGIMENS)
def test_a_keeper_who_does_as_the_plan_says_gets_the_date_it_promised(name: str) -> None:
    room = build(**REGIMENS[name])
    planned = make_plan(room).batches[0]
    assert planned.release is not None, planned.problems
    keeper = Keeper(room, "x")
    plan = to_the_end(keeper)
    assert plan.over.startswith("went into reef"), [(t.id, t.state) for t in plan.tasks if t.state != "done"]
    assert plan.release is not None
    days = (plan.release.earliest.date() - planned.release.earliest.date()).days
    assert 0 <= days <= 2, [(s.name, s.start, s.end) for s in plan.stages]
    assert not [code for code in codes(plan) if code in ("S522", "S523", "S524", "S525", "S526", "S527", "S528")]
    assert [stage.name for stage in plan.stages] == [stage.name for stage in planned.stages]
    assert all(stage.state is None or stage.state.is_finished for stage in plan.stages)
    assert not [task for task in plan.tasks if task.state == "late"]


@pytest.mark.parametrize("hours", [0.5, 5, 30, 100])
@pytest.mark.parametrize("name", ["transfers-anthelmintic", "copper-hold", "anthelmintic in one tank"])
def test_a_keeper_who_is_late_gets_there_too_and_later(name: str, hours: float) -> None:
    room = build(**REGIMENS[name])
    in_time = to_the_end(Keeper(room, "x"))
    late = to_the_end(
        Keeper(room, "x", late=lambda task: hours if task.act != "test" and task.id.endswith("/1") else 0.0)
    )
    assert late.over
    assert in_time.release is not None
    assert late.release is not None
    assert late.release.earliest >= in_time.release.earliest


@given(st.data())
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_is_late_or_forgotten_the_plan_goes_on(data: st.DataObject) -> None:
    room = build(**REGIMENS[data.draw(st.sampled_from(sorted(REGIMENS)))])

    def late(task: Task) -> float:
        return data.draw(st.sampled_from([0.0, 0.0, 0.0, 1.0, 12.0, 80.0]))

    def forgets(task: Task) -> bool:
        return data.draw(st.integers(0, 9)) == 0

    for plan in Keeper(room, "x", late=late, forgets=forgets).work():
        assert plan.stages or plan.problems
        assert plan.is_whole or plan.problems or plan.over
