"""The rungs of each copper form, quick and slow, from nothing and from half way."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from dosing_rooms import dose, make_room
from evidence_rooms import request_for
from pratique.dosing.dose import Dose
from pratique.dosing.ramp import is_guarded, ladder, rungs
from pratique.dosing.work import work_out
from pratique.knowledge import store
from pratique.room.values import treatment_for

COPPERS = ("copper-ionic", "copper-amine", "copper-chelated")


@pytest.mark.parametrize(
    ("treatment", "guarded", "levels", "hours"),
    [
        ("copper-ionic", False, [0.175 / 3, 0.35 / 3, 0.175], 24),
        ("copper-ionic", True, [0.175 * k / 6 for k in range(1, 7)], 24),
        ("copper-amine", False, [0.25, 0.5], 48),
        ("copper-amine", True, [0.125, 0.25, 0.375, 0.5], 48),
        ("copper-chelated", False, [2.0, 2.25], 48),
        ("copper-chelated", True, [0.5625, 1.125, 1.6875, 2.25], 48),
        ("praziquantel-bath", False, [2.0], 0),
        ("praziquantel-bath", True, [2.0], 0),
    ],
)
def test_the_whole_ladder(treatment: str, guarded: bool, levels: list[float], hours: float) -> None:
    known = store.treatment(treatment)
    found = rungs(known, known.needed("target").value, guarded=guarded)
    assert [rung.level for rung in found] == pytest.approx(levels)
    assert [rung.hours for rung in found] == pytest.approx([hours * k for k in range(len(levels))])
    assert found[-1].level == known.needed("target").value


@pytest.mark.parametrize(
    ("treatment", "before", "left"),
    [
        ("copper-ionic", 0.06, [0.35 / 3, 0.175]),
        ("copper-ionic", 0.175, []),
        ("copper-ionic", 0.5, []),
        ("copper-chelated", 2.0, [2.25]),
        ("copper-chelated", 2.1, [2.25]),
        ("copper-chelated", 0.3, [2.0, 2.25]),
        ("copper-amine", 0.25, [0.5]),
    ],
)
def test_only_the_rungs_above_the_level_are_left_and_the_first_is_due_at_once(
    treatment: str, before: float, left: list[float]
) -> None:
    known = store.treatment(treatment)
    found = rungs(known, known.needed("target").value, before=before)
    assert [rung.level for rung in found] == pytest.approx(left)
    assert not found or found[0].hours == 0


def test_a_target_on_the_first_step_is_one_rung() -> None:
    """Many fish go straight into 2.0 mg/L (treatments 3, ramp); guarded ones do not."""
    chelated = store.treatment("copper-chelated")
    assert ladder(chelated, 2.0)[0] == [2.0]
    assert ladder(chelated, 2.0, guarded=True)[0] == [0.5, 1.0, 1.5, 2.0]


@pytest.mark.parametrize("treatment", COPPERS)
@pytest.mark.parametrize("steps", ["1 count", "5 count"])
def test_a_keepers_own_number_of_steps(treatment: str, steps: str) -> None:
    own = {f"{treatment}.ramp_steps": {"value": steps, "reason": "as we always do"}}
    known = treatment_for(make_room(values=own), treatment)
    levels, _ = ladder(known, known.needed("target").value)
    assert len(levels) == int(steps.split()[0])
    assert levels == sorted(levels)
    rises = [after - before for before, after in pairwise(levels)]
    assert rises == pytest.approx(rises[:1] * len(rises)), "in equal steps after the first"


@pytest.mark.parametrize("treatment", COPPERS)
def test_the_slow_ladder_never_climbs_faster(treatment: str) -> None:
    known = store.treatment(treatment)
    target = known.needed("target").value
    quick, slow = rungs(known, target), rungs(known, target, guarded=True)
    for rung in slow:
        reached = [other.level for other in quick if other.hours <= rung.hours]
        assert rung.level <= max(reached) + 1e-12


def test_guarded_animals() -> None:
    room = make_room(animals=[{"species": "yellow tang", "tank": "q1"}, {"species": "flame angelfish", "tank": "q1"}])
    assert not is_guarded(room.residents[:1])
    assert is_guarded(room.residents)
    assert not is_guarded(())


def test_a_keepers_own_pause_for_those_with_a_narrow_margin_is_for_them_alone() -> None:
    room = make_room(values={"copper-ionic.guarded_ramp_interval": {"value": "36 h", "reason": "slower"}})
    treatment = treatment_for(room, "copper-ionic")
    assert [ladder(treatment, 0.2, guarded=guarded)[1] for guarded in (True, False)] == [36, 24]


def test_without_a_slower_ramp_on_file_the_usual_one_is_kept() -> None:
    known = store.treatment("copper-ionic")
    plain = {name: ranked for name, ranked in known.numbers.items() if not name.startswith("guarded_")}
    usual = ladder(known.model_copy(update={"numbers": plain}), 0.175, guarded=True)
    assert usual == ladder(known, 0.175)
    assert len(usual[0]) < len(ladder(known, 0.175, guarded=True)[0])
    room = make_room(animals=[{"species": "flame angelfish", "tank": "q1"}])
    asked = request_for("copper-ionic", room)
    found = work_out(replace(asked, treatment=known.model_copy(update={"numbers": plain})))
    assert isinstance(found, Dose)
    assert len(found.steps) == len(usual[0])
    assert known.needed("ramp_steps").where in [source.where for source in found.sources]


@pytest.mark.parametrize("missing", ["ramp_steps", "ramp_interval"])
def test_a_ramp_is_known_by_its_steps_and_its_pause(missing: str) -> None:
    known = store.treatment("copper-ionic")
    numbers = {name: ranked for name, ranked in known.numbers.items() if name != missing}
    assert ladder(known.model_copy(update={"numbers": numbers}), 0.175) == ([0.175], 0.0)


@pytest.mark.parametrize(("species", "steps"), [("royal gramma", "ramp"), ("flame angelfish", "guarded_ramp")])
def test_the_sources_of_the_ramp_are_of_the_one_that_was_taken(species: str, steps: str) -> None:
    known = store.treatment("copper-ionic")
    found = dose("copper-ionic", make_room(animals=[{"species": species, "tank": "q1"}]))
    assert {(n.source, n.where) for n in (known.needed(f"{steps}_steps"), known.needed(f"{steps}_interval"))} <= {
        (number.source, number.where) for number in found.sources
    }
