"""One room, written in other words, gives the same millilitres and the same dates."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from metamorphic.changed import everywhere, in_fahrenheit, in_gravity, in_unit, renamed, shifted
from pratique.dosing.dose import Answer, Dose, Request
from pratique.dosing.work import work_out
from pratique.knowledge import store
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.model import Plan, Task
from pratique.schedule.plan import make_plan
from schedule_rooms import build
from schedule_strategies import rooms

quick = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])

WRITTEN = {
    "US gallons": in_unit("gal_us"),
    "imperial gallons": in_unit("gal_imp"),
    "Fahrenheit": in_fahrenheit,
    "specific gravity": in_gravity,
}
DOSED = [id_ for id_ in store.treatment_ids() if store.treatment(id_).kind in ("immersion", "bath")]


def dated(plan: Plan) -> list[tuple[Any, ...]]:
    """Everything of a plan but its words."""
    return [
        (
            found.batch.name,
            found.regimen.id,
            [(stage.name, stage.tanks, stage.start, stage.end) for stage in found.stages],
            [(task.id, task.at, task.until, task.tank, task.act, task.deadline, task.refused) for task in found.tasks],
            found.release.earliest if found.release is not None else None,
            sorted(problem.code for problem in found.problems),
        )
        for found in plan.batches
    ]


def amounts(plan: Plan) -> list[tuple[str, float]]:
    return [(task.id, task.amount.value) for found in plan.batches for task in found.tasks if task.amount is not None]


@pytest.mark.parametrize("written", WRITTEN)
@given(sections=rooms())
@quick
def test_a_plan_hangs_on_no_unit(written: str, sections: dict[str, Any]) -> None:
    one = make_plan(build(**sections))
    other = make_plan(build(**everywhere(sections, WRITTEN[written])))
    assert dated(other) == dated(one)
    assert [id_ for id_, _ in amounts(other)] == [id_ for id_, _ in amounts(one)]
    assert [value for _, value in amounts(other)] == pytest.approx([value for _, value in amounts(one)], rel=1e-5)


def answers(room: Room, tank: str) -> dict[str, Answer]:
    at = dt.datetime(2027, 3, 5, 18, tzinfo=room.zone)
    return {id_: work_out(Request(room=room, tank=tank, treatment=treatment_for(room, id_), at=at)) for id_ in DOSED}


@pytest.mark.parametrize("written", WRITTEN)
@given(sections=rooms(most=1), number=st.integers(0, 9))
@quick
def test_a_dose_hangs_on_no_unit(written: str, sections: dict[str, Any], number: int) -> None:
    tanks = list(sections["tanks"])
    tank = tanks[number % len(tanks)]
    one = answers(build(**sections), tank)
    other = answers(build(**everywhere(sections, WRITTEN[written])), tank)
    for id_, answer in one.items():
        again = other[id_]
        assert type(again) is type(answer), id_
        assert [problem.code for problem in again.problems] == [problem.code for problem in answer.problems]
        if isinstance(answer, Dose) and isinstance(again, Dose):
            assert again.add.value == pytest.approx(answer.add.value, rel=1e-5)
            assert again.after.value == pytest.approx(answer.after.value, rel=1e-5)
            assert [step.at for step in again.steps] == [step.at for step in answer.steps]


@given(sections=rooms(), seed=st.randoms(use_true_random=False))
@quick
def test_other_names_change_only_names(sections: dict[str, Any], seed: Any) -> None:
    """Names that keep their order in the file; an order by name is a tie-break and may not decide a date."""
    names = {name: f"{seed.choice('bkz')}{number} {name}" for number, name in enumerate(sections["tanks"])}
    back = {new: old for old, new in names.items()}
    one = make_plan(build(**sections))
    other = make_plan(build(**renamed(sections, names)))

    def plain(task: Task) -> tuple[Any, ...]:
        return (task.at, task.until, task.act, task.deadline, task.refused)

    for found, again in zip(one.batches, other.batches, strict=True):
        assert [(s.name, s.tanks, s.start, s.end) for s in found.stages] == [
            (s.name, tuple(back[tank] for tank in s.tanks), s.start, s.end) for s in again.stages
        ]
        assert sorted(map(plain, found.tasks)) == sorted(map(plain, again.tasks))


@given(sections=rooms())
@quick
def test_a_year_later_everything_is_a_year_later(sections: dict[str, Any]) -> None:
    """364 days keep the weekday. Where the zone's rules fall on another date the two years are not compared."""
    one = make_plan(build(**sections))
    other = make_plan(build(**everywhere(sections, shifted(364))))
    year = dt.timedelta(days=364)
    moments = [task.at for found in one.batches for task in found.tasks]
    moments += [stage.end for found in one.batches for stage in found.stages]
    assume(all(moment.utcoffset() == _wall(moment, year).utcoffset() for moment in moments))
    first = min((moment.date() for moment in moments), default=None)
    if first is not None:
        days = range((max(moment.date() for moment in moments) - first).days + 1)
        noons = [dt.datetime.combine(first, dt.time(12), one.batches[0].batch.arrives.tzinfo) for _ in days]
        walls = [noon + dt.timedelta(days=day) for day, noon in enumerate(noons)]
        assume(all(wall.utcoffset() == _wall(wall, year).utcoffset() for wall in walls))
    for found, again in zip(one.batches, other.batches, strict=True):
        assert [(s.name, s.tanks, _wall(s.start, year), _wall(s.end, year)) for s in found.stages] == [
            (s.name, s.tanks, s.start, s.end) for s in again.stages
        ]
        assert [(task.act, _wall(task.at, year)) for task in found.tasks] == [
            (task.act, task.at) for task in again.tasks
        ]


def _wall(moment: dt.datetime, by: dt.timedelta) -> dt.datetime:
    """The same hour on the clock, `by` later."""
    return moment + by
