"""Amounts are never shown finer than the syringes of the room, and never more than was worked out."""

from __future__ import annotations

import pytest

from dosing_rooms import ask_dip, dose, make_room
from pratique.dosing.dip import Dip
from pratique.dosing.draws import MOST_ERROR, as_measured, find_draw, shown_mL
from pratique.dosing.syringes import (
    measuring_lines,
    shown_total,
    syringe_error,
    unmeasured,
    weaker_stock,
)
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.room.resolve import Room
from pratique.sheets import words


def room_with(**syringes: tuple[str, str]) -> Room:
    return make_room(syringes={name: {"volume": volume, "step": step} for name, (volume, step) in syringes.items()})


FINE = {"fine": ("1 mL", "0.02 mL")}
COARSE = {"coarse": ("20 mL", "0.5 mL")}


@pytest.mark.parametrize(
    ("amount", "shown", "name", "draws"),
    [
        (0.5, "0.50", "fine", 1),
        (0.519, "0.50", "fine", 1),
        (0.52, "0.52", "fine", 1),
        (3.01, "3.00", "fine", 3),
        (3.999, "3.98", "fine", 4),
        (5.2, "5.20", "fine", 6),
        (8.0, "8.0", "coarse", 1),
        (15.05, "15.0", "coarse", 1),
        (35.4, "35.0", "coarse", 2),
        (403.0, "403.0", "coarse", 21),
    ],
)
def test_the_syringe_that_misses_least_is_taken_and_the_mark_below(
    amount: float, shown: str, name: str, draws: int
) -> None:
    draw = find_draw(room_with(**FINE, **COARSE), amount)
    assert draw is not None
    assert (draw.text, draw.name, draw.count) == (shown, name, draws)
    assert draw.amount <= amount * (1 + 1e-9)


@pytest.mark.parametrize(("amount", "draws"), [(10.0, 1), (9.0, 9)])
def test_one_draw_is_enough_where_it_is_good_to_a_twentieth(amount: float, draws: int) -> None:
    """Half a step of 1 mL is a twentieth of 10 mL, and more than that of 9 mL."""
    draw = find_draw(room_with(one=("10 mL", "1 mL"), fine=("1 mL", "0.01 mL")), amount)
    assert draw is not None
    assert draw.count == draws


@pytest.mark.parametrize("amount", [0.0, 0.03, 0.099, 0.119])
def test_what_no_syringe_can_measure_has_no_draw(amount: float) -> None:
    assert find_draw(room_with(**FINE), amount) is None


def test_less_than_two_steps_is_guessed_and_not_read() -> None:
    assert find_draw(room_with(jug=("1 L", "1 mL")), 1.0) is None


def test_without_syringes_nothing_is_rounded() -> None:
    room = make_room()
    assert find_draw(room, 3.01) is None
    assert words.amount(Figure.exact(3.014, "mL"), room) == "3.01 mL"
    assert unmeasured(dose("copper-ionic", room), room) == ()


@pytest.mark.parametrize(
    ("step", "shown"), [("1 mL", "15 mL"), ("0.5 mL", "15.0 mL"), ("0.25 mL", "15.00 mL"), ("0.2 mL", "15.0 mL")]
)
def test_no_more_places_than_the_syringe_has(step: str, shown: str) -> None:
    room = room_with(one=("20 mL", step))
    assert words.amount(Figure.exact(15.0, "mL"), room) == shown
    assert words.amount(Figure.exact(15.0, "g"), room) == "15.0 g"


def test_the_total_is_the_sum_of_what_is_poured() -> None:
    room = make_room(
        syringes={"a": {"volume": "20 mL", "step": "0.5 mL"}}, animals=[{"species": "flame angelfish", "tank": "q1"}]
    )
    answer = dose("copper-ionic", room)
    poured = [float(words.amount(step.add, room).split()[0]) for step in answer.steps]
    assert shown_total(answer, room) == f"{sum(poured):.1f} mL"
    assert sum(poured) <= answer.add.value


def test_the_error_of_the_syringe_counts_each_draw() -> None:
    room = room_with(one=("20 mL", "1 mL"))
    under, over = syringe_error(dose("copper-amine", room), room)
    assert (under, over) == pytest.approx((1.0, 1.0))  # 5 mL twice, half a step each time
    jug = room_with(jug=("1 L", "10 mL"))
    assert syringe_error(dose("copper-amine", jug), jug) == pytest.approx((10.0, 0.0)), "all of it may be left out"
    powder = dose("praziquantel-bath", room)
    assert syringe_error(powder, room) == (0.0, 0.0)


SYRINGES = {"syringes": {"fine": {"volume": "1 mL", "step": "0.05 mL"}, "large": {"volume": "10 mL", "step": "0.2 mL"}}}


class TestWeakerStock:
    """1 mL of the bottle and 9 mL of pure water, only where the reference has such a stock."""

    def small(self, treatment: str, **changes: object) -> tuple[Room, list[str]]:
        bottles = {"ionic stock": "10 mg/mL as Cu", "chelate": "150 mg/mL as Cu", "peroxide": "35 % w/v as H2O2"}
        room = make_room(
            tanks__q1__volume={"measured": "20 L ± 0.1 L"},
            **{f"shelf__{name}__strength": strength for name, strength in bottles.items()},
            **{**SYRINGES, **changes},
        )
        return room, [text for text, _ in measuring_lines(dose(treatment, room), room)]

    def test_an_ionic_bottle_may_be_thinned(self) -> None:
        room, (line,) = self.small("copper-ionic")
        assert line == (
            "no syringe on file measures 0.117 mL of ionic stock to a tenth: mix 1 mL of the bottle with 9 mL of pure "
            "water and dose 1.15 mL of that, 10 × the amount; make it fresh, throw the rest away"
        )
        stock = weaker_stock(room, store.treatment("copper-ionic"), 0.117)
        assert stock is not None
        assert (stock.bottle, stock.water, stock.dose) == (1.0, 9.0, pytest.approx(1.17))
        assert stock.source.where.startswith("treatments 1, stock")

    def test_chelated_copper_may_not(self) -> None:
        _, lines = self.small("copper-chelated")
        assert lines
        assert all("take one with steps of" in line and "pure water" not in line for line in lines)

    def test_formalin_may_since_it_is_thinned_anyway(self) -> None:
        room = make_room(**SYRINGES)
        stock = weaker_stock(room, store.treatment("formalin-bath"), 0.4)
        assert stock is not None
        assert stock.source.where == "treatments 5, handling"

    @pytest.mark.parametrize(("amount", "bottle"), [(0.4, 1), (1.0, 1), (1.2, 2), (2.0, 2)])
    def test_a_stock_is_made_of_whole_millilitres_and_of_enough(self, amount: float, bottle: float) -> None:
        stock = weaker_stock(make_room(**SYRINGES), store.treatment("formalin-bath"), amount)
        assert stock is not None
        assert (stock.bottle, stock.water) == (bottle, 9 * bottle)
        assert stock.dose <= stock.bottle + stock.water

    def test_no_stock_that_the_syringes_cannot_make(self) -> None:
        room = make_room(syringes={"only": {"volume": "100 mL", "step": "10 mL"}})
        assert weaker_stock(room, store.treatment("copper-ionic"), 0.35) is None

    def test_a_dose_that_can_be_measured_draws_no_word(self) -> None:
        room = make_room(**SYRINGES)
        assert list(measuring_lines(dose("copper-ionic", room), room)) == []

    def test_the_least_of_all_have_their_own_note(self) -> None:
        """One recipe on a page, never two."""
        room = make_room(
            tanks__q1__volume={"measured": "5 L ± 0.1 L"},
            **{"shelf__ionic stock__strength": "30 mg/mL as Cu"},
            **SYRINGES,
        )
        answer = dose("copper-ionic", room)
        assert any("too little to measure" in note for note in answer.notes)
        assert list(measuring_lines(answer, room)) == []


def test_shown_amounts_follow_the_draw() -> None:
    room = room_with(**COARSE)
    assert shown_mL(room, 15.3) == "15.0 mL"
    assert shown_mL(room, 0.3) == "0.300 mL"


class TestTheLevelIsOfWhatIsPoured:
    def test_in_a_bath(self) -> None:
        """75 mg/L in 9 L of 3 % are 22.5 mL; 22 mL are on the mark, and 660 mg in 9 L are 73.3 mg/L."""
        room = make_room(
            vessels={"bucket": "9 L"}, syringes={"big": {"volume": "20 mL", "step": "1 mL"}}, tanks__q1__ph="8.2"
        )
        sheet = ask_dip("peroxide-bath", room)
        assert isinstance(sheet, Dip)
        assert sheet.dose is not None
        assert sheet.dose.add.value == pytest.approx(22.0)
        assert sheet.dose.after.value == pytest.approx(660 / 9)
        poured = [step.text for step in sheet.steps if step.text.startswith("stir in")]
        assert poured == ["stir in 22 mL of peroxide, and mix; never onto a fish"]

    def test_in_a_tank(self) -> None:
        """0.175 mg/L in 200 L of 1 mg/mL are 35 mL in all; each step is poured to a mark of half a mL."""
        found = dose("copper-ionic", room_with(**COARSE))
        assert all(round(step.add.value * 2, 6).is_integer() for step in found.steps)
        assert found.after.value == pytest.approx(found.add.value / 200)
        assert found.after.low <= found.after.value <= found.after.high
        assert any("down to a mark" in step.expression for step in found.working)

    def test_what_a_mark_left_out_of_new_water_is_no_addition_of_its_own(self) -> None:
        room = room_with(coarse=("20 mL", "0.5 mL"))
        found = dose("copper-ionic", room, change_litres="50 L")  # 8.75 mL, 8.5 on the mark
        assert found.change is not None
        assert found.change.add is not None
        assert found.change.add.value == pytest.approx(8.5)
        assert found.steps == ()
        assert found.after.value == pytest.approx((0.175 * 150 + 8.5) / 200)

    @pytest.mark.parametrize("amount", [0.3, 3.01, 5.21, 8.02, 22.5, 41.3])
    def test_a_mark_stays_on_its_mark(self, amount: float) -> None:
        room = room_with(**FINE, **COARSE)
        measured = as_measured(room, amount)
        assert as_measured(room, measured) == measured
        assert amount * (1 - MOST_ERROR) <= measured <= amount
