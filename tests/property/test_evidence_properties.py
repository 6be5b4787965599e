"""What holds for any reading, addition and claim: ends around values, truth between them, one verdict in any unit."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from dosing_rooms import AT, ask, make_room
from evidence_rooms import request_for
from pratique.dosing.dose import Band, Dose
from pratique.dosing.draws import MOST_ERROR, find_draw
from pratique.dosing.evidence.claim import Verdict, judge_claim
from pratique.dosing.evidence.course import Course, work_out_course
from pratique.dosing.evidence.typed import TypedReading, read_readings
from pratique.dosing.spread import better_first, inside, is_too_wide, share_inside
from pratique.figure import Figure
from pratique.problem import Refusal
from pratique.quantity import Measure, from_canonical
from pratique.room.resolve import Room

quick = settings(max_examples=60, deadline=None)
many = settings(max_examples=300, deadline=None)
TINY = 1e-9
LEVEL = st.floats(0.01, 20)
SOUND = make_room()


@many
@given(LEVEL, LEVEL, LEVEL, LEVEL, LEVEL)
def test_a_share_is_a_share(a: float, b: float, c: float, low: float, high: float) -> None:
    ends = sorted((a, b, c))
    band = Band(low=min(low, high), high=max(low, high), unit="mg/L")
    assert 0 <= share_inside(Figure(value=ends[1], unit="mg/L", low=ends[0], high=ends[2]), band) <= 1


@many
@given(st.floats(0.1, 3), st.floats(0.01, 1), st.floats(0, 1), st.floats(0.001, 2), st.floats(1, 5))
def test_a_wider_error_never_raises_the_share_of_a_value_inside(
    low: float, width: float, place: float, error: float, factor: float
) -> None:
    band = Band(low=low, high=low + width, unit="mg/L")
    value = low + place * width

    def share(size: float) -> float:
        return share_inside(Figure(value=value, unit="mg/L", low=value - size, high=value + size), band)

    assert share(error * factor) <= share(error) + 1e-7


@many
@given(st.floats(0.02, 2000), st.floats(0.01, 5), st.floats(1, 100))
def test_a_syringe_never_adds_more_than_was_worked_out_and_misses_by_a_tenth_at_most(
    amount: float, step: float, holds: float
) -> None:
    assume(step < holds)
    room = make_room(syringes={"one": {"volume": f"{holds:.4f} mL", "step": f"{step:.4f} mL"}})
    draw = find_draw(room, amount)
    if draw is None:
        return
    assert 0 < draw.amount <= amount * (1 + TINY)
    assert draw.error + amount - draw.amount <= MOST_ERROR * amount * (1 + 1e-6)
    assert math.isclose(draw.amount / draw.step, round(draw.amount / draw.step), rel_tol=1e-6)
    assert float(draw.text) == pytest.approx(draw.amount, abs=10.0 ** -len(draw.text.partition(".")[2]) / 2 + TINY)


def room_of(volume: int, bottle: int, step: str) -> Room:
    return make_room(
        tanks__q1__volume={"measured": f"200 L ± {volume} L"},
        shelf__chelate__error=f"{bottle} %",
        syringes={"one": {"volume": "20 mL", "step": step}},
    )


@quick
@given(
    st.integers(0, 60), st.integers(0, 30), st.sampled_from(["0.2 mL", "1 mL"]), st.floats(0, 2.4), st.floats(0, 0.2)
)
def test_gains_are_in_order_and_explain_the_range(
    volume: int, bottle: int, step: str, reading: float, error: float
) -> None:
    room = room_of(volume, bottle, step)
    answer = ask("copper-chelated", room, reading=Measure(reading, "mg/L", max(reading - error, 0), reading + error))
    assert isinstance(answer, Dose)
    widths = [gain.width.value for gain in better_first(answer, room)]
    assert widths == sorted(widths, reverse=True)
    assert all(width > 0 for width in widths)
    share = inside(answer)
    assert share is not None
    assert 0 <= share <= 1
    assert is_too_wide(answer) is (share < 1)
    own = [gain.width.value for gain in better_first(answer, room) if gain.what != "syringe"]
    assert sum(own) <= (answer.after.high - answer.after.low) * 1.35 + TINY  # each alone, at its worst
    assert max([0.0, *own]) <= (answer.after.high - answer.after.low) * (1 + TINY) + TINY


def readings_at(hours: list[float], levels: list[float], error: float, wobble: list[float]) -> tuple[TypedReading, ...]:
    """Readings before AT, each off by its own part of the error."""
    found = []
    for hour, level, off in zip(hours, levels, wobble, strict=True):
        value = level * (1 + error * off)
        low, high = value / (1 + error), value / (1 - error)
        measure = Measure(value, "mg/L", min(low, value), max(high, value), f"{value:.6f} mg/L")
        found.append(TypedReading(at=AT - dt.timedelta(hours=120) + dt.timedelta(hours=hour), level=measure))
    return tuple(found)


@quick
@given(
    st.lists(st.integers(0, 119), min_size=2, max_size=6, unique=True).map(sorted),
    st.floats(0.3, 3),
    st.floats(0.0001, 0.02),
    st.floats(0.005, 0.1),
    st.data(),
)
def test_the_true_level_lies_between_the_ends(
    hours: list[int], start: float, rate: float, error: float, data: st.DataObject
) -> None:
    """Where the loss is of the first order and every reading true within its error."""
    wobble = [data.draw(st.floats(-0.9, 0.9)) for _ in hours]
    levels = [start * math.exp(-rate * hour) for hour in hours]
    typed = readings_at([float(hour) for hour in hours], levels, error, wobble)
    found = work_out_course(request_for("copper-chelated", SOUND), typed)
    assert isinstance(found, Course)
    truth = start * math.exp(-rate * 120)
    assert found.now.low * (1 - 1e-6) <= truth <= found.now.high * (1 + 1e-6)
    assert found.now.low <= found.now.value <= found.now.high
    assert found.problems == ()


@quick
@given(
    st.sampled_from(["copper-chelated", "formalin-bath", "praziquantel-bath", "peroxide-bath"]),
    st.lists(st.tuples(st.integers(0, 240), st.floats(0, 300), st.floats(0.001, 50)), min_size=1, max_size=6),
)
@example("formalin-bath", [(0, 0.0, 1.0), (1, 0.0, 1.0)])
@example("copper-chelated", [(0, 1e-9, 0.001), (240, 300.0, 0.001)])
def test_any_readings_give_ordered_figures_or_a_reason(treatment: str, entries: list[tuple[int, float, float]]) -> None:
    request = request_for(treatment, SOUND)
    unit = request.treatment.unit
    text = ", ".join(
        f"{(AT - dt.timedelta(hours=hours)):%Y-%m-%dT%H:%M} {level:.4f} {unit} ± {error:.4f} {unit}"
        for hours, level, error in entries
    )
    typed, problems = read_readings(text, dimension="parts" if unit == "uL/L" else "level", zone=SOUND.zone)
    assert problems == ()
    found = work_out_course(request, typed)
    if isinstance(found, Refusal):
        assert found.first.code in ("D501", "D515")
        return
    assert 0 <= found.now.low <= found.now.value <= found.now.high
    assert math.isfinite(found.now.value)
    if isinstance(found.next_dose, Dose):
        assert found.next_dose.before.value == found.now.value
    if found.lasting.fades and len({hours for hours, _, _ in entries}) > 1:
        last = max(reading.at for reading in typed)
        most = max(reading.level.high for reading in typed if reading.at == last)
        assert found.now.high <= max(most, found.now.value) * (1 + TINY) or last == AT
    leaves = found.leaves
    if leaves is not None and leaves.middle is not None:
        assert leaves.earliest is not None
        assert leaves.earliest <= leaves.middle + 1 / 30
        assert leaves.latest is None or leaves.middle <= leaves.latest + 1 / 30


@quick
@given(
    st.floats(0.1, 50).map(lambda number: round(number, 2)),
    st.floats(1, 400).map(lambda number: round(number, 1)),
    st.floats(0.05, 20).map(lambda ratio: round(ratio, 3)),
    st.sampled_from(["L", "gal_us", "gal_imp", "m3", "ft3"]),
    st.sampled_from(["mg/L", "ug/L", "mg/gal_us", "mg/gal_imp", "g/m3"]),
    st.sampled_from(["mL", "L", "fl_oz_us", "fl_oz_imp", "gal_us"]),
)
def test_a_claim_in_any_accepted_unit_has_the_same_verdict(
    dose: float, litres: float, ratio: float, volume_unit: str, level_unit: str, dose_unit: str
) -> None:
    assume(abs(ratio - 1.2) > 1e-3 and abs(ratio - 1 / 1.2) > 1e-3)
    level = dose / litres * ratio  # of a bottle of 1 mg/mL
    plain = judge_claim(request_for("copper-ionic", SOUND), f"{dose:.9f} mL per {litres:.9f} L gives {level:.12f} mg/L")
    other = judge_claim(
        request_for("copper-ionic", SOUND),
        f"{from_canonical(dose / 1000, dose_unit, 'volume'):.12f} {dose_unit} per "
        f"{from_canonical(litres, volume_unit, 'volume'):.12f} {volume_unit} gives "
        f"{from_canonical(level, level_unit, 'level'):.12f} {level_unit}",
    )
    assert isinstance(plain, Verdict)
    assert isinstance(other, Verdict)
    assert plain.ratio == pytest.approx(ratio, rel=1e-4)
    assert other.ratio == pytest.approx(plain.ratio, rel=1e-4)
    assert other.holds == plain.holds
    assert other.gives.value == pytest.approx(plain.gives.value, rel=1e-4)
