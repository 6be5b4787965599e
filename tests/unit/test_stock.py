"""Stock solutions: made from a powder or thinned from a bottle, dosed from, and refused where they are none."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from dosing_rooms import ask, codes, dose, make_room, refusal
from pratique.cli.main import cli
from pratique.dosing.level import after_adding
from pratique.dosing.product import active_of
from pratique.dosing.spread import better_first
from pratique.dosing.stock import MadeStock, make_stock, making_lines, read_stock
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.problem import Problem
from pratique.quantity import parse_measure
from pratique.room.wrong import Wrong
from prescribed_rooms import BATH, bath_course, prescribed_room

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
SULFATE = {"active": "copper", "form": "ionic", "strength": "100 % w/w as CuSO4.5H2O"}
POWDER = {"shelf__ionic stock": SULFATE}


def made(treatment: str, product: str, recipe: str, **changes: object) -> MadeStock:
    found = make_stock(store.treatment(treatment), active_of(make_room(**changes), product), read_stock(recipe))
    assert isinstance(found, MadeStock), found
    return found


class TestPublished:
    def test_a_stock_of_the_pentahydrate(self) -> None:
        """cu_stock_01: 1 g in 250 mL is 1.018 mg of copper in a mL."""
        stock = made("copper-ionic", "ionic stock", "1 g in 250 mL", **POWDER)
        assert stock.active.per_unit == pytest.approx(1.018, rel=1e-3)
        assert stock.active.per_unit == pytest.approx(
            store.treatment("copper-ionic").needed("stock_strength").value / 1000, rel=1e-3
        )

    def test_a_stock_of_permanganate(self) -> None:
        """kmno4_01: 285 g in a US gallon, 1 mL of it into 10 US gallons is 2 mg/L; here with another powder."""
        drug = {"active": "metronidazole", "strength": "100 % w/w as metronidazole"}
        stock = made("metronidazole-bath", "drug", "285 g in 1 gal_us", shelf__drug=drug)
        tank = Figure.of(parse_measure("10 gal_us", "volume"))
        after = after_adding(1 * stock.active.per_unit, Figure.exact(0.0, "mg/L"), tank, stock.active)
        assert after.value == pytest.approx(1.98893, rel=1e-4)


class TestReading:
    @pytest.mark.parametrize(
        ("text", "kind", "parts"),
        [
            ("1 g in 250 mL", "powder", 250),
            ("500 mg in 0.1 L", "powder", 200),
            ("1 oz to 1 L", "powder", 1000 / 28.349523125),
            ("10 mL in 100 mL", "liquid", 10),
            ("2 mg in 1 mL", "powder", 500),
            ("1:10", "parts", 10),
            ("1 in 10", "parts", 10),
            ("1:1.5", "parts", 1.5),
            ("1 : 2.5", "parts", 2.5),
        ],
    )
    def test_what_is_read(self, text: str, kind: str, parts: float) -> None:
        recipe = read_stock(text)
        assert (recipe.kind, recipe.parts) == (kind, pytest.approx(parts))

    @pytest.mark.parametrize(
        ("text", "code"),
        [
            ("a spoon in a cup", "U201"),
            ("1 tsp in 250 mL", "U208"),
            ("1 g", "U217"),
            ("", "U217"),
            ("1 g in 250", "U206"),
            ("1 g in 250 ml", "U208"),
            ("1 g in 250 mL ± 1 mL", "U211"),
            ("0 g in 250 mL", "U212"),
            ("1 g in 0 mL", "U212"),
            ("1:1", "U212"),
            ("1:0.5", "U212"),
            ("1:5000", "U212"),
            ("100 mL in 10 mL", "U212"),
            ("1 d in 250 mL", "U209"),
        ],
    )
    def test_what_is_not_read(self, text: str, code: str) -> None:
        with pytest.raises(Wrong) as caught:
            read_stock(text)
        assert caught.value.code == code
        assert caught.value.hint
        if "±" in text:
            assert caught.value.message == "`250 mL ± 1 mL` has an error after it, which is not read here"


class TestDosing:
    @given(st.floats(0.5, 40), st.floats(100, 2000))
    def test_the_same_copper_goes_in(self, grams: float, millilitres: float) -> None:
        recipe = f"{grams:.3f} g in {millilitres:.1f} mL"
        if float(f"{grams:.3f}") / float(f"{millilitres:.1f}") > 0.2:
            return
        plain = dose("copper-ionic", make_room(**POWDER))
        stock = dose("copper-ionic", make_room(**POWDER), stock=read_stock(recipe))
        assert stock.active == plain.active
        assert stock.after == plain.after
        assert stock.add.unit == "mL"
        assert stock.add.value == pytest.approx(plain.add.value * float(f"{millilitres:.1f}") / float(f"{grams:.3f}"))

    def test_the_working_can_be_redone(self) -> None:
        answer = dose("copper-ionic", make_room(**POWDER), stock=read_stock("1 g in 250 mL"))
        steps = {step.label: step for step in answer.working}
        assert steps["stock of ionic stock"].expression == "1.00 g × 254 mg copper ÷ 250 mL"
        assert steps["stock of ionic stock"].result == "1.02 mg copper per mL"
        assert "stock of ionic stock for step 1" in steps or "stock of ionic stock" in steps

    def test_a_liquid_is_thinned_by_parts_in_all(self) -> None:
        """One part in ten, not one and ten."""
        plain, thinned = dose("copper-chelated"), dose("copper-chelated", stock=read_stock("1:10"))
        assert thinned.add.value == pytest.approx(10 * plain.add.value)
        assert thinned.stock is not None
        first = next(making_lines(thinned.stock, Figure.exact(100, "mL")))[0]
        assert "10.0 mL of the bottle and 90.0 mL of pure water" in first

    def test_a_liquid_may_be_thinned_by_half(self) -> None:
        """Only a powder can lie undissolved at the bottom."""
        assert made("copper-chelated", "chelate", "1:2").active.per_unit == pytest.approx(7.5)
        assert made("copper-chelated", "chelate", "500 mL in 1 L").active.per_unit == pytest.approx(7.5)

    @pytest.mark.parametrize(
        ("treatment", "product", "recipe", "said"),
        [
            ("copper-ionic", "ionic stock", "1 g in 250 mL", "1.00 g of ionic stock, made up with pure water to 250"),
            ("copper-chelated", "chelate", "10 mL in 100 mL", "10.0 mL of chelate, made up with pure water to 100"),
        ],
    )
    def test_made_up_to_the_mark_is_said_so(self, treatment: str, product: str, recipe: str, said: str) -> None:
        """Water added to that much would make a weaker stock."""
        sulfate = POWDER if product == "ionic stock" else {}
        lines = list(making_lines(made(treatment, product, recipe, **sulfate), Figure.exact(100, "mL")))
        assert lines[0] == (f"{said} mL in all, not added to that much", None)
        assert all(statement is not None and text == statement.text for text, statement in lines[1:])

    def test_the_bottle_and_the_water_are_for_as_much_as_may_be_drawn(self) -> None:
        """110 mL at the most, a tenth of it from the bottle."""
        stock = made("copper-chelated", "chelate", "1:10")
        first = next(making_lines(stock, Figure(value=100, unit="mL", low=90, high=110)))
        assert first == (
            "one part of chelate in 10 in all, the water counted with it: for this dose 11.0 mL of the bottle and "
            "99.0 mL of pure water at the least",
            None,
        )

    def test_the_errors_are_those_of_the_bottle(self) -> None:
        room = make_room(shelf__chelate__error="5 %")
        plain, thinned = dose("copper-chelated", room), dose("copper-chelated", room, stock=read_stock("1:10"))
        assert thinned.after == plain.after
        assert [gain.width.value for gain in better_first(thinned, room)] == pytest.approx(
            [gain.width.value for gain in better_first(plain, room)]
        )

    def test_a_reading_and_a_change_work_as_ever(self) -> None:
        room = make_room(**POWDER)
        recipe = read_stock("1 g in 250 mL")
        changed = dose("copper-ionic", room, stock=recipe, change_share=0.25)
        assert changed.change is not None
        assert changed.change.add is not None
        assert changed.change.add.unit == "mL"

    def test_a_prescribed_bath_is_dosed_from_a_stock_too(self) -> None:
        drug = {"active": "metronidazole", "strength": "99 % w/w as metronidazole"}
        given_ = BATH | {"drug": "metronidazole", "dose": "5 mg/L", "change": "50 %"}
        course = bath_course(
            prescribed_room(given_, shelf__drug=drug), "metronidazole-bath", stock=read_stock("1 g in 1 L")
        )
        assert course.dose.add.value == pytest.approx(1000 / 0.99)
        assert [redose.add.unit for redose in course.redoses] == ["mL", "mL"]

    def test_the_bottle_is_measured_against_what_is_in_the_stock(self) -> None:
        room = make_room(shelf__chelate__left="30 mL")
        assert codes(dose("copper-chelated", room, stock=read_stock("1:10"))) == []
        assert codes(dose("copper-chelated", make_room(shelf__chelate__left="29 mL"), stock=read_stock("1:10"))) == [
            "D457"
        ]


class TestRefusals:
    @pytest.mark.parametrize(
        ("treatment", "recipe"),
        [("formalin-bath", "1:10"), ("peroxide-bath", "1:10"), ("praziquantel-bath", "1 g in 250 mL")],
    )
    def test_what_is_never_kept_thinned(self, treatment: str, recipe: str) -> None:
        found = refusal(treatment, stock=read_stock(recipe))
        assert codes(found) == ["D540"]
        assert found.first.source

    @pytest.mark.parametrize(("treatment", "recipe"), [("copper-chelated", "1 g in 250 mL"), ("copper-ionic", "1:10")])
    def test_a_powder_is_weighed_and_a_liquid_measured(self, treatment: str, recipe: str) -> None:
        room = make_room(**POWDER)
        assert codes(refusal(treatment, room, stock=read_stock(recipe))) == ["D541"]

    def test_tablets_are_no_stock(self) -> None:
        blue = {"active": "methylene blue", "strength": "100 mg per tablet as methylene blue"}
        found = refusal("methylene-blue-bath", make_room(shelf__blue=blue), stock=read_stock("1:10"))
        assert codes(found) == ["D541"]

    def test_more_than_dissolves(self) -> None:
        found = refusal("copper-ionic", make_room(**POWDER), stock=read_stock("100 g in 250 mL"))
        assert codes(found) == ["D542"]
        strong = refusal("copper-ionic", make_room(**POWDER), stock=read_stock("1 kg in 1 L"))
        assert "is 1000 g in a litre" in strong.first.message
        assert isinstance(
            ask("copper-ionic", make_room(**POWDER), stock=read_stock("50 g in 250 mL")), type(dose("copper-ionic"))
        )

    def test_a_stock_that_gives_out(self) -> None:
        answer = dose("copper-ionic", make_room(**POWDER), stock=read_stock("0.05 g in 12.5 mL"))
        assert codes(answer) == ["D543"]
        assert "make 3 × the amount" in answer.problems[0].hint

    def test_it_is_not_made_without_a_bottle(self) -> None:
        room = make_room(**{"shelf__ionic stock": None})
        assert codes(refusal("copper-ionic", room, stock=read_stock("1:10"))) == ["D449"]

    def test_every_treatment_that_has_a_level_says_whether_a_stock_is_made(self) -> None:
        """Those that keep or dissolve badly say why; each reason has its source."""
        none = {id_ for id_ in store.treatment_ids() if store.treatment(id_).no_stock is not None}
        assert none == {"formalin-bath", "peroxide-bath", "praziquantel-bath", "fenbendazole-bath"}

    def test_a_problem_is_never_a_stock(self) -> None:
        found = make_stock(store.treatment("formalin-bath"), active_of(make_room(), "formalin"), read_stock("1:10"))
        assert isinstance(found, Problem)


class TestPages:
    def run(self, *words: str) -> tuple[int, str]:
        words = ("dose", "ward", *words, "--room", HARBOUR, "--at", "2027-03-08T06:30", "--off", "uv")
        result = CliRunner().invoke(cli, words, env={"COLUMNS": "100"})
        return result.exit_code, result.stdout + result.stderr

    def test_the_page_says_how_it_is_made(self) -> None:
        status, page = self.run("copper-chelated", "--stock", "1:10")
        assert status == 0
        for said in ("150.0 mL of the stock", "Make the stock first, 1:10", "pure water", "label it at once"):
            assert said in page

    def test_json(self) -> None:
        _, text = self.run("copper-chelated", "--stock", "1:10", "--json")
        assert json.loads(text)["result"]["stock"] == {"recipe": "1:10", "parts": 10.0, "holds": 1.0}
        _, plain = self.run("copper-chelated", "--json")
        assert json.loads(plain)["result"]["stock"] is None

    @pytest.mark.parametrize(
        "words",
        [
            ("copper-chelated", "--stock", "a cap in a cup"),
            ("chlorine-disinfection", "--stock", "1:10"),
            ("hyposalinity", "--stock", "1:10"),
            ("copper-chelated", "--stock", "1:10", "--claim", "1 mL per 5 L gives 2 mg/L"),
        ],
    )
    def test_a_wrong_command_line(self, words: tuple[str, ...]) -> None:
        assert self.run(*words)[0] == 2
