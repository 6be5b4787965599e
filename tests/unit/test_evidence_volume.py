"""Net volume from a rise: how much, with which error, and whether volume or loss explains the readings."""

from __future__ import annotations

import pytest

from dosing_rooms import make_room
from evidence_rooms import ask_rise, refused, rise
from pratique.problem import Refusal

POURED = "20 mL of chelate at 2027-03-03T18:00"  # 300 mg of copper
BEFORE = "2027-03-03T17:00 0 mg/L"


def test_amount_over_rise_is_the_volume() -> None:
    found = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L")
    assert found.active.value == pytest.approx(300)
    assert found.check.found.value == pytest.approx(200)
    assert found.check.found.low == pytest.approx(300 / 1.505)
    assert found.check.found.high == pytest.approx(300 / 1.49)  # the nought before may be 0.005 too
    assert found.explanation.cause == "agrees"
    assert found.problems == ()


def test_the_last_reading_before_counts_and_a_rise_is_a_difference() -> None:
    text = "2027-03-01T18:00 0.9 mg/L, 2027-03-03T17:00 0.5 mg/L, 2027-03-04T18:00 2.0 mg/L"
    assert rise("copper-chelated", POURED, text).check.found.value == pytest.approx(200)


def test_the_errors_of_bottle_and_syringe_widen_it() -> None:
    plain = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L")
    room = make_room(shelf__chelate__error="3 %", syringes={"one": {"volume": "20 mL", "step": "1 mL"}})
    wide = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", room)
    assert (wide.active.low, wide.active.high) == pytest.approx((19.5 * 15 * 0.97, 20.5 * 15 * 1.03))
    assert wide.check.found.low < plain.check.found.low
    assert plain.check.found.high < wide.check.found.high


def test_formalin_is_counted_by_volume() -> None:
    text = "2027-03-03T17:00 0 uL/L, 2027-03-03T19:00 50 uL/L ± 4 %"
    found = rise("formalin-bath", "10 mL of formalin at 2027-03-03T18:00", text)
    assert found.active.unit == "uL"
    assert found.check.found.value == pytest.approx(200)


class TestExplanations:
    @pytest.mark.parametrize(
        ("readings", "cause", "codes"),
        [
            ("2027-03-03T22:00 1.5 mg/L, 2027-03-04T18:00 1.5 mg/L", "agrees", []),
            ("2027-03-03T22:00 1.2 mg/L, 2027-03-04T18:00 1.2 mg/L", "volume", ["D509"]),
            ("2027-03-03T22:00 1.8 mg/L, 2027-03-04T18:00 1.8 mg/L", "volume", ["D509"]),
            ("2027-03-04T06:00 1.2 mg/L", "either", ["D509"]),
            ("2027-03-04T06:00 1.299 mg/L, 2027-03-04T18:00 1.125 mg/L", "loss", ["D510"]),
            ("2027-03-03T22:00 1.0 mg/L, 2027-03-04T18:00 1.3 mg/L", "neither", ["D509"]),
        ],
    )
    def test_what_the_readings_speak_for(self, readings: str, cause: str, codes: list[str]) -> None:
        found = rise("copper-chelated", POURED, f"{BEFORE}, {readings}")
        assert found.explanation.cause == cause
        assert [problem.code for problem in found.problems] == codes

    def test_one_more_reading_would_settle_it(self) -> None:
        found = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T06:00 1.2 mg/L")
        assert found.explanation.settled_at is not None
        assert found.explanation.settled_at > 12
        assert "first settle with one more reading" in found.problems[0].hint

    def test_readings_that_do_not_agree_give_the_volume_of_the_first(self) -> None:
        """300 mg over 1.299 mg/L, before more of it was lost."""
        found = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T06:00 1.299 mg/L, 2027-03-04T18:00 1.125 mg/L")
        assert found.explanation.volume is None
        assert found.check.found.value == pytest.approx(300 / 1.299)


class TestGap:
    def test_up_to_a_tenth_nothing_is_said(self) -> None:
        found = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-03T22:00 1.4 mg/L, 2027-03-04T18:00 1.4 mg/L")
        assert found.check.gap == pytest.approx(1.5 / 1.4 - 1)
        assert found.problems == ()

    @pytest.mark.parametrize(
        ("volume", "line"),
        [
            ({"measured": "240 L ± 2 L"}, "measured: 240 L ± 2 L"),
            ({"nominal": "240 L"}, "nominal: 240 L"),
            ({"shape": "box", "length": "100 cm", "width": "60 cm", "fill": "40 cm"}, "fill: 40 cm"),
        ],
    )
    def test_the_line_to_mend_is_shown(self, volume: dict[str, str], line: str) -> None:
        room = make_room(tanks__q1__volume=volume)
        text = f"{BEFORE}, 2027-03-03T22:00 1.5 mg/L, 2027-03-04T18:00 1.5 mg/L"
        (problem,) = rise("copper-chelated", POURED, text, room).problems
        assert (problem.code, problem.severity) == ("D509", "warning")
        assert problem.places[0].text.strip() == line
        assert problem.hint == "mend the line `volume` of `q1`: `measured: 200 L ± 1.34 L`"

    @pytest.mark.parametrize(
        ("stated", "said"),
        [("240 L ± 2 L", "leave the volume as it stands"), ("60 L ± 1 L", "measure the water with a jug")],
        ids=["it fits as well", "it does not fit"],
    )
    def test_an_error_as_large_as_the_water_is_no_line_to_write(self, stated: str, said: str) -> None:
        """A kit good to 0.5 mg/L: 300 mg over a rise of 1.5 mg/L are 200 L, or up to 600 L."""
        room = make_room(
            tanks__q1__volume={"measured": stated},
            kits__meter={"measures": "copper", "forms": "chelated", "error": "0.5 mg/L"},
        )
        (problem,) = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-03T22:00 1.5 mg/L ± 0.5 mg/L", room).problems
        assert problem.code == "D509"
        assert said in problem.hint
        assert "± " not in problem.hint

    @pytest.mark.parametrize(
        ("error", "said"),
        [("0.249 mg/L", "`measured: 200 L ± 99"), ("0.251 mg/L", "measure the water with a jug")],
    )
    def test_a_volume_is_written_where_its_error_is_at_most_half_of_it(self, error: str, said: str) -> None:
        """Two readings off by 0.25 mg/L make a rise of 1.5 one of 1.0 mg/L: 300 L, half as much again as 200 L."""
        room = make_room(
            tanks__q1__volume={"measured": "60 L ± 1 L"},
            kits__meter={"measures": "copper", "forms": "chelated", "error": error},
        )
        (problem,) = rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-03T22:00 1.5 mg/L ± {error}", room).problems
        assert said in problem.hint

    @pytest.mark.parametrize(
        ("tanks", "sump", "named"),
        [
            (("q1",), True, "`volume` of `q1`, `sump`"),
            (("q1", "q2"), False, "`volume` of `q1`, `volume` of `q2`"),
            (("q1", "q2"), True, "`volume` of `q1`, `volume` of `q2`, `sump`"),
        ],
    )
    def test_water_shared_by_tanks_or_with_a_sump_names_them_all(
        self, tanks: tuple[str, ...], sump: bool, named: str
    ) -> None:
        """300 mg over 1.49 mg/L at the least: up to 201.34 L."""
        tank = {"use": "ward", "water": "system", "volume": {"measured": "120 L ± 1 L"}}
        water = {"temperature": "25 degC", "salinity": "34 g/kg", "ph": "8.1"}
        if sump:
            water["sump"] = "40 L ± 1 L"
        room = make_room(tanks=dict.fromkeys(tanks, tank), waters={"system": water})
        text = f"{BEFORE}, 2027-03-03T22:00 1.5 mg/L, 2027-03-04T18:00 1.5 mg/L"
        (problem,) = rise("copper-chelated", POURED, text, room).problems
        assert len(problem.places) == len(tanks) + sump
        said = f"mend the one of {named} that was measured worst: together they hold 200 L ± 1.34 L"
        assert problem.hint == said


class TestRefused:
    @pytest.mark.parametrize(
        ("added", "readings", "code"),
        [
            (POURED, "2027-03-04T18:00 1.5 mg/L", "D507"),
            (POURED, BEFORE, "D507"),
            (POURED, "2027-03-03T17:00 1.5 mg/L, 2027-03-04T18:00 1.5 mg/L", "D508"),
            (POURED, "2027-03-03T17:00 1.5 mg/L, 2027-03-04T18:00 1.4 mg/L", "D508"),
            (POURED, f"{BEFORE}, 2027-03-06T18:00 1.5 mg/L", "D503"),
            ("20 mL of chelate at 2027-03-07T18:00", f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", "D503"),
            ("20 g of chelate at 2027-03-03T18:00", f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", "D506"),
            ("20 mL of ionic stock at 2027-03-03T18:00", f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", "D450"),
        ],
    )
    def test_no_volume_from_what_does_not_give_one(self, added: str, readings: str, code: str) -> None:
        assert refused(ask_rise("copper-chelated", added, readings)) == code

    def test_no_rise_is_shown_by_the_first_reading_after_it(self) -> None:
        readings = "2027-03-03T17:00 1.5 mg/L ± 4 %, 2027-03-04T18:00 1.4 mg/L ± 4 %, 2027-03-05T18:00 1.3 mg/L ± 4 %"
        answer = ask_rise("copper-chelated", POURED, readings)
        assert isinstance(answer, Refusal)
        assert answer.first.note == "before 1.44 to 1.56, after 1.34 to 1.46 mg/L, with their errors"

    def test_that_none_was_ever_in_it_is_offered_only_for_the_reading_before(self) -> None:
        for readings, offered in (("2027-03-04T18:00 1.5 mg/L", True), (BEFORE, False)):
            answer = ask_rise("copper-chelated", POURED, readings)
            assert isinstance(answer, Refusal)
            assert ("if none was ever in this water, write `2027-03-03T18:00 0 mg/L`" in answer.first.hint) == offered

    def test_a_reading_without_an_error(self) -> None:
        bare = make_room(kits__meter={"measures": "copper", "forms": "chelated"})
        answer = ask_rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", bare)
        assert refused(answer) == "D502"

    def test_a_strength_at_odds_with_its_own_label(self) -> None:
        room = make_room(shelf__chelate__claim="1 mL per 40 L gives 5 mg/L")
        answer = ask_rise("copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", room)
        assert refused(answer) == "D446"

    def test_dimensions_that_leave_no_water(self) -> None:
        volume = {"shape": "box", "length": "40 cm", "width": "30 cm", "fill": "20 cm", "displacement": "24 L"}
        answer = ask_rise(
            "copper-chelated", POURED, f"{BEFORE}, 2027-03-04T18:00 1.5 mg/L", make_room(tanks__q1__volume=volume)
        )
        assert refused(answer) == "D466"
