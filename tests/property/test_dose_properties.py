"""What holds for any dose: linear in the water, the same by any way of stating, never over the ceiling."""

from __future__ import annotations

from typing import Any, NamedTuple

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from dosing_rooms import AT, ask, make_room
from pratique.dosing.aim import MEASURING_ROOM
from pratique.dosing.bath import work_out_dip
from pratique.dosing.dip import Dip, DipRequest
from pratique.dosing.dose import Dose
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.problem import Refusal
from pratique.quantity import Measure, from_canonical
from pratique.room.resolve import Room
from pratique.room.values import treatment_for

quick = settings(max_examples=60, deadline=None)

COPPERS = ("copper-ionic", "copper-amine", "copper-chelated")
BOTTLES = {"copper-ionic": "ionic stock", "copper-amine": "amine stock", "copper-chelated": "chelate"}
DRUGS = (*COPPERS, "praziquantel-bath", "formalin-bath", "peroxide-bath")
TINY = 1e-9

LITRES = st.floats(5, 5000).map(lambda value: round(value, 1))
DRUG = st.sampled_from(DRUGS)
COPPER = st.sampled_from(COPPERS)
ERROR = st.integers(0, 30)


class Case(NamedTuple):
    """A copper question in a room of its own."""

    treatment: str
    room: Room
    reading: float | None
    own_error: float
    change: float | None


@st.composite
def volumes(draw: st.DrawFn) -> dict[str, str]:
    """Measured, nominal, or from dimensions with any errors."""
    kind = draw(st.sampled_from(["measured", "nominal", "box", "cylinder"]))
    if kind in ("measured", "nominal"):
        error = draw(ERROR)
        return {kind: f"{draw(LITRES)} L" + (f" ± {error} %" if error else "")}
    side = st.integers(15, 200)
    spread = draw(st.sampled_from(["", " ± 1 cm", " ± 2 mm"]))
    if kind == "box":
        lengths = {"length": draw(side), "width": draw(side), "fill": draw(side)}
    else:
        lengths = {"diameter": draw(side), "fill": draw(side)}
    return {"shape": kind, **{name: f"{value} cm{spread}" for name, value in lengths.items()}}


@st.composite
def cases(draw: st.DrawFn) -> Case:
    treatment = draw(COPPER)
    species = draw(st.sampled_from(["royal gramma", "flame angelfish", "snowflake eel"]))
    kit: dict[str, Any] = {"measures": "copper", "forms": "ionic, amine, chelated"}
    kit |= draw(st.sampled_from([{}, {"error": "5 %"}, {"error": "0.03 mg/L"}, {"resolution": "0.05 mg/L"}]))
    kit |= draw(st.sampled_from([{}, {"limit": "0.07 mg/L"}]))
    room = make_room(
        tanks__q1__volume=draw(volumes()),
        animals=[{"species": species, "tank": "q1"}],
        kits={"kit": kit},
        **{f"shelf__{BOTTLES[treatment]}__error": f"{draw(ERROR)} %"},
    )
    ceiling = store.treatment(treatment).needed("ceiling").value
    reading = draw(st.none() | st.floats(0, 1.5).map(lambda share: round(share * ceiling, 3)))
    change = draw(st.none() | st.floats(0.01, 1).map(lambda share: round(share, 3)))
    return Case(treatment, room, reading, draw(st.sampled_from([0.0, 0.02, 0.3])), change)


def answer_to(case: Case) -> Dose:
    reading = None
    if case.reading is not None:
        low, high = case.reading * (1 - case.own_error), case.reading * (1 + case.own_error)
        reading = Measure(case.reading, "mg/L", low, high)
    found = ask(case.treatment, case.room, reading=reading, change_share=case.change)
    assert isinstance(found, Dose), found.problems
    return found


def figures(answer: Dose | Dip) -> list[Figure]:
    if isinstance(answer, Dip):
        dose = [answer.dose.active, answer.dose.add, answer.dose.after] if answer.dose else []
        return [answer.water, answer.minutes, *dose]
    found = [answer.water, answer.before, answer.target, answer.active, answer.add, answer.after]
    found += [figure for step in answer.steps for figure in (step.add, step.after)]
    return found + ([answer.change.add] if answer.change and answer.change.add else [])


@quick
@given(DRUG, LITRES, st.floats(0.1, 20))
def test_the_amount_is_in_proportion_to_the_water(treatment: str, litres: float, factor: float) -> None:
    small = ask(treatment, make_room(tanks__q1__volume={"measured": f"{litres} L"}))
    large = ask(treatment, make_room(tanks__q1__volume={"measured": f"{litres * factor:.6f} L"}))
    assert isinstance(small, Dose)
    assert isinstance(large, Dose)
    assert large.add.value == pytest.approx(small.add.value * factor, rel=1e-5)
    assert large.after.value == pytest.approx(small.after.value)
    assert len(large.steps) == len(small.steps)


@quick
@given(COPPER, st.floats(0.5, 60).map(lambda value: round(value, 3)), LITRES)
def test_a_strength_stated_in_any_way_gives_the_same_volume(treatment: str, strength: float, litres: float) -> None:
    """mg/mL and g/L as Cu, % w/v as the hydrate, % w/w with a density: one bottle, one answer."""
    form = treatment.removeprefix("copper-")
    pentahydrate = strength / 10 / 0.2545
    ways = [
        f"{strength:.6f} mg/mL as Cu",
        f"{strength:.6f} g/L as copper",
        f"{strength / 10:.7f} % w/v as Cu",
        f"{pentahydrate:.9f} % w/v as CuSO4.5H2O",
        f"{pentahydrate / 1.25:.9f} % w/w as CuSO4.5H2O, density 1.25 g/mL",
        f"{strength / 0.398:.7f} mg/mL as CuSO4",
    ]
    amounts = []
    for way in ways:
        bottle = {"active": "copper", "form": form, "strength": way}
        room = make_room(tanks__q1__volume={"measured": f"{litres} L"}, **{f"shelf__{BOTTLES[treatment]}": bottle})
        answer = ask(treatment, room)
        assert isinstance(answer, Dose)
        amounts.append(answer.add.value)
    assert amounts == pytest.approx([amounts[0]] * len(ways), rel=1e-5)


@quick
@given(DRUG, LITRES)
def test_litres_us_and_imperial_gallons_agree(treatment: str, litres: float) -> None:
    amounts = []
    for unit in ("L", "gal_us", "gal_imp", "m3", "ft3"):
        written = f"{from_canonical(litres, unit, 'volume'):.9f} {unit}"
        answer = ask(treatment, make_room(tanks__q1__volume={"measured": written}))
        assert isinstance(answer, Dose)
        amounts.append(answer.add.value)
    assert amounts == pytest.approx([amounts[0]] * len(amounts), rel=1e-6)


@settings(max_examples=150, deadline=None)
@given(cases())
def test_adding_never_takes_the_worst_case_over_the_ceiling(case: Case) -> None:
    """At any step, for any volume, kit and bottle, with or without a reading or a change, guarded or not."""
    answer = answer_to(case)
    ceiling = store.treatment(case.treatment).needed("ceiling").value
    limit = max(ceiling, answer.before.high) * (1 + TINY)
    for step in answer.steps:
        assert step.after.high <= max(ceiling, answer.before.high if case.change else 0) * (1 + TINY)
    assert answer.after.high <= limit


@settings(max_examples=150, deadline=None)
@given(cases(), st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_any_true_water_bottle_and_level_within_the_errors_stays_under_the_ceiling(
    case: Case, water: float, bottle: float, level: float
) -> None:
    """The steps poured one after another, by somebody who never reads in between."""
    answer = answer_to(case._replace(change=None))
    product = case.room.written.shelf[answer.product]
    error = product.error.share if product.error else 0.0
    litres = answer.water.low + water * (answer.water.high - answer.water.low)
    strength = product.strength.milligrams * (1 + error * (2 * bottle - 1))
    found = answer.before.low + level * (answer.before.high - answer.before.low)
    start = found
    for step in answer.steps:
        found += step.add.value * strength / litres
        assert step.after.low * (1 - TINY) <= found <= step.after.high * (1 + TINY)
    ceiling = store.treatment(case.treatment).needed("ceiling").value
    assert found <= max(ceiling, start) * (1 + TINY)


@quick
@given(cases())
def test_every_figure_lies_between_its_ends(case: Case) -> None:
    for figure in figures(answer_to(case)):
        assert 0 <= figure.low <= figure.value * (1 + TINY)
        assert figure.value * (1 - TINY) <= figure.high


@quick
@given(st.sampled_from(["formalin-bath", "peroxide-bath"]), volumes(), st.floats(5, 26.9), st.integers(0, 20))
def test_a_bath_never_goes_further_over_its_ceiling_than_measuring_allows(
    treatment: str, volume: dict[str, str], degrees: float, error: int
) -> None:
    bottle = treatment.removesuffix("-bath")
    changes = {"tanks__q1__temperature": f"{degrees:.2f} degC", f"shelf__{bottle}__error": f"{error} %"}
    answer = ask(treatment, make_room(tanks__q1__volume=volume, **changes))
    assert isinstance(answer, Dose)
    ceiling = treatment_for(make_room(), treatment).needed("ceiling", float(f"{degrees:.2f}")).value
    assert answer.after.high <= ceiling * MEASURING_ROOM * (1 + TINY)
    assert answer.after.value <= ceiling * (1 + TINY)


@quick
@given(cases().filter(lambda case: case.reading is not None and case.change is None))
def test_a_level_too_high_is_brought_into_the_band_and_never_under_it(case: Case) -> None:
    answer = answer_to(case)
    known = store.treatment(case.treatment)
    floor, ceiling = known.needed("floor").value, known.needed("ceiling").value
    assert case.reading is not None
    assert (answer.change is not None) is (case.reading > ceiling * (1 + TINY))
    if answer.change is None:
        return
    level = case.reading
    for _ in range(answer.change.count):
        assert 0 < answer.change.volume <= 0.5 * answer.water.value * (1 + TINY)
        level *= 1 - answer.change.volume / answer.water.value
        assert level >= floor * (1 - TINY)
    assert floor * (1 - TINY) <= level <= ceiling * (1 + TINY)
    assert answer.add.value == 0
    assert answer.steps == ()


@quick
@given(DRUG, LITRES, st.floats(0.01, 1).map(lambda share: round(share, 4)))
def test_changing_water_and_redosing_keeps_the_level(treatment: str, litres: float, share: float) -> None:
    room = make_room(tanks__q1__volume={"measured": f"{litres} L"})
    target = treatment_for(room, treatment).needed("target", 25.0)
    level = Measure(target.value, target.unit, target.value, target.value)
    answer = ask(treatment, room, reading=level, change_share=share)
    if store.treatment(treatment).kind == "bath":
        assert isinstance(answer, Refusal)
        assert [problem.code for problem in answer.problems] == ["D469"]
        return
    assert isinstance(answer, Dose)
    assert answer.change is not None
    assert answer.after.value == pytest.approx(target.value)
    assert answer.steps == ()
    put_back = answer.change.volume * target.value
    milligrams = put_back * 0.37 if target.unit == "uL/L" else put_back
    assert answer.active.value == pytest.approx(milligrams)


@quick
@given(cases().filter(lambda case: case.change is not None))
def test_a_change_with_its_dose_never_overshoots(case: Case) -> None:
    """The mixed water lies between what was there and what was poured, and not over the ceiling by the pouring."""
    answer = answer_to(case)
    ceiling = store.treatment(case.treatment).needed("ceiling").value
    assert answer.change is not None
    assert answer.change.after <= max(answer.before.value, ceiling) * (1 + TINY)
    assert answer.after.value <= max(answer.target.value, answer.change.after) * (1 + TINY)
    assert answer.after.high <= max(answer.before.high, ceiling) * (1 + TINY)


@quick
@given(cases())
@example(Case("copper-ionic", make_room(), None, 0.0, None))
def test_the_same_question_has_the_same_answer(case: Case) -> None:
    assert answer_to(case) == answer_to(case)


@quick
@given(cases().filter(lambda case: case.reading is not None and case.change is None))
def test_a_higher_reading_never_asks_for_more(case: Case) -> None:
    lower = answer_to(case)
    assert case.reading is not None
    higher = answer_to(case._replace(reading=case.reading * 1.1))
    assert higher.add.value <= lower.add.value * (1 + TINY) + TINY


@quick
@given(cases())
def test_steps_rise_and_come_in_order(case: Case) -> None:
    answer = answer_to(case)
    levels = [step.after.value for step in answer.steps]
    moments = [step.at for step in answer.steps]
    assert levels == sorted(levels)
    assert moments == sorted(set(moments))
    assert moments == [] or moments[0] == AT
    assert all(step.add.value > 0 for step in answer.steps)
    assert levels == [] or levels[-1] <= answer.target.value * (1 + TINY)


@quick
@given(
    st.sampled_from(["freshwater-dip", "formalin-bath", "peroxide-bath"]),
    st.floats(1, 200).map(lambda value: round(value, 2)),
    st.floats(10, 27).map(lambda value: round(value, 1)),
    st.floats(0.1, 70).map(lambda value: round(value, 1)),
)
def test_a_dip_never_lasts_over_its_limit(treatment: str, litres: float, degrees: float, minutes: float) -> None:
    room = make_room(tanks__q1__temperature=f"{degrees} degC")
    request = DipRequest(
        room=room,
        treatment=treatment_for(room, treatment),
        animals=room.residents,
        label="the fish",
        at=AT,
        volume=Measure(litres, "L", litres, litres, f"{litres} L"),
        source_water=room.waters["q1"],
        oxygen=7.0,
        temperature=degrees,
        minutes=minutes,
    )
    answer = work_out_dip(request)
    if not isinstance(answer, Dip):
        assert [problem.code for problem in answer.problems] == ["D459"]
        return
    assert answer.minutes.value <= answer.ceiling * (1 + TINY)
    assert all(step.minute is None or step.minute <= answer.ceiling * (1 + TINY) for step in answer.steps)
    for figure in figures(answer):
        assert figure.low <= figure.value * (1 + TINY)
        assert figure.value * (1 - TINY) <= figure.high
    assert work_out_dip(request) == answer
