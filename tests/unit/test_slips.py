"""The slips that have a size of their own are recognised, named, and never applied."""

from __future__ import annotations

import pytest

from dosing_rooms import ask, dose, make_room, refusal
from pratique.dosing.product import active_of, claim_problems
from pratique.dosing.slips import NEAR, SLIPS, Slip, explain_level, explain_reading, named_slip
from pratique.knowledge import store
from pratique.quantity import to_canonical

OF_COPPER = [slip for slip in SLIPS if slip.active in ("", "copper")]
OF_FORMALIN = [slip for slip in SLIPS if slip.active in ("", "formalin")]


def test_the_sizes_are_those_of_the_units_and_of_the_substances() -> None:
    sizes = {slip.text.split(" × ")[0]: slip.size for slip in SLIPS}
    assert sizes["3.785"] == pytest.approx(to_canonical(1, "gal_us", "volume"))
    assert sizes["4.546"] == pytest.approx(to_canonical(1, "gal_imp", "volume"))
    assert sizes["1.2"] == pytest.approx(sizes["4.546"] / sizes["3.785"], rel=1e-5)
    substances = store.substances()
    assert sizes["3.93"] == pytest.approx(1 / substances["copper-sulfate-pentahydrate"].fraction)
    assert sizes["2.51"] == pytest.approx(1 / substances["copper-sulfate-anhydrous"].fraction)
    formalin = store.treatment("formalin-bath")
    assert sizes["1.08"] == pytest.approx(formalin.needed("density").value / 1e6)
    assert sizes["2.7"] == pytest.approx(100 / formalin.needed("formaldehyde_per_100uL").value)


@pytest.mark.parametrize("slip", SLIPS, ids=lambda slip: slip.text)
def test_the_sentence_gives_the_size(slip: Slip) -> None:
    size, text = slip.size, slip.text
    assert float(text.split(" × ")[0]) == pytest.approx(size, rel=0.004)


@pytest.mark.parametrize("slip", OF_COPPER, ids=lambda slip: slip.text)
def test_a_slip_is_named_either_way_and_within_two_percent(slip: Slip) -> None:
    size, text = slip.size, slip.text
    for ratio in (size, 1 / size, size * (1 + NEAR * 0.9) if size != 1 / 0.2545 else size):
        assert named_slip(0.15 * ratio, 0.15) == text


def test_the_smallest_slip_is_named_too() -> None:
    """Formalin weighs 1.08 g/mL (PIPER82): a level by weight taken for one by volume."""
    assert named_slip(162, 150, "formalin").startswith("1.08 × is formalin counted by weight")


def test_the_nearest_of_two_slips_is_named() -> None:
    """3.785 and 3.93 lie within 4 % of one another."""
    assert "gallon" in named_slip(3.85, 1.0)
    assert "pentahydrate" in named_slip(3.87, 1.0)


@pytest.mark.parametrize(
    ("typed", "meant"), [(0.0, 1.0), (1.0, 0.0), (-3.785, 1.0), (1.0, 1.0), (1.1, 1.0), (7.0, 1.0)]
)
def test_what_is_no_slip_has_no_name(typed: float, meant: float) -> None:
    assert named_slip(typed, meant) == ""


class TestClaims:
    """A label's printed claim against the strength it states."""

    @staticmethod
    def claimed(level: float, bottle: dict[str, str] | None = None, *, name: str = "ionic stock") -> list[str]:
        """The notes on a bottle of 1 mg/mL whose label claims that 1 mL in 40 L gives `level`."""
        bottle = bottle or {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu"}
        claim = f"1 mL per 40 L gives {level:.9f} mg/L"
        room = make_room(**{f"shelf__{name}": {**bottle, "claim": claim}})
        return [problem.note for problem in claim_problems(room, active_of(room, name))]

    @pytest.mark.parametrize("slip", OF_COPPER, ids=lambda slip: slip.text)
    @pytest.mark.parametrize("way", [1, -1])
    def test_each_slip_in_a_claim_is_named(self, slip: Slip, way: int) -> None:
        size, text = slip.size, slip.text
        (note,) = self.claimed(1 / 40 * size**way)
        assert note == f"by the strength it gives 0.0250 mg/L, {size**-way:.3g} × the claim; {text}"

    @pytest.mark.parametrize("ratio", [1.0, 0.84, 1.2, 1.19])
    def test_a_claim_within_a_fifth_passes(self, ratio: float) -> None:
        assert self.claimed(ratio / 40) == []

    @pytest.mark.parametrize("ratio", [1.21, 0.82, 1.5])
    def test_a_claim_beyond_a_fifth_stops_the_dose_by_whatever_slip(self, ratio: float) -> None:
        assert len(self.claimed(ratio / 40)) == 1

    @pytest.mark.parametrize(
        ("strength", "level"),
        [("40 mg/mL as CuSO4.5H2O", 1.0), ("40 mg/mL as CuSO4", 1.0), ("1 % w/v as Cu", 2.5)],
    )
    def test_the_salt_claimed_as_the_metal_is_found(self, strength: str, level: float) -> None:
        """40 mg/mL of salt, claimed to give 1 mg/L of copper from 1 mL in 40 L."""
        notes = self.claimed(level, {"active": "copper", "form": "ionic", "strength": strength})
        assert len(notes) == 1

    def test_the_pentahydrate_is_told_from_the_anhydrous(self) -> None:
        (hydrate,) = self.claimed(1.0, {"active": "copper", "form": "ionic", "strength": "40 mg/mL as CuSO4.5H2O"})
        (dry,) = self.claimed(1.0, {"active": "copper", "form": "ionic", "strength": "40 mg/mL as CuSO4"})
        assert "pentahydrate taken for copper" in hydrate
        assert "anhydrous copper sulfate taken for copper" in dry

    def test_a_claim_that_disagrees_stops_the_dose_and_shows_both_lines(self) -> None:
        bottle = {
            "active": "copper",
            "form": "ionic",
            "strength": "1 mg/mL as Cu",
            "claim": "1 mL per 10 gal_us gives 0.1 mg/L",
        }
        problem = refusal("copper-ionic", make_room(**{"shelf__ionic stock": bottle})).first
        assert problem.code == "D446"
        assert [place.label for place in problem.places] == ["claimed", "stated"]
        assert "mg per US gallon" in problem.note

    @pytest.mark.parametrize("level", [25.0, 27.0, 9.25])
    def test_formalin_claimed_by_volume_by_weight_or_as_formaldehyde_passes(self, level: float) -> None:
        bottle = {"active": "formalin", "strength": "37 % w/v as formaldehyde"}
        assert self.claimed(level, bottle, name="formalin") == []

    def test_formalin_claimed_otherwise_does_not(self) -> None:
        (note,) = self.claimed(2.5, {"active": "formalin", "strength": "37 % w/v as formaldehyde"}, name="formalin")
        assert note == "by the strength it gives 25.0 µL/L, 10 × the claim; 10 × is a slip of the decimal point"

    def test_a_claim_in_another_unit_than_the_strength_is_not_compared(self) -> None:
        assert self.claimed(9.0, {"active": "praziquantel", "strength": "95 % w/w as praziquantel"}, name="prazi") == []


class TestTargets:
    @pytest.mark.parametrize(
        ("treatment", "target", "words"),
        [
            ("copper-ionic", "0.66 mg/L", "3.785 × is mg per US gallon read as mg per litre: then 0.174 mg/L is meant"),
            ("copper-ionic", "0.0462 mg/L", "3.785 × is mg per US gallon"),
            ("copper-ionic", "0.8 mg/L", "4.546 × is mg per imperial gallon"),
            ("copper-ionic", "0.687 mg/L", "3.93 × is copper sulfate pentahydrate taken for copper: then 0.175"),
            ("copper-ionic", "0.44 mg/L", "2.51 × is anhydrous copper sulfate taken for copper"),
            ("copper-ionic", "1.75 mg/L", "10 × is a slip of the decimal point: then 0.175 mg/L is meant"),
            ("copper-ionic", "0.0175 mg/L", "10 × is a slip of the decimal point"),
            ("copper-ionic", "175 mg/L", "1000 × is one unit prefix"),
            ("copper-ionic", "0.5 mg/L", "0.5 mg/L lies in the band of `copper-amine` (0.5 to 0.6 mg/L)"),
            ("copper-ionic", "2.25 mg/L", "lies in the band of `copper-chelated` (2 to 2.5 mg/L)"),
            ("copper-amine", "2.25 mg/L", "lies in the band of `copper-chelated`"),
            ("copper-amine", "0.175 mg/L", "lies in the band of `copper-ionic`"),
            ("copper-chelated", "0.5 mg/L", "lies in the band of `copper-amine`"),
            ("copper-chelated", "0.15 mg/L", "lies in the band of `copper-ionic`"),
            ("copper-chelated", "8.5 mg/L", "mg per US gallon"),
            ("formalin-bath", "162 uL/L", "1.08 × is formalin counted by weight"),
            ("formalin-bath", "405 uL/L", "2.7 × is formaldehyde by weight"),
            ("formalin-bath", "1500 uL/L", "10 × is a slip of the decimal point: then 150 µL/L is meant"),
            ("praziquantel-bath", "7.57 mg/L", "mg per US gallon"),
            ("praziquantel-bath", "20 mg/L", "decimal point"),
            ("peroxide-bath", "284 mg/L", "mg per US gallon"),
        ],
    )
    def test_a_refused_target_names_what_may_have_happened(self, treatment: str, target: str, words: str) -> None:
        assert words in refusal(treatment, target=target).first.note

    @pytest.mark.parametrize(
        ("treatment", "target", "words"),
        [
            ("formalin-bath", "55.5 uL/L", "2.7 × is formaldehyde by weight"),
            ("formalin-bath", "39.6 uL/L", "mg per US gallon"),
            ("praziquantel-bath", "0.528 mg/L", "mg per US gallon"),
            ("peroxide-bath", "16.5 mg/L", "mg per imperial gallon"),
        ],
    )
    def test_a_weak_target_is_warned_of_and_taken_as_it_stands(self, treatment: str, target: str, words: str) -> None:
        answer = dose(treatment, target=target)
        (warning,) = answer.problems
        assert warning.code == "D462"
        assert words in warning.note
        assert answer.target.value == pytest.approx(float(target.split()[0]))

    def test_copper_salts_are_no_slip_of_another_drug(self) -> None:
        assert "copper" not in explain_level(2 * 3.93, store.treatment("praziquantel-bath"))


def test_a_slip_that_lands_beside_the_band_is_not_named() -> None:
    """A tenth of 3 mg/L is 0.3, and a tenth of 1.4 mg/L 0.14: neither is between 0.15 and 0.2."""
    for level in (3.0, 1.4):
        assert "decimal" not in explain_level(level, store.treatment("copper-ionic"))


def test_three_reasons_are_offered_and_not_a_fourth() -> None:
    """2.26 mg/L over 3.93 is 0.575 mg/L of amine copper, in its band too, as the fourth."""
    assert explain_level(2.26, store.treatment("copper-amine")).split("; or ") == [
        "2.26 mg/L lies in the band of `copper-chelated` (2 to 2.5 mg/L)",
        "3.785 × is mg per US gallon read as mg per litre: then 0.597 mg/L is meant",
        "4.546 × is mg per imperial gallon read as mg per litre: then 0.497 mg/L is meant",
    ]


def test_a_reading_on_the_way_up_is_ordinary() -> None:
    """The second rung of a slow chelated ramp lies in the amine band."""
    chelated = store.treatment("copper-chelated")
    assert explain_reading(0.56, [0.5625, 1.125, 1.6875, 2.25], chelated) == ""
    assert "`copper-amine`" in explain_reading(0.56, [2.0, 2.25], chelated)


def test_nothing_is_ever_converted_by_itself() -> None:
    """A likely slip changes no number: the same amount for the reading as it stands."""
    odd, plain = dose("copper-ionic", reading="0.0462 mg/L"), dose("copper-ionic", reading="0.0480 mg/L")
    assert [p.code for p in odd.problems] == ["D464"]
    assert odd.add.value == pytest.approx(plain.add.value + 200 * 0.0018, rel=1e-3)
    assert ask("copper-ionic", reading="0.0480 mg/L").problems == ()
