"""The level now and its loss by readings of one water, and what stands in where readings are too few."""

from __future__ import annotations

import math

import pytest

from dosing_rooms import make_room
from evidence_rooms import ask_course, course, refused
from pratique.dosing.dose import Dose
from pratique.dosing.evidence.lasting import lasting_of, level_by_figure
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.problem import Refusal

FALLING = "2027-03-03T18:00 2.40 mg/L, 2027-03-04T18:00 2.30 mg/L, 2027-03-05T06:00 2.25 mg/L"


class TestLoss:
    def test_the_level_now_lies_on_the_curve_and_between_its_ends(self) -> None:
        found = course("copper-chelated", FALLING)
        assert found.basis == "readings"
        assert found.curves is not None
        assert found.curves.shows_a_loss
        assert 2.15 < found.now.low < found.now.value < found.now.high < 2.25
        half = found.curves.half_life()
        assert half is not None
        assert found.now.value == pytest.approx(2.40 * 0.5 ** (48 / half.value), rel=0.01)

    def test_when_it_falls_through_the_floor(self) -> None:
        found = course("copper-chelated", FALLING)
        assert found.floor == 2.0
        assert found.leaves is not None
        assert found.leaves.earliest is not None
        assert found.leaves.middle is not None
        assert found.leaves.latest is not None
        assert 48 < found.leaves.earliest < found.leaves.middle < found.leaves.latest
        assert found.curves is not None
        assert found.curves.at(found.leaves.middle).value == pytest.approx(2.0, rel=1e-3)

    def test_the_next_dose_is_the_dose_from_that_level_with_its_ends(self) -> None:
        found = course("copper-chelated", FALLING)
        assert isinstance(found.next_dose, Dose)
        assert found.next_dose.before == found.now
        assert found.next_dose.after.high <= 2.5

    def test_every_interlock_holds_for_the_next_dose(self) -> None:
        room = make_room(animals=[{"species": "torch coral", "tank": "q1"}])
        found = course("copper-chelated", FALLING, room)
        assert isinstance(found.next_dose, Refusal)
        assert "D401" in [problem.code for problem in found.next_dose.problems]
        assert found.now.value > 2

    def test_a_level_under_the_floor_from_the_start_has_no_day(self) -> None:
        found = course("copper-chelated", "2027-03-03T18:00 1.9 mg/L, 2027-03-04T18:00 1.8 mg/L")
        assert found.leaves is not None
        assert found.leaves.began_below

    def test_a_level_that_has_fallen_through_tells_since_when(self) -> None:
        found = course("copper-chelated", "2027-03-01T18:00 2.4 mg/L, 2027-03-04T18:00 1.8 mg/L")
        assert found.leaves is not None
        assert found.leaves.middle is not None
        assert found.leaves.middle == pytest.approx(72 * math.log(2.4 / 2.0) / math.log(2.4 / 1.8), abs=0.1)

    def test_without_a_certain_loss_there_is_no_half_life(self) -> None:
        found = course("copper-chelated", "2027-03-03T18:00 2.30 mg/L ± 5 %, 2027-03-04T18:00 2.28 mg/L ± 5 %")
        assert found.curves is not None
        assert not found.curves.shows_a_loss
        assert found.curves.steady_passes
        assert found.curves.half_life() is None
        settling = found.curves.settling(48)
        assert settling is not None
        assert settling.question == "loss"
        assert settling.hours >= 48
        assert settling.one > settling.other

    def test_elapsed_hours_run_through_a_clock_change(self) -> None:
        """The clocks of Lisbon go forward in the night to 28 March 2027: 23 hours from noon to noon."""
        found = course("copper-chelated", "2027-03-27T12:00 2.4 mg/L, 2027-03-28T12:00 2.2 mg/L", at="2027-03-28T12:00")
        assert found.curves is not None
        assert [point.hours for point in found.curves.points] == [0.0, 23.0]

    def test_noise_is_never_carried_on_as_a_rise(self) -> None:
        found = course(
            "copper-chelated",
            "2027-03-01T18:00 2.20 mg/L ± 5 %, 2027-03-01T20:00 2.25 mg/L ± 5 %",
            at="2027-03-05T18:00",
        )
        assert found.now.value == pytest.approx(2.25, rel=0.01)
        assert found.problems == ()

    def test_a_certain_rise_is_told(self) -> None:
        found = course("copper-chelated", "2027-03-03T18:00 2.0 mg/L, 2027-03-04T18:00 2.3 mg/L")
        assert [problem.code for problem in found.problems] == ["D505"]
        assert found.now.value == pytest.approx(2.3)
        assert found.curves is not None
        assert found.curves.settling(48) is None


class TestModels:
    FIRST = ", ".join(
        f"2027-03-05T{hour:02}:00 {150 * math.exp(-0.15 * (hour - 2)):.2f} uL/L ± 2 %" for hour in (2, 6, 10, 14)
    )
    LINEAR = ", ".join(f"2027-03-05T{hour:02}:00 {150 - 10 * (hour - 2):.2f} uL/L ± 2 %" for hour in (2, 6, 10, 14))

    @pytest.mark.parametrize(("text", "model"), [(FIRST, "first-order"), (LINEAR, "linear")])
    def test_four_fine_readings_tell_which(self, text: str, model: str) -> None:
        found = course("formalin-bath", text)
        assert found.curves is not None
        assert found.curves.comparison is not None
        assert found.curves.comparison.told
        assert found.curves.chosen.model == model
        assert [curve.model for curve in found.curves.drawn] == [model]

    def test_two_readings_do_not_and_the_ranges_are_those_of_both(self) -> None:
        found = course("formalin-bath", "2027-03-05T10:00 150 uL/L ± 5 %, 2027-03-05T14:00 130 uL/L ± 5 %")
        assert found.curves is not None
        assert found.curves.comparison is not None
        assert not found.curves.comparison.told
        assert len(found.curves.drawn) == 2
        ends = [curve.at(8.0) for curve in found.curves.drawn]
        assert found.now.low == pytest.approx(min(end.low for end in ends))
        assert found.now.high <= max(end.high for end in ends)
        settling = found.curves.settling(0)
        assert settling is not None
        assert settling.question == "model"
        width = max(p.level.high - p.level.low for p in found.curves.points)
        assert abs(settling.one - settling.other) > width

    @pytest.mark.parametrize(("last", "model"), [(96, "first-order"), (90, "linear")])
    def test_where_both_pass_the_nearer_is_counted_by_and_both_are_drawn(self, last: int, model: str) -> None:
        """150, 120, then four fifths of that, or 30 less again."""
        text = "2027-03-05T08:00 150 uL/L ± 5 %, 2027-03-05T11:00 120 uL/L ± 5 %"
        found = course("formalin-bath", f"{text}, 2027-03-05T14:00 {last} uL/L ± 5 %").curves
        assert found is not None
        assert found.chosen.model == model
        assert [curve.model for curve in found.drawn] == ["first-order", "linear"]

    def test_only_formalin_is_tried_as_linear(self) -> None:
        found = course("copper-chelated", FALLING)
        assert found.curves is not None
        assert found.curves.comparison is None


class TestDrugsThatGo:
    def test_praziquantel_by_its_published_time(self) -> None:
        found = course("praziquantel-bath", "2027-03-01T18:00 2.0 mg/L ± 10 %")
        assert found.basis == "published"
        assert found.figure is not None
        assert found.figure.source == "THOM16"
        assert (found.now.low, found.now.high) == (0.0, pytest.approx(2.2))
        assert found.now.value == pytest.approx(1.0)
        assert found.leaves is None

    def test_dosed_again_it_is_gone_sooner(self) -> None:
        room = make_room(tanks__q1__holds=[{"treatment": "praziquantel-bath"}])
        found = course("praziquantel-bath", "2027-03-01T18:00 2.0 mg/L ± 10 %", room)
        assert (found.now.low, found.now.value, found.now.high) == (0.0, 0.0, 0.0)

    def test_after_the_published_time_none_is_left(self) -> None:
        found = course("praziquantel-bath", "2027-02-20T18:00 2.0 mg/L ± 10 %")
        assert found.now.high == 0.0

    @pytest.mark.parametrize("treatment", ["praziquantel-bath", "formalin-bath", "chloroquine-immersion"])
    def test_no_loss_yet_is_never_taken_for_lasting(self, treatment: str) -> None:
        unit = store.treatment(treatment).unit
        steady = f"2027-03-03T18:00 15 {unit} ± 10 %, 2027-03-04T06:00 15 {unit} ± 10 %"
        found = course(treatment, steady)
        assert found.now.low == 0.0
        assert found.now.high <= 16.5
        assert found.lasting.fades

    def test_a_rising_reading_of_such_a_drug_is_held_down(self) -> None:
        found = course("formalin-bath", "2027-03-05T10:00 100 uL/L ± 5 %, 2027-03-05T12:00 108 uL/L ± 5 %")
        assert found.now.high <= 108 * 1.05 * (1 + 1e-9)

    @pytest.mark.parametrize("treatment", ["formalin-bath", "chloroquine-immersion", "copper-chelated"])
    def test_where_nothing_is_published_one_reading_tells_no_level(self, treatment: str) -> None:
        unit = store.treatment(treatment).unit
        answer = ask_course(treatment, f"2027-03-05T06:00 15 {unit} ± 10 %")
        assert refused(answer) == "D501"

    def test_chloroquine_is_shown_and_not_dosed(self) -> None:
        found = course("chloroquine-immersion", "2027-03-05T06:00 11.6 mg/L ± 5 %, 2027-03-05T18:00 6.6 mg/L ± 5 %")
        assert found.now.value == pytest.approx(6.6)
        assert refused(found.next_dose) == "D454"

    def test_which_records_say_so(self) -> None:
        fading = {id_ for id_ in store.treatment_ids() if lasting_of(store.treatment(id_)).fades}
        assert fading == {"praziquantel-bath", "formalin-bath", "chloroquine-immersion", "peroxide-bath"}

    def test_a_level_by_a_figure_falls_to_nothing_and_never_rises(self) -> None:
        gone = store.treatment("praziquantel-bath").needed("persistence")
        start = Figure(value=2.0, unit="mg/L", low=1.8, high=2.2)
        found = [level_by_figure(start, hours, gone) for hours in range(0, 300, 6)]
        assert found[0] == start
        assert [f.value for f in found] == sorted((f.value for f in found), reverse=True)
        assert all(f.low <= f.value <= f.high for f in found)
        assert found[-1].high == 0.0

    def test_at_the_latest_hour_on_record_none_is_left(self) -> None:
        gone = store.treatment("praziquantel-bath").needed("persistence")
        start = Figure(value=2.0, unit="mg/L", low=1.8, high=2.2)
        assert level_by_figure(start, gone.high, gone).high == 0.0
        assert level_by_figure(start, gone.high - 1, gone).high == 2.2


class TestOneMoment:
    def test_a_reading_taken_now_is_the_level_now(self) -> None:
        found = course("copper-chelated", "2027-03-05T18:00 2.1 mg/L")
        assert found.basis == "one reading"
        assert (found.now.value, found.curves, found.leaves) == (2.1, None, None)

    def test_two_readings_of_one_moment_are_taken_together(self) -> None:
        found = course("copper-chelated", "2027-03-05T18:00 2.0 mg/L ± 5 %, 2027-03-05T18:00 2.1 mg/L ± 5 %")
        assert (found.now.low, found.now.high) == pytest.approx((1.995, 2.1))

    def test_two_readings_of_one_moment_may_agree_on_one_level(self) -> None:
        text = "2027-03-05T18:00 2.0 mg/L ± 0.1 mg/L, 2027-03-05T18:00 2.2 mg/L ± 0.1 mg/L"
        found = course("copper-chelated", text)
        assert (found.now.low, found.now.value, found.now.high) == pytest.approx((2.1, 2.1, 2.1))

    def test_two_readings_of_one_moment_that_do_not_agree(self) -> None:
        text = "2027-03-05T18:00 1.5 mg/L ± 5 %, 2027-03-05T18:00 2.1 mg/L ± 5 %"
        assert refused(ask_course("copper-chelated", text)) == "D501"


class TestRefused:
    def test_a_reading_of_tomorrow(self) -> None:
        assert refused(ask_course("copper-chelated", FALLING + ", 2027-03-06T06:00 2.2 mg/L")) == "D503"

    def test_a_reading_nobody_gives_an_error_of(self) -> None:
        bare = make_room(kits__meter={"measures": "copper", "forms": "chelated"})
        assert refused(ask_course("copper-chelated", FALLING, bare)) == "D502"
        assert refused(ask_course("praziquantel-bath", "2027-03-04T18:00 2 mg/L, 2027-03-05T06:00 1.9 mg/L")) == "D502"

    def test_readings_by_a_kit_that_may_be_the_wrong_one(self) -> None:
        kits = {
            "total": {"measures": "copper", "forms": "chelated", "error": "2 %"},
            "free": {"measures": "copper", "forms": "ionic", "error": "2 %"},
        }
        room = make_room(kits=kits)
        assert refused(ask_course("copper-chelated", FALLING, room, kit=None)) == "D442"
        assert refused(ask_course("copper-chelated", FALLING, room, kit="free")) == "D444"
        assert course("copper-chelated", FALLING, room, kit="total").basis == "readings"

    def test_half_a_step_is_an_error_where_no_other_is_given(self) -> None:
        room = make_room(kits__meter={"measures": "copper", "forms": "chelated", "resolution": "0.1 mg/L"})
        found = course("copper-chelated", FALLING, room)
        assert found.readings[0].level.high == pytest.approx(2.45)

    def test_a_nought_read_with_an_error_in_per_cent_has_half_a_step(self) -> None:
        kit = {"measures": "copper", "forms": "chelated", "error": "4 %", "resolution": "0.1 mg/L"}
        text = "2027-03-04T18:00 0 mg/L, 2027-03-05T06:00 0 mg/L"
        assert refused(ask_course("copper-chelated", text, make_room(kits__meter=kit))) == "D501"

    @pytest.mark.parametrize("treatment", ["tank-transfer", "freshwater-dip", "observation"])
    def test_what_is_no_dose_into_a_tank(self, treatment: str) -> None:
        assert refused(ask_course(treatment, FALLING)) == "D455"

    def test_a_limit_that_hangs_on_an_unknown_temperature(self) -> None:
        text = "2027-03-05T10:00 150 uL/L ± 5 %, 2027-03-05T14:00 130 uL/L ± 5 %"
        assert refused(ask_course("formalin-bath", text, make_room(tanks__q1__temperature=None))) == "D451"


class TestContradictions:
    def test_a_slip_among_the_readings_is_named_and_no_level_given(self) -> None:
        text = "2027-03-03T18:00 2.3 mg/L ± 4 %, 2027-03-04T18:00 0.23 mg/L ± 4 %, 2027-03-05T17:00 2.2 mg/L ± 4 %"
        answer = ask_course("copper-chelated", text)
        assert refused(answer) == "D515"
        assert isinstance(answer, Refusal)
        assert "0.230 mg/L of Thu 4 Mar 2027 18:00" in answer.first.note
        assert "10 × is a slip of the decimal point" in answer.first.note

    @pytest.mark.parametrize(
        ("right", "wrong", "said"),
        [
            ("2.30", "0.23", "0.230 mg/L of Thu 4 Mar 2027 18:00: by the others it would be about 2.30 mg/L"),
            ("2.40", "0.24", "0.240 mg/L of Wed 3 Mar 2027 18:00: by the others it would be about 2.40 mg/L"),
            ("2.25", "0.225", "0.225 mg/L of Fri 5 Mar 2027 06:00: by the others it would be about 2.25 mg/L"),
        ],
    )
    def test_the_odd_one_is_that_without_which_least_has_changed(self, right: str, wrong: str, said: str) -> None:
        """By a kit good to 0.005 mg/L two of the three are always on some curve: the flattest is believed."""
        answer = ask_course("copper-chelated", FALLING.replace(right, wrong))
        assert isinstance(answer, Refusal)
        assert said in answer.first.note
        assert "10 × is a slip of the decimal point" in answer.first.note

    def test_a_nought_among_the_readings_is_named_and_no_slip_is(self) -> None:
        """No factor makes nothing of something."""
        text = "2027-03-03T18:00 2.3 mg/L ± 4 %, 2027-03-04T18:00 0 mg/L ± 0.05 mg/L, 2027-03-05T17:00 2.2 mg/L ± 4 %"
        answer = ask_course("copper-chelated", text)
        assert refused(answer) == "D515"
        assert isinstance(answer, Refusal)
        assert answer.first.note.startswith("the odd one may be 0 mg/L of Thu 4 Mar 2027 18:00: by the others")
        assert ";" not in answer.first.note

    def test_a_little_scatter_widens_the_range(self) -> None:
        text = "2027-03-03T18:00 2.3 mg/L ± 4 %, 2027-03-04T18:00 2.05 mg/L ± 4 %, 2027-03-05T17:00 2.2 mg/L ± 4 %"
        found = course("copper-chelated", text)
        assert [problem.code for problem in found.problems] == ["D504"]
        assert found.curves is not None
        assert 1 < found.curves.misfit <= 2
