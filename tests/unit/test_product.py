"""Strengths read as their active, and the choice of a bottle."""

from __future__ import annotations

import pytest

from dosing_rooms import AT, make_room, measure
from pratique.dosing.formalin import by_volume, formaldehyde_in, oxygen_taken
from pratique.dosing.kits import best_kit, read_with
from pratique.dosing.level import Active, after_adding, amount_for
from pratique.dosing.product import active_of, choose_product, claim_problems, find_substance, products_for
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.room.resolve import Room


def bottle(active: str, strength: str, **more: str) -> Active:
    form = {"form": "ionic"} if active == "copper" else {}
    return active_of(make_room(shelf__x={"active": active, "strength": strength, **form, **more}), "x")


@pytest.mark.parametrize(
    ("active", "strength", "unit", "per_unit"),
    [
        ("copper", "1 mg/mL as Cu", "mL", 1.0),
        ("copper", "1 g/L as copper", "mL", 1.0),
        ("copper", "0.1 % w/v as Cu", "mL", 1.0),
        ("copper", "4 mg/mL as CuSO4.5H2O", "mL", 1.018),
        ("copper", "4 mg/mL as cuso4.5h2o", "mL", 1.018),
        ("copper", "0.4 % w/v as copper sulfate pentahydrate", "mL", 1.018),
        ("copper", "99 % w/w as CuSO4.5H2O", "g", 990 * 0.2545),
        ("copper", "1 g/L as CuSO4", "mL", 0.398),
        ("peroxide", "3 % w/v as H2O2", "mL", 30.0),
        ("peroxide", "35 % w/w as H2O2, density 1.132 g/mL", "mL", 396.2),
        ("peroxide", "35 % w/w as H2O2", "g", 350.0),
        ("praziquantel", "95 % w/w as praziquantel", "g", 950.0),
        ("praziquantel", "500 mg per tablet as praziquantel", "tablet", 500.0),
        ("praziquantel", "50 mg/mL as praziquantel", "mL", 50.0),
    ],
)
def test_a_strength_as_its_active(active: str, strength: str, unit: str, per_unit: float) -> None:
    found = bottle(active, strength)
    assert (found.unit, found.per_unit) == (unit, pytest.approx(per_unit, rel=1e-9))
    assert found.share_error == 0


@pytest.mark.parametrize(
    ("strength", "microlitres"),
    [
        ("37 % w/v as formaldehyde", 1000.0),
        ("370 mg/mL as formaldehyde", 1000.0),
        ("37 % w/w as formaldehyde, density 1.08 g/mL", 1080.0),
        ("3 % w/v as formaldehyde", 1000 * 3 / 37),
    ],
)
def test_formalin_is_counted_in_the_37_percent_product(strength: str, microlitres: float) -> None:
    assert bottle("formalin", strength).per_unit == pytest.approx(microlitres)


def test_weak_formalin_takes_more_than_twelve_times_the_volume() -> None:
    """Practice B30: 3 % needs 12.3 times the volume."""
    strong, weak = (bottle("formalin", f"{share} % w/v as formaldehyde") for share in (37, 3))
    assert strong.per_unit / weak.per_unit == pytest.approx(12.3, abs=0.05)


@pytest.mark.parametrize(
    ("strength", "error", "share"),
    [
        ("10 mg/mL as Cu", "5 %", 0.05),
        ("10 mg/mL as Cu", "0.5 mg/mL", 0.05),
        ("10 mg/mL as Cu", "0.5 g/L", 0.05),
        ("40 mg/mL as CuSO4.5H2O", "2 mg/mL", 0.05),
        ("99 % w/w as CuSO4.5H2O", "1 %", 0.01),
    ],
)
def test_the_error_of_a_bottle_is_a_share_of_what_its_label_states(strength: str, error: str, share: float) -> None:
    assert bottle("copper", strength, error=error).share_error == pytest.approx(share)


def test_the_working_shows_the_salt_taken_apart() -> None:
    step = bottle("copper", "4 mg/mL as CuSO4.5H2O").step
    assert step.expression == "4 mg/mL as CuSO4.5H2O × 0.2545 copper in it"
    assert step.result == "1.02 mg copper per mL"
    assert step.source == "DERIVED"


def test_a_substance_is_found_by_id_or_name_whatever_the_case() -> None:
    assert find_substance("CUSO4.5H2O") == find_substance("copper-sulfate-pentahydrate")
    with pytest.raises(KeyError):
        find_substance("verdine")


class TestChoice:
    def room(self) -> Room:
        copper = {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu"}
        shelf = {
            "b": {**copper, "expires": "2028-01-01"},
            "a": {**copper, "expires": "2027-06-01"},
            "old": {**copper, "expires": "2027-01-01"},
            "undated": copper,
            "other": {**copper, "form": "amine"},
        }
        return make_room(shelf=shelf)

    def test_soonest_to_expire_first_then_by_name(self) -> None:
        assert products_for(self.room(), store.treatment("copper-ionic")) == ["old", "a", "b", "undated"]

    def test_the_first_that_is_still_good(self) -> None:
        assert choose_product(self.room(), store.treatment("copper-ionic"), None, AT) == ("a", [])

    def test_the_one_that_was_asked_for(self) -> None:
        assert choose_product(self.room(), store.treatment("copper-ionic"), "undated", AT) == ("undated", [])

    @pytest.mark.parametrize("wanted", ["other", "nothing such"])
    def test_none_that_does_not_suit(self, wanted: str) -> None:
        name, problems = choose_product(self.room(), store.treatment("copper-ionic"), wanted, AT)
        assert name is None
        assert [problem.code for problem in problems] == ["D450"]

    def test_an_expired_one_where_there_is_no_other_is_left_to_the_interlock(self) -> None:
        room = make_room(**{"shelf__ionic stock__expires": "2027-01-01"})
        assert choose_product(room, store.treatment("copper-ionic"), None, AT) == ("ionic stock", [])


class TestKits:
    def room(self) -> Room:
        return make_room(
            kits={
                "share": {"measures": "copper", "forms": "ionic, chelated", "error": "5 %"},
                "fixed": {"measures": "copper", "forms": "ionic, chelated", "error": "0.03 mg/L"},
                "steps": {"measures": "copper", "forms": "amine", "resolution": "0.1 mg/L"},
                "bare": {"measures": "copper", "forms": "amine"},
                "nitrite": {"measures": "nitrite"},
            }
        )

    @pytest.mark.parametrize(
        ("form", "near", "kit"), [("ionic", 0.175, "share"), ("chelated", 2.25, "fixed"), ("amine", 0.5, "steps")]
    )
    def test_the_finest_kit_at_the_level_in_question(self, form: str, near: float, kit: str) -> None:
        found = best_kit(self.room(), form, near=near)
        assert found is not None
        assert found[0] == kit

    def test_no_kit_for_a_form_that_none_reads(self) -> None:
        assert best_kit(make_room(kits__meter__forms="amine"), "ionic") is None

    @pytest.mark.parametrize(
        ("keys", "low", "high"),
        [
            ({"error": "0.05 mg/L"}, 0.05, 0.15),
            ({"error": "10 %"}, 0.09, 0.11),
            ({"resolution": "0.05 mg/L"}, 0.075, 0.125),
            ({}, 0.1, 0.1),
            ({"limit": "0.07 mg/L"}, 0.1, 0.1),
            ({"limit": "0.21 mg/L"}, 0.0, 0.21),
            ({"error": "0.2 mg/L"}, 0.0, 0.3),
            ({"error": "0.2 mg/L", "limit": "0.21 mg/L"}, 0.0, 0.3),
        ],
    )
    def test_a_reading_and_its_ends(self, keys: dict[str, str], low: float, high: float) -> None:
        room = make_room(kits={"k": {"measures": "copper", "forms": "ionic", **keys}})
        found = read_with(room.written.kits["k"], 0.1, "mg/L")
        assert (found.low, found.value, found.high) == (pytest.approx(low), 0.1, pytest.approx(high))

    def test_a_reading_without_a_kit_is_taken_as_it_is(self) -> None:
        assert read_with(None, 0.1, "mg/L").is_exact


class TestAmounts:
    water = Figure(value=100.0, unit="L", low=80.0, high=110.0)
    none = Figure.exact(0.0, "mg/L")

    def test_an_amount_without_a_ceiling_is_the_plain_product(self) -> None:
        strength = bottle("copper", "1 mg/mL as Cu", error="10 %")
        added = amount_for(2.0, before=self.none, water=self.water, strength=strength, ceiling=None)
        assert (added.active, added.cut) == (200.0, False)
        assert (added.after.low, added.after.high) == (pytest.approx(180 / 110), pytest.approx(220 / 80))

    def test_an_amount_is_cut_to_the_ceiling_at_the_worst(self) -> None:
        strength = bottle("copper", "1 mg/mL as Cu", error="10 %")
        before = Figure(value=0.5, unit="mg/L", low=0.4, high=0.6)
        added = amount_for(2.0, before=before, water=self.water, strength=strength, ceiling=2.2)
        assert added.cut
        assert added.wanted == pytest.approx(150.0)
        assert added.active == pytest.approx(1.6 * 80 / 1.1)
        assert added.after.high == pytest.approx(2.2)

    def test_nothing_is_taken_out_and_nothing_added_over_the_ceiling(self) -> None:
        strength = bottle("copper", "1 mg/mL as Cu")
        high = Figure.exact(3.0, "mg/L")
        assert amount_for(2.0, before=high, water=self.water, strength=strength, ceiling=None).active == 0
        unsure = Figure(value=1.0, unit="mg/L", low=0.0, high=2.6)
        assert amount_for(2.0, before=unsure, water=self.water, strength=strength, ceiling=2.5).active == 0

    def test_after_adding_is_the_inverse(self) -> None:
        strength = bottle("copper", "1 mg/mL as Cu")
        assert after_adding(200.0, self.none, self.water, strength).value == pytest.approx(2.0)


def test_formalin_counted_in_other_ways() -> None:
    formalin = store.treatment("formalin-bath")
    assert formaldehyde_in(100, formalin) == pytest.approx(37)
    assert by_volume(167, formalin) == pytest.approx(154.6, abs=0.05)
    assert oxygen_taken(150, formalin) == pytest.approx(30)


def test_levels_are_read_as_typed() -> None:
    level = measure("175 ug/L")
    assert level is not None
    assert level.value == pytest.approx(0.175)


@pytest.mark.parametrize(("claimed", "agrees"), [(100, True), (125, True), (131, False), (37, True), (30, False)])
def test_formalin_may_be_claimed_by_volume_by_weight_or_as_formaldehyde(claimed: float, agrees: bool) -> None:
    """1 mL in 10 L are 100 µL/L, 108 mg/L of the product or 37 mg/L of formaldehyde (treatments 20), within a fifth."""
    room = make_room(shelf__formalin__claim=f"1 mL per 10 L gives {claimed} mg/L")
    assert (list(claim_problems(room, active_of(room, "formalin"))) == []) == agrees
