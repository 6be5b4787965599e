"""One history, written in another way, leaves the same plan, the same levels and the same bottles."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings

from history.kept import log_of
from history.test_history_properties import logs
from metamorphic.test_same_room import amounts, dated
from pratique.history.fold import History, fold
from pratique.logbook.amount import Quantity, read_quantity
from pratique.logbook.entry import Common, Dose
from pratique.logbook.ids import Ids
from pratique.room.values import treatment_for
from pratique.schedule.known_level import known_level
from pratique.schedule.plan import make_plan
from pratique.schedule.reckoned import reckoned_level

quick = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
MEDICINES = ("copper-ionic", "copper-chelated", "copper-amine", "praziquantel-bath")


def half(amount: Quantity) -> Quantity:
    return read_quantity(f"{amount.value / 2:g} {amount.unit}", "amount")


def in_two(made: Iterable[Common]) -> Iterator[Common]:
    """Each dose as two of half, given at the same moment."""
    made = list(made)
    ids = Ids({entry.id for entry in made})
    for entry in made:
        if isinstance(entry, Dose):
            one = entry.model_copy(update={"amount": half(entry.amount)})
            yield one
            yield one.model_copy(update={"id": ids.new(entry.written)})
        else:
            yield entry


def held(history: History) -> dict[str, float]:
    """By medicine and water: what is known to be in it, and what the doses make; by bottle: what is left."""
    found = {name: bottle.left for name, bottle in history.bottles.items()}
    for name in MEDICINES:
        treatment = treatment_for(history.room, name)
        for water in history.room.waters:
            known = known_level(history, treatment, water, history.at).measure
            reckoned = reckoned_level(history, treatment, water, history.at)
            found[f"{name} known in {water}"] = known.value if known is not None else None
            found[f"{name} reckoned in {water}"] = reckoned.level.value if reckoned is not None else None
    return {name: value for name, value in found.items() if value is not None}


@given(logs())
@quick
def test_a_dose_written_as_two_of_half_changes_nothing(found: Any) -> None:
    room, made, at = found
    moments = [entry.at for entry in made]
    doses = [entry.at for entry in made if isinstance(entry, Dose)]
    assume(doses)
    assume(all(moments.count(moment) == 1 for moment in doses))  # at one moment the order of writing decides
    one, two = (fold(room, log_of(entries), at) for entries in (made, list(in_two(made))))
    assert held(two) == pytest.approx(held(one), rel=1e-9)
    plan, again = make_plan(room, one), make_plan(room, two)
    assert dated(again) == dated(plan)
    assert [id_ for id_, _ in amounts(again)] == [id_ for id_, _ in amounts(plan)]
    assert [value for _, value in amounts(again)] == pytest.approx([value for _, value in amounts(plan)], rel=1e-9)
    # the id of an urgent task names the entry that asks for it
    assert [(task.at, task.tank, task.act, task.text) for task in again.urgent] == [
        (task.at, task.tank, task.act, task.text) for task in plan.urgent
    ]
