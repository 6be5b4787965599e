"""Readings of ammonia and nitrite judged for their water, and the change that answers them."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.figure import Figure
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.problem import Refusal
from pratique.water import ammonia, judging
from pratique.water.dilution import after_change
from pratique.water.judging import AmmoniaAnswer, NitriteAnswer, judge_ammonia, judge_nitrite
from pratique.water.state import State
from water_rooms import level, state

SEEN = state()


def judged(text: str, basis: ammonia.Basis | None = "N", seen: State = SEEN) -> AmmoniaAnswer:
    answer = judge_ammonia(seen, level(text), basis)
    assert isinstance(answer, AmmoniaAnswer)
    return answer


def nitrite(text: str, basis: judging.NitriteBasis | None = "NO2", seen: State = SEEN) -> NitriteAnswer:
    answer = judge_nitrite(seen, level(text), basis)
    assert isinstance(answer, NitriteAnswer)
    return answer


def test_the_printed_table_gives_the_part_that_harms() -> None:
    """5.32 % of total at 25 degC, pH 8.1 and 34 g/kg."""
    answer = judged("0.5 mg/L", "NH3")
    assert answer.judged.level.value == pytest.approx(0.5 * 0.0532, rel=0.005)
    assert answer.judged.verdict == "correct"
    assert answer.assumed == frozenset()


@pytest.mark.parametrize(
    ("text", "verdict", "changed"),
    [("0 mg/L", "fine", False), ("0.25 mg/L", "fine", False), ("0.32 mg/L", "correct", True)],
)
def test_a_change_is_worked_out_only_where_one_is_needed(text: str, verdict: str, changed: bool) -> None:
    answer = judged(text)
    assert answer.judged.verdict == verdict
    assert (answer.change is not None) is changed


@given(st.floats(0.01, 50), st.floats(0, 0.5))
@settings(deadline=None)
def test_after_the_change_even_the_worst_case_is_at_the_limit(value: float, error: float) -> None:
    total = Figure(value=value, unit="mg/L", low=value * (1 - error), high=value * (1 + error))
    answer = judge_ammonia(SEEN, total, "N")
    assert isinstance(answer, AmmoniaAnswer)
    limit = answer.wanted.low
    if answer.change is None:
        assert total.high <= limit
        return
    assert after_change(total.high, answer.change.share) == pytest.approx(limit)
    assert answer.change.after.high == pytest.approx(limit)
    again = judge_ammonia(SEEN, answer.change.after, "N")
    assert isinstance(again, AmmoniaAnswer)
    assert again.judged.level.high <= store.water_figures().needed("ammonia_correct").value * (1 + 1e-9)


def test_a_reading_that_may_mean_too_much_is_changed_for() -> None:
    answer = judged("0.25 mg/L ± 0.125 mg/L")
    assert (answer.judged.verdict, answer.judged.worst) == ("fine", "correct")
    assert answer.change is not None


def test_a_count_nobody_gave_is_the_strictest() -> None:
    unsaid = judged("0.5 mg/L", None)
    assert unsaid.basis == "N"
    assert unsaid.assumed == {"basis"}
    others = [judged("0.5 mg/L", basis).judged.level.value for basis in ("N", "NH3", "NH4")]
    assert unsaid.judged.level.value == max(others)


def test_a_ph_nobody_measured_is_said_to_be_assumed() -> None:
    answer = judged("0.5 mg/L", seen=state(tanks__q1__ph=None))
    assert answer.assumed == {"ph"}
    assert answer.judged.level.value > judged("0.5 mg/L").judged.level.value


def test_the_working_can_be_done_by_hand() -> None:
    answer = judged("0.5 mg/L")
    assert [step.source for step in answer.working] == ["BB78", "FA16", "NRAC111", ""]
    assert answer.working[0].expression == "1 / (1 + 10^(pK − pH)) at 25.0 degC, pH 8.10, 34.0 g/kg"


@pytest.mark.parametrize("drug", ["copper-chelated", "praziquantel-bath"])
def test_a_medicine_marks_the_reading_and_the_number_stands(drug: str) -> None:
    answer = judged("0.5 mg/L", seen=state(tanks__q1__holds=[{"treatment": drug}]))
    assert answer.unreliable_with == (drug,)
    (problem,) = answer.problems
    assert (problem.code, problem.severity) == ("W809", "warning")
    assert drug in problem.message
    assert "B39" in problem.source
    assert answer.judged.level.value == judged("0.5 mg/L").judged.level.value


def test_low_salinity_is_no_medicine() -> None:
    assert judged("0.5 mg/L", seen=state(tanks__q1__holds=[{"treatment": "hyposalinity"}])).unreliable_with == ()


def test_mixed_water_on_file_is_counted_where_it_matches() -> None:
    bins = [{"volume": "30 L", "salinity": "34 g/kg"}, {"volume": "500 L", "salinity": "40 g/kg"}]
    answer = judged("0.5 mg/L", seen=state(mixed_water=bins))
    assert answer.change is not None
    assert answer.change.on_file == 30


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({"tanks__q1__salinity": None}, ["W801"]),
        ({"tanks__q1__temperature": None}, ["W802"]),
        ({"tanks__q1__salinity": None, "tanks__q1__temperature": None}, ["W801", "W802"]),
        ({"tanks__q1__temperature": "36 degC"}, ["W803"]),
        ({"tanks__q1__ph": "10"}, ["W803"]),
        ({"tanks__q1__salinity": "60 g/kg"}, ["W803"]),
    ],
)
def test_no_number_without_what_it_hangs_on(changes: dict[str, str | None], codes: list[str]) -> None:
    answer = judge_ammonia(state(**changes), level("0.5 mg/L"), "N")
    assert isinstance(answer, Refusal)
    assert [problem.code for problem in answer.problems] == codes


def test_nitrite_has_no_verdict_while_no_limit_for_sea_water_is_on_file() -> None:
    answer = nitrite("1 mg/L")
    assert answer.limit is None
    assert answer.chloride == pytest.approx(19_120, rel=0.002)
    assert answer.per_nitrite == pytest.approx(answer.chloride)


def test_no_page_of_the_program_has_a_limit_for_nitrite_in_fresh_water() -> None:
    assert [name for name in store.water_figures().numbers if "nitrite" in name] == ["mass_nitrite"]


def test_nitrite_counted_as_nitrogen_is_more_nitrite() -> None:
    assert nitrite("1 mg/L", "N").level.value == pytest.approx(46.005 / 14.007)
    assert nitrite("1 mg/L", None).assumed == {"basis"}
    assert nitrite("1 mg/L", None).level.value == nitrite("1 mg/L", "N").level.value


def test_no_nitrite_is_compared_with_nothing() -> None:
    assert nitrite("0 mg/L").per_nitrite is None


def test_a_limit_that_comes_on_file_is_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    limit = Sourced(value=5, unit="mg/L", low=5, high=5, source="MEMORY", where="invented", confidence="M")
    monkeypatch.setattr(judging.nitrite, "sea_water_limit", lambda: limit)
    assert nitrite("1 mg/L").limit is limit


@pytest.mark.parametrize(("salinity", "code"), [(None, "W801"), ("0.3 g/kg", "W811"), ("0 g/kg", "W811")])
def test_nitrite_is_refused_where_the_water_is_fresh_or_unknown(salinity: str | None, code: str) -> None:
    answer = judge_nitrite(state(tanks__q1__salinity=salinity), level("1 mg/L"), "NO2")
    assert isinstance(answer, Refusal)
    assert answer.first.code == code
