"""The dose itself: what a careful keeper with wet hands would check on paper."""

from __future__ import annotations

import datetime as dt
from zoneinfo import ZoneInfo

import pytest

from dosing_rooms import codes, dose, make_room, refusal
from pratique.dosing.aim import MEASURING_ROOM, find_aim
from pratique.dosing.kits import highest_reading, read_with
from pratique.figure import Figure
from pratique.knowledge import store


def has_note(notes: tuple[str, ...], words: str) -> bool:
    return any(words in note for note in notes)


class TestAmounts:
    def test_copper_in_three_steps_of_a_day(self) -> None:
        answer = dose("copper-ionic")
        assert answer.add.value == pytest.approx(35.0)
        assert answer.active.value == pytest.approx(35.0)
        assert [step.add.value for step in answer.steps] == pytest.approx([35 / 3] * 3)
        assert [step.after.value for step in answer.steps] == pytest.approx([0.175 / 3, 0.35 / 3, 0.175])
        assert [step.at.day for step in answer.steps] == [5, 6, 7]
        assert answer.band.low == 0.15
        assert answer.band.high == 0.20
        assert answer.after == answer.steps[-1].after

    def test_only_the_first_step_waits_for_nothing(self) -> None:
        waits = [step.waits_for for step in dose("copper-ionic").steps]
        assert waits[0] == ""
        assert all(wait.startswith("only after a reading from 0.") for wait in waits[1:])

    def test_what_a_later_step_waits_for_allows_for_the_kit(self) -> None:
        narrow = dose("copper-ionic").steps[1].waits_for
        wide = dose("copper-ionic", make_room(kits__meter__error="0.02 mg/L")).steps[1].waits_for
        assert narrow == "only after a reading from 0.0530 to 0.0636 mg/L; else again with `--reading`"
        assert wide == "only after a reading from 0.0380 to 0.0786 mg/L; else again with `--reading`"

    def test_chelated_from_two_point_one_is_one_small_step(self) -> None:
        answer = dose("copper-chelated", reading="2.1 mg/L")
        assert len(answer.steps) == 1
        assert answer.add.value == pytest.approx(0.15 * 200 / 15)

    def test_powder_is_weighed_tablets_are_counted(self) -> None:
        assert dose("praziquantel-bath").add == dose("praziquantel-bath").steps[0].add
        assert dose("praziquantel-bath").add.unit == "g"
        tablets = {"active": "praziquantel", "strength": "500 mg per tablet as praziquantel"}
        answer = dose("praziquantel-bath", make_room(shelf__prazi=tablets))
        assert (answer.add.unit, answer.add.value) == ("tablet", pytest.approx(0.8))

    def test_concentrated_peroxide_by_weight_needs_its_density(self) -> None:
        """35 % w/w at 1.132 g/mL taken as w/v would be 13 % too much."""
        concentrate = {"active": "peroxide", "strength": "35 % w/w as H2O2, density 1.132 g/mL"}
        answer = dose("peroxide-bath", make_room(shelf__peroxide=concentrate))
        assert answer.add.value == pytest.approx(75 * 200 / 396.2)
        assert answer.add.value * 1.132 == pytest.approx(75 * 200 / 350)

    def test_the_ends_of_the_amount_hold_volume_and_bottle(self) -> None:
        room = make_room(tanks__q1__volume={"measured": "200 L ± 10 L"}, shelf__prazi__error="4 %")
        add = dose("praziquantel-bath", room).add
        assert add.low == pytest.approx(2 * 190 / 950 / 1.04)
        assert add.high == pytest.approx(2 * 210 / 950 / 0.96)

    def test_active_is_the_metal_or_formaldehyde_in_milligrams(self) -> None:
        assert dose("formalin-bath").active == Figure(value=11100, unit="mg", low=11044.5, high=11155.5)

    def test_several_tanks_and_a_sump_are_dosed_once(self) -> None:
        shared = {"use": "ward", "water": "system"}
        tanks = {
            "q1": {**shared, "volume": {"measured": "100 L"}},
            "q2": {**shared, "volume": {"measured": "60 L"}},
        }
        waters = {"system": {"temperature": "25 degC", "sump": "40 L"}}
        answer = dose("praziquantel-bath", make_room(tanks=tanks, waters=waters))
        assert answer.water.value == pytest.approx(200)
        assert "this is for the whole water, q1, q2 and the sump: once, not for each tank" in answer.notes
        assert answer.add == dose("praziquantel-bath", make_room(tanks=tanks, waters=waters), tank="q2").add

    def test_steps_are_elapsed_hours_across_a_clock_change(self) -> None:
        start = dt.datetime(2027, 3, 27, 18, tzinfo=ZoneInfo("Europe/Lisbon"))
        steps = dose("copper-ionic", at=start).steps
        assert [f"{step.at:%d %H:%M}" for step in steps] == ["27 18:00", "28 19:00", "29 19:00"]


class TestErrors:
    def test_a_nominal_volume_is_cut_to_the_least_water_there_can_be(self) -> None:
        room = make_room(tanks__q1__volume={"nominal": "200 L"})
        answer = dose("copper-ionic", room)
        assert answer.add.value == pytest.approx(0.20 * 150)
        assert answer.after.high == pytest.approx(0.20)
        assert answer.after.value == pytest.approx(0.15)
        assert codes(answer) == ["D447"]
        assert has_note(answer.notes, "the water may be as little as 150 L")

    def test_a_cut_sum_can_be_redone_by_hand(self) -> None:
        answer = dose("copper-chelated", make_room(tanks__q1__volume={"nominal": "200 L"}))
        step = next(step for step in answer.working if "cut" in step.label)
        assert step.expression == "150 L × 2.50 mg/L"
        assert step.result == "375 mg copper"
        assert answer.active.value == pytest.approx(375)

    def test_without_a_reading_in_between_the_last_step_is_still_under_the_ceiling(self) -> None:
        """The errors of all steps add up as if nobody had read."""
        room = make_room(tanks__q1__volume={"measured": "200 L ± 20 L"}, **{"shelf__ionic stock__error": "5 %"})
        answer = dose("copper-ionic", room)
        least, strongest = 180.0, 1.05
        assert sum(step.add.value for step in answer.steps) * strongest / least <= 0.2 + 1e-12

    def test_a_strong_bottle_is_reckoned_with(self) -> None:
        answer = dose("copper-ionic", make_room(**{"shelf__ionic stock__error": "20 %"}))
        assert answer.after.high == pytest.approx(0.2)
        assert has_note(answer.notes, "the bottle may be 20 % stronger")

    @pytest.mark.parametrize("error", ["± 2 L", "± 9 L"])
    def test_a_bath_at_its_ceiling_is_not_cut_for_a_jug(self, error: str) -> None:
        room = make_room(tanks__q1__volume={"measured": f"200 L {error}"})
        assert dose("formalin-bath", room).add.value == pytest.approx(30.0)

    def test_a_bath_is_cut_for_errors_over_five_percent(self) -> None:
        room = make_room(tanks__q1__volume={"nominal": "200 L"})
        answer = dose("formalin-bath", room)
        assert answer.add.value == pytest.approx(150 * 150 * MEASURING_ROOM / 1000)
        assert answer.after.high == pytest.approx(157.5)
        assert has_note(answer.notes, "measure the water first")

    def test_the_room_for_measuring_is_none_under_the_ceiling(self) -> None:
        """Peroxide at 75 mg/L may err up to its ceiling of 100, not to 105."""
        aim = find_aim(store.treatment("peroxide-bath"), None, 25.0)
        assert aim is not None
        assert aim.most == 100


class TestReadings:
    def test_a_level_over_its_target_needs_nothing(self) -> None:
        answer = dose("copper-ionic", reading="0.19 mg/L")
        assert answer.add == Figure.exact(0.0, "mL")
        assert answer.steps == ()
        assert answer.change is None
        assert answer.after == answer.before
        assert has_note(answer.notes, "nothing to add: 0.190 mg/L is above the target and not above the ceiling")

    def test_a_level_on_its_target_needs_nothing(self) -> None:
        assert dose("copper-ionic", reading="0.175 mg/L").notes == ("nothing to add: the level is at its target",)

    def test_a_level_at_the_ceiling_is_not_too_high(self) -> None:
        assert dose("copper-ionic", reading="0.2 mg/L").change is None

    def test_a_level_that_may_be_at_the_ceiling_gets_nothing(self) -> None:
        answer = dose("copper-ionic", reading="0.15 mg/L ± 0.06 mg/L")
        assert answer.add.value == 0
        assert has_note(answer.notes, "nothing is safe to add")

    def test_the_error_of_a_reading_stays_under_the_ceiling(self) -> None:
        answer = dose("copper-ionic", reading="0.12 mg/L ± 0.03 mg/L")
        assert answer.after.high == pytest.approx(0.2)
        assert answer.after.value == pytest.approx(0.12 + 0.05 * 199 / 200)

    def test_a_level_too_high_comes_down_by_changes(self) -> None:
        answer = dose("copper-ionic", reading="0.4 mg/L")
        assert answer.change is not None
        assert (answer.change.purpose, answer.change.count, answer.change.add) == ("lower", 2, None)
        level = 0.4
        for _ in range(answer.change.count):
            level *= 1 - answer.change.volume / 200
        assert level == pytest.approx(0.175)
        assert answer.add.value == 0
        assert answer.after.low < 0.175 < answer.after.high
        assert has_note(answer.notes, "add no other drug meanwhile")

    def test_the_room_files_level_is_used_and_said_so(self) -> None:
        room = make_room(tanks__q1__holds=[{"treatment": "copper-ionic", "level": "100 ug/L"}])
        answer = dose("copper-ionic", room)
        assert answer.before.value == pytest.approx(0.1)
        assert has_note(answer.notes, "the level before is the one in the room file")
        assert dose("copper-ionic", room, reading="0.12 mg/L").before.value == pytest.approx(0.12)

    def test_what_vanishes_by_itself_is_dosed_in_full_again(self) -> None:
        """Praziquantel: 2 mg/L twice, four days apart, was published without a test between (BR19)."""
        room = make_room(tanks__q1__holds=[{"treatment": "praziquantel-bath", "level": "2 mg/L"}])
        answer = dose("praziquantel-bath", room)
        assert answer.add == dose("praziquantel-bath").add
        assert has_note(answer.notes, "what may be left of an earlier dose is not counted")

    def test_a_kit_without_an_error_is_said_to_be_taken_as_exact(self) -> None:
        room = make_room(kits={"k": {"measures": "copper", "forms": "ionic"}})
        assert has_note(dose("copper-ionic", room, reading="0.1 mg/L").notes, "taken as exact")

    def test_nothing_on_file_is_written_down_as_such(self) -> None:
        step = next(step for step in dose("copper-ionic").working if step.label == "level before")
        assert step.expression == "no reading and nothing on file, taken as none"


class TestChanges:
    def test_a_change_at_the_target_puts_back_what_it_takes(self) -> None:
        answer = dose("copper-ionic", reading="0.175 mg/L", change_share=0.25)
        assert answer.change is not None
        assert answer.change.add is not None
        assert answer.change.volume == pytest.approx(50)
        assert answer.change.add.value == pytest.approx(50 * 0.175)
        assert answer.after.value == pytest.approx(0.175)
        assert answer.steps == ()

    def test_a_change_without_a_reading_takes_the_level_as_held(self) -> None:
        answer = dose("copper-ionic", change_share=0.25)
        assert answer.change is not None
        assert (answer.before.low, answer.before.value, answer.before.high) == (0.15, 0.175, 0.20)
        assert answer.add == answer.change.add
        assert has_note(answer.notes, "the level is taken to be held")
        assert has_note(answer.notes, "water that replaces evaporation gets none")

    def test_litres_and_share_agree(self) -> None:
        by_share = dose("copper-ionic", change_share=0.1, reading="0.16 mg/L")
        assert dose("copper-ionic", change_litres="20 L", reading="0.16 mg/L") == by_share

    def test_a_low_level_is_made_up_beside_the_change(self) -> None:
        answer = dose("copper-ionic", reading="0.15 mg/L", change_share=0.5)
        assert answer.change is not None
        assert answer.change.after == pytest.approx(0.1625)
        assert [step.waits_for for step in answer.steps] == ["after the change"]
        assert answer.after.value == pytest.approx(0.175)
        assert answer.add.value == pytest.approx(100 * 0.175 + 200 * 0.0125)

    def test_a_change_does_not_climb_faster_than_the_ramp(self) -> None:
        answer = dose("copper-ionic", reading="0 mg/L", change_share=1.0)
        assert answer.change is not None
        assert answer.change.after == pytest.approx(0.175 / 3)
        assert [step.after.value for step in answer.steps] == pytest.approx([0.35 / 3, 0.175])

    def test_a_change_of_all_the_water(self) -> None:
        answer = dose("copper-ionic", reading="0.175 mg/L", change_share=1.0)
        assert answer.change is not None
        assert answer.add.value == pytest.approx(35)
        assert has_note(answer.notes, "all the water at once: it has to match in temperature, salinity and pH")

    def test_a_level_too_high_gets_clean_water_and_the_changes_that_remain(self) -> None:
        answer = dose("copper-ionic", reading="0.4 mg/L", change_share=0.25)
        assert answer.change is not None
        assert answer.change.add is None
        assert answer.change.after == pytest.approx(0.3)
        assert answer.add.value == 0
        assert has_note(answer.notes, "still 0.300 mg/L after it, above the ceiling: one more change of 83.3 L")

    def test_a_level_somewhat_high_gets_weaker_new_water(self) -> None:
        answer = dose("copper-ionic", reading="0.22 mg/L", change_share=0.5)
        assert answer.change is not None
        assert answer.change.after == pytest.approx(0.175)
        assert answer.add.value == pytest.approx(100 * 0.13)

    def test_new_water_of_a_strong_bottle_stays_under_the_ceiling(self) -> None:
        room = make_room(**{"shelf__ionic stock__error": "30 %"})
        answer = dose("copper-ionic", room, reading="0.175 mg/L", change_share=1.0)
        assert answer.after.high <= 0.2 + 1e-12

    def test_an_unknown_level_may_be_changed_for_water_at_the_target(self) -> None:
        room = make_room(tanks__q1__holds=[{"treatment": "copper-ionic"}])
        assert codes(refusal("copper-ionic", room)) == ["D463"]
        assert codes(dose("copper-ionic", room, change_share=0.2)) == []


class TestFormalin:
    @pytest.mark.parametrize(
        ("degrees", "level"),
        [("20.9 degC", 250), ("21 degC", 150), ("21.1 degC", 150), ("20.9 degC ± 0.2 degC", 150), ("26 degC", 150)],
    )
    def test_the_level_by_temperature(self, degrees: str, level: float) -> None:
        answer = dose("formalin-bath", make_room(tanks__q1__temperature=degrees))
        assert answer.target.value == level
        assert answer.band.high == level

    def test_fahrenheit_is_the_same_water(self) -> None:
        assert dose("formalin-bath", make_room(tanks__q1__temperature="69.7 degF")).target.value == 250

    def test_above_27_there_is_none_and_the_cool_end_does_not_help(self) -> None:
        for degrees in ("27.1 degC", "26.5 degC ± 1 degC"):
            assert codes(refusal("formalin-bath", make_room(tanks__q1__temperature=degrees))) == ["D415"]

    @pytest.mark.parametrize(("target", "more"), [("40 uL/L", False), ("41 uL/L", True)])
    def test_oxygen_is_short_where_it_takes_more_than_eight(self, target: str, more: bool) -> None:
        """PIPER82: one part for each five, and 8 mg/L at most in the water."""
        assert has_note(dose("formalin-bath", target=target).notes, "more than the water holds") == more

    def test_where_nothing_is_added_nothing_is_diluted(self) -> None:
        notes = dose("formalin-bath", reading="150 uL/L").notes
        assert has_note(notes, "nothing to add")
        assert not has_note(notes, "stir it into")

    def test_the_oxygen_and_the_first_dilution_are_told(self) -> None:
        notes = dose("formalin-bath").notes
        assert has_note(notes, "takes 30.0 mg/L of oxygen over 30 to 36 h, more than the water holds")
        assert has_note(notes, "stir it into 3.00 L of the water first (1 in 100)")

    def test_the_long_low_bath_is_told_from_the_short_strong_one(self) -> None:
        answer = dose("formalin-bath", target="25 uL/L")
        assert has_note(answer.notes, "this is the long low bath: 6 to 12 h")
        assert has_note(answer.notes, "takes 5.00 mg/L of oxygen over 30 to 36 h: strong air")

    @pytest.mark.parametrize(("level", "is_long"), [(14, False), (15, True), (25, True), (26, False)])
    def test_the_long_low_bath_is_the_published_fifteen_to_twenty_five(self, level: float, is_long: bool) -> None:
        """VM061: 15 to 25 µL/L without end; any other is over in an hour."""
        answer = dose("formalin-bath", target=f"{level} uL/L")
        assert (answer.minutes is None) == is_long
        assert has_note(answer.notes, "this is the long low bath") == is_long

    def test_weak_formalin(self) -> None:
        weak = {"active": "formalin", "strength": "3 % w/v as formaldehyde"}
        assert dose("formalin-bath", make_room(shelf__formalin=weak)).add.value == pytest.approx(30 * 37 / 3)

    def test_unknown_temperature_is_refused_with_everything_else(self) -> None:
        room = make_room(tanks__q1__temperature=None, tanks__q1__oxygen="4 mg/L", shelf__formalin=None)
        assert codes(refusal("formalin-bath", room)) == ["D417", "D449", "D451"]

    def test_a_keepers_own_level_does_not_do_away_with_the_thermometer(self) -> None:
        own = {"formalin-bath.target": {"value": "140 uL/L", "reason": "gentler"}}
        assert dose("formalin-bath", make_room(values=own)).target.value == 140
        assert codes(refusal("formalin-bath", make_room(values=own, tanks__q1__temperature=None))) == ["D451"]

    def test_sources_of_the_level_in_force(self) -> None:
        sources = dose("formalin-bath").sources
        assert [source.source for source in sources] == ["VM061", "VM061"]
        assert sources[1].where.endswith("treatments 19")


class TestMeasuring:
    @pytest.mark.parametrize(("litres", "note"), [("5 L", True), ("100 L", False)])
    def test_too_little_to_measure(self, litres: str, note: bool) -> None:
        strong = {"active": "copper", "form": "amine", "strength": "50 mg/mL as Cu"}
        room = make_room(tanks__q1__volume={"measured": litres}, **{"shelf__amine stock": strong})
        assert has_note(dose("copper-amine", room).notes, "too little to measure") is note

    def test_the_way_round_it_gives_the_same_amount(self) -> None:
        room = make_room(tanks__q1__volume={"measured": "10 L ± 0.1 L"})
        answer = dose("praziquantel-bath", room)
        assert answer.add.value == pytest.approx(20 / 950)
        way = "mix 1 g with clean water to 100 mL, and take 2.11 mL of that at once, shaken"
        assert answer.notes == (f"too little to measure: {way}",)


def test_the_cautions_begin_with_people() -> None:
    answer = dose("formalin-bath")
    people = store.treatment("formalin-bath").people
    assert answer.cautions[: len(people)] == people


def test_the_sources_of_a_ramp_are_those_of_the_ramp_in_use() -> None:
    quick = dose("copper-ionic").sources
    slow = dose("copper-ionic", make_room(animals=[{"species": "flame angelfish", "tank": "q1"}])).sources
    assert any(source.where.startswith("treatments 1, ramp") for source in quick)
    assert any(source.where.startswith("practice D4") for source in slow)
    assert not any(source.where.startswith("treatments 1, ramp") for source in slow)


@pytest.mark.parametrize("treatment", ["copper-ionic", "praziquantel-bath", "formalin-bath", "peroxide-bath"])
def test_the_working_ends_in_the_amount(treatment: str) -> None:
    answer = dose(treatment)
    assert answer.working[-1].result.endswith(answer.add.unit)
    assert all(step.label and step.expression and step.result for step in answer.working)


def test_an_unknown_tank_is_the_callers_mistake() -> None:
    with pytest.raises(KeyError):
        dose("copper-ionic", tank="q9")


def test_own_values_come_first_with_their_reason() -> None:
    own = {"copper-ionic.target": {"value": "0.16 mg/L", "reason": "dwarf angelfish"}}
    answer = dose("copper-ionic", make_room(values=own))
    assert answer.target.value == 0.16
    assert answer.sources[0].where == "dwarf angelfish"
    assert (answer.band.low, answer.band.high) == (0.15, 0.2)


def test_a_chosen_source_with_a_wide_range_does_not_widen_the_band_over_the_ceiling() -> None:
    own = {"peroxide-bath.target": {"use": "MON01", "reason": "threadfin"}}
    answer = dose("peroxide-bath", make_room(values=own))
    assert (answer.band.low, answer.band.high) == (75, 100)


@pytest.mark.parametrize(
    "known",
    [{"error": "4 %"}, {"error": "0.02 mg/L"}, {"resolution": "0.1 mg/L"}, {"error": "1 %", "resolution": "0.1 mg/L"}],
)
def test_the_top_of_the_highest_reading_allowed_is_the_limit_itself(known: dict[str, str]) -> None:
    """There and back: what a kit shows for the highest reading may be as much as the limit, and no more."""
    kit = make_room(kits={"meter": {"measures": "copper", "forms": "amine", **known}}).written.kits["meter"]
    highest = highest_reading(kit, 0.5)
    assert highest < 0.5
    assert read_with(kit, highest, "mg/L").high == pytest.approx(0.5)


def test_without_a_kit_a_reading_is_taken_as_it_stands() -> None:
    assert highest_reading(None, 0.5) == 0.5
