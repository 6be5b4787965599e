"""Claims of labels and forums against the bottle: what it gives, whether the claim holds, and which slip it is."""

from __future__ import annotations

import pytest

from dosing_rooms import make_room
from evidence_rooms import refused, request_for, verdict
from pratique.dosing.dose import Dose
from pratique.dosing.evidence.claim import judge_claim
from pratique.dosing.slips import SLIPS
from pratique.problem import Refusal
from pratique.room.resolve import Room

MADE = {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu"}


def stock(**more: str) -> Room:
    return make_room(**{"shelf__ionic stock": {**MADE, **more}})


@pytest.mark.parametrize(
    "text",
    [
        "1 mL per 40 L gives 0.025 mg/L",
        "0.001 L per 40 L gives 25 ug/L",
        "1 mL in 40 L gives 0.025 mg/L",
        "10 mL to 400 L = 0.025 mg/L",
        "1 mL per 10.56688 gal_us gives 0.0946353 mg/gal_us",
        "1 mL per 8.798769 gal_imp gives 0.025 g/m3",
        "1 mL for each 40 L makes 0.025 mg/L",
        "1 mL per 40 L gives 0.0982318 mg/L as CuSO4.5H2O",
        "20 drops per 40 L gives 0.025 mg/L",
    ],
)
def test_one_claim_in_any_accepted_form_has_one_verdict(text: str) -> None:
    found = verdict("copper-ionic", text, stock(dropper="20 drops/mL"))
    assert found.holds
    assert found.ratio == pytest.approx(1, rel=1e-5)
    assert found.gives.value == pytest.approx(0.025, rel=1e-5)
    assert found.slip == ""
    assert found.problems == ()


def test_the_error_of_the_bottle_spreads_what_it_gives() -> None:
    found = verdict("copper-ionic", "1 mL per 40 L gives 0.025 mg/L", stock(error="4 %"))
    assert (found.gives.low, found.gives.high) == pytest.approx((0.024, 0.026))


def test_a_claim_without_a_level_tells_what_the_bottle_gives() -> None:
    found = verdict("copper-ionic", "1 mL per 40 L", stock())
    assert found.gives.value == pytest.approx(0.025)
    assert (found.ratio, found.holds, found.followed) == (None, None, None)


@pytest.mark.parametrize("slip", [slip for slip in SLIPS if slip.active in ("", "copper")], ids=lambda slip: slip.text)
@pytest.mark.parametrize("way", [1, -1])
def test_every_known_slip_is_named_either_way(slip: object, way: int) -> None:
    size, text, _ = slip  # type: ignore[misc]
    found = verdict("copper-ionic", f"1 mL per 40 L gives {0.025 * size**way:.9f} mg/L", stock())
    assert found.slip == text
    assert found.holds is (size <= 1.2)
    assert [problem.code for problem in found.problems] == ([] if size <= 1.2 else ["D514"])


@pytest.mark.parametrize(("level", "size"), [("0.0375", "1.50 × what"), ("0.0125", "1/2.00 of what")])
def test_how_far_off_a_claim_is_either_way(level: str, size: str) -> None:
    (problem,) = verdict("copper-ionic", f"1 mL per 40 L gives {level} mg/L", stock()).problems
    assert f"says {size} the strength of" in problem.message


def test_drops_taken_for_millilitres_are_a_slip_of_the_dropper() -> None:
    room = stock(dropper="24 drops/mL")
    promised = verdict("copper-ionic", "24 mL per 40 L gives 0.025 mg/L", room)
    assert promised.slip == "24 × is drops taken for mL, by this bottle's dropper"
    counted = verdict("copper-ionic", "1 drop per 40 L gives 0.025 mg/L", room)
    assert counted.slip == promised.slip


def test_what_has_no_known_size_is_not_explained() -> None:
    found = verdict("copper-ionic", "1 mL per 40 L gives 0.175 mg/L", stock())
    assert (found.holds, found.slip) == (False, "")


@pytest.mark.parametrize(("ratio", "holds"), [(0.84, True), (1.0, True), (1.2, True), (1.21, False), (0.83, False)])
def test_a_claim_holds_within_a_fifth(ratio: float, holds: bool) -> None:
    found = verdict("copper-ionic", f"1 mL per 40 L gives {0.025 * ratio:.6f} mg/L", stock())
    assert found.holds is holds


class TestRightDose:
    def test_it_is_the_dose_of_this_tank(self) -> None:
        found = verdict("copper-ionic", "1 mL per 40 L gives 0.25 mg/L")
        assert isinstance(found.right_dose, Dose)
        assert found.right_dose.add.value == pytest.approx(35)

    def test_followed_to_the_target_the_claim_would_give(self) -> None:
        found = verdict("copper-ionic", "1 mL per 40 L gives 0.0025 mg/L")
        assert found.followed is not None
        assert found.followed.value == pytest.approx(1.75)
        assert "too much" in found.problems[0].note
        weak = verdict("copper-ionic", "1 mL per 40 L gives 0.25 mg/L")
        assert weak.followed is not None
        assert weak.followed.value == pytest.approx(0.0175)
        assert "too little" in weak.problems[0].note

    def test_interlocks_hold_beside_the_verdict(self) -> None:
        room = make_room(animals=[{"species": "torch coral", "tank": "q1"}])
        found = verdict("copper-ionic", "1 mL per 40 L gives 0.025 mg/L", room)
        assert found.holds
        assert refused(found.right_dose) == "D401"

    def test_a_claim_on_file_that_disagrees_may_be_asked_about(self) -> None:
        room = stock(claim="1 mL per 40 L gives 0.25 mg/L")
        found = verdict("copper-ionic", "1 mL per 40 L gives 0.25 mg/L", room)
        assert found.slip == "10 × is a slip of the decimal point"
        assert refused(found.right_dose) == "D446"


class TestPublished:
    """Figures in print, copied from the worked examples: the slip in them is found, the sound ones hold."""

    def test_form_01_one_millilitre_in_ten_gallons(self) -> None:
        assert verdict("formalin-bath", "1 mL per 10 gal_us gives 25 uL/L").holds

    def test_form_05_a_dose_by_weight_is_seen_as_one(self) -> None:
        """A book prints 5.9 mL per 10 US gallons for 167 ppm; by volume it would be 6.32 mL, 8 % more."""
        found = verdict("formalin-bath", "5.9 mL per 10 gal_us gives 167 mg/L")
        assert found.counted == "by weight of the product, 1.08 g/mL"
        assert found.ratio == pytest.approx(1, rel=0.01)
        by_volume = verdict("formalin-bath", "5.9 mL per 10 gal_us gives 167 uL/L")
        assert by_volume.slip.startswith("1.08 × is formalin counted by weight")

    def test_what_a_way_of_counting_explains_is_no_slip(self) -> None:
        """108 mg/L by weight; 116 holds within a fifth of it, and is not once more weight taken for volume."""
        found = verdict("formalin-bath", "1 mL per 10 L gives 116.64 mg/L")
        assert (found.counted, found.slip) == ("by weight of the product, 1.08 g/mL", "")

    def test_form_16_formalin_or_formaldehyde(self) -> None:
        assert verdict("formalin-bath", "1 mL per 10 L gives 100 uL/L").holds
        formaldehyde = verdict("formalin-bath", "1 mL per 10 L gives 37 mg/L")
        assert (formaldehyde.counted, formaldehyde.ratio) == ("as formaldehyde", pytest.approx(1))
        wrong = verdict("formalin-bath", "1 mL per 10 L gives 37 uL/L")
        assert wrong.slip.startswith("2.7 × is formaldehyde by weight")

    def test_cu_units_02_the_salt_for_the_metal(self) -> None:
        """0.4 mg/L of copper sulfate is 0.1018 mg/L of copper as the pentahydrate, 0.1593 anhydrous."""
        hydrate = stock(strength="40 mg/mL as CuSO4.5H2O")
        assert "pentahydrate taken for copper" in verdict("copper-ionic", "1 mL per 100 L gives 0.4 mg/L", hydrate).slip
        assert verdict("copper-ionic", "1 mL per 100 L gives 0.1018 mg/L", hydrate).holds
        dry = stock(strength="40 mg/mL as CuSO4")
        assert "anhydrous" in verdict("copper-ionic", "1 mL per 100 L gives 0.4 mg/L", dry).slip
        assert verdict("copper-ionic", "1 mL per 100 L gives 0.1593 mg/L", dry).holds

    def test_cu_stock_01_and_cu_dose_01(self) -> None:
        """1 g in 250 mL is 1.018 mg/mL, called 1: 30 mL of it raise 200 L to 0.15 mg/L."""
        room = stock(strength="4 mg/mL as CuSO4.5H2O")
        found = verdict("copper-ionic", "30 mL per 200 L gives 0.15 mg/L", room)
        assert found.holds
        assert found.gives.value == pytest.approx(0.1527, rel=1e-3)

    def test_cu_dose_01_thirty_grams_for_thirty_millilitres(self) -> None:
        answer = judge_claim(request_for("copper-ionic", stock()), "30 g per 200 L gives 0.15 mg/L")
        assert refused(answer) == "D513"

    def test_pzq_04_the_excipient_is_not_counted(self) -> None:
        room = make_room(shelf__prazi__strength="500 mg per tablet as praziquantel")
        assert verdict("praziquantel-bath", "1.211 tablets per 80 gal_us gives 2 mg/L", room).holds

    def test_kmno4_03_twenty_drops_is_somebody_elses_dropper(self) -> None:
        text = "20 drops per 10 L gives 0.1 mg/L, 20 drops/mL assumed"
        assert refused(judge_claim(request_for("copper-ionic", stock()), text)) == "D512"

    def test_h2o2_04_weight_in_weight_taken_for_weight_in_volume(self) -> None:
        """126.2 mL of 35 % w/w give 50 mg/L in 1000 L; taken as w/v it would be 142.9 mL, 13 % too much."""
        room = make_room(shelf__peroxide__strength="35 % w/w density 1.132 g/mL as H2O2")
        right = verdict("peroxide-bath", "126.2 mL per 1000 L gives 50 mg/L", room)
        wrong = verdict("peroxide-bath", "142.9 mL per 1000 L gives 50 mg/L", room)
        assert right.ratio == pytest.approx(1, rel=1e-3)
        assert wrong.ratio == pytest.approx(1 / 1.132, rel=1e-3)


class TestRefused:
    @pytest.mark.parametrize(
        ("text", "code", "words"),
        [
            ("2 drops per gallon gives 0.1 mg/L", "D511", "`gallon`"),
            ("2 drops per gallon", "D511", "`gallon`"),
            ("1 mL per 10 gal gives 0.15 mg/L", "D511", "`gal`"),
            ("1 mL per 10 gallons gives 0.15 mg/L", "D511", "`gallons`"),
            ("1 mL per 10 L gives 0.15 ppm", "D511", "`ppm`"),
            ("1 mL per 10 L gives 0.15 mg/gal", "D511", "`mg/gal`"),
            ("1 capful per 10 L gives 0.15 mg/L", "D511", "`capful`"),
            ("1 tsp per 10 L gives 0.15 mg/L", "D511", "`tsp`"),
            ("1 ml per 10 L gives 0.15 mg/L", "D511", "`ml`"),
            ("1,5 mL per 10 L gives 0.15 mg/L", "D511", "comma"),
            ("1 mL per 10 L gives 0.15 mg/L as rust", "D511", "unknown substance"),
            ("1 mL per 10 L gives 0.15 uL/L", "D511", "level by volume"),
            ("1 mL per 10 L gives 0 mg/L", "D511", "not above zero"),
            ("0 mL per 10 L gives 0.15 mg/L", "D511", "not above zero"),
            ("1 mL per 0 L gives 0.15 mg/L", "D511", "not above zero"),
            ("1 mL per 10 L ± 1 L gives 0.15 mg/L", "D511", "error beside"),
            ("1 mL per 10 L gives 0.15 mg/L ± 5 %", "D511", "error beside"),
            ("it cures everything", "D511", "not a claim"),
            ("", "D511", "not a claim"),
            ("20 drops per 10 L gives 0.15 mg/L", "D512", "never counted"),
            ("20 drops per 10 L gives 0.15 mg/L (20 drops/mL)", "D512", "assumed"),
            ("1 g per 10 L gives 0.15 mg/L", "D513", "per mL"),
            ("1 tablet per 10 L gives 0.15 mg/L", "D513", "per mL"),
        ],
    )
    def test_what_is_not_certain_is_refused_by_name(self, text: str, code: str, words: str) -> None:
        answer = judge_claim(request_for("copper-ionic"), text)
        assert refused(answer) == code
        assert isinstance(answer, Refusal)
        assert words in answer.first.message
        assert answer.first.hint

    def test_an_assumed_dropper_is_refused_even_where_one_is_on_file(self) -> None:
        answer = judge_claim(
            request_for("copper-ionic", stock(dropper="24 drops/mL")), "20 drops per 10 L gives 0.1 mg/L at 20 drops/mL"
        )
        assert refused(answer) == "D512"
        assert isinstance(answer, Refusal)
        assert "24 drops/mL" in answer.first.hint

    @pytest.mark.parametrize(
        ("treatment", "product", "code"),
        [("copper-ionic", "chelate", "D450"), ("copper-ionic", "nothing", "D450"), ("levamisole-bath", None, "D449")],
    )
    def test_a_bottle_that_is_not_there(self, treatment: str, product: str | None, code: str) -> None:
        answer = judge_claim(request_for(treatment, product=product), "1 mL per 10 L gives 0.15 mg/L")
        assert refused(answer) == code

    def test_a_bottle_known_to_no_better_than_half(self) -> None:
        answer = judge_claim(request_for("copper-ionic", stock(error="60 %")), "1 mL per 10 L gives 0.1 mg/L")
        assert refused(answer) == "D460"

    def test_what_holds_no_active_has_no_claim(self) -> None:
        assert refused(judge_claim(request_for("tank-transfer"), "1 mL per 10 L gives 0.15 mg/L")) == "D455"
