"""Who has which water when, and which tank is fit for what."""

from __future__ import annotations

import datetime as dt
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from pratique.knowledge import store
from pratique.schedule.ledger import Ledger, Span, can_dry
from schedule_rooms import build, tank, tanks

LISBON = ZoneInfo("Europe/Lisbon")
DAY = dt.timedelta(days=1)


def at(day: int, hour: int = 12) -> dt.datetime:
    return dt.datetime(2027, 3, day, hour, tzinfo=LISBON)


def fit(uses: tuple[str, ...], treatment: str, **sections: Any) -> list[str]:
    ledger = Ledger(build(**sections))
    return [entry.name for entry in ledger.fit_tanks(uses, store.treatment(treatment))]


def why(name: str, treatment: str, **sections: Any) -> str:
    room = build(**sections)
    return Ledger(room).why_unfit(room.tanks[name], store.treatment(treatment))


class TestBookings:
    def test_a_dry_day_between_two_batches(self) -> None:
        ledger = Ledger(build())
        ledger.book("ward", at(5), at(10), "first", dry=ledger.between)
        assert ledger.clash("ward", Span.of(at(11, 11), at(20))) is not None
        assert ledger.clash("ward", Span.of(at(11, 12), at(20))) is None
        assert ledger.clash("ward", Span.of(at(1), at(4, 13))) is not None
        assert ledger.clash("ward", Span.of(at(1), at(4, 12))) is None
        assert ledger.clash("tub a", Span.of(at(5), at(10))) is None

    def test_its_own_stay_does_not_stand_in_the_way_but_another_behind_it_does(self) -> None:
        ledger = Ledger(build())
        ledger.book("ward", at(5), at(10), "first", dry=ledger.between)
        ledger.book("ward", at(20), at(25), "second", dry=ledger.between)
        assert ledger.clash("ward", Span.of(at(10), at(15)), but="first") is None
        found = ledger.clash("ward", Span.of(at(10), at(22)), but="first")
        assert found is not None
        assert found.batch == "second"

    def test_free_from_looks_past_gaps_that_are_too_short(self) -> None:
        ledger = Ledger(build())
        ledger.book("ward", at(5), at(10), "first", dry=ledger.between)
        ledger.book("ward", at(14), at(20), "second", dry=ledger.between)
        assert ledger.free_from("ward", Span.of(at(6), at(7))) == at(11)
        assert ledger.free_from("ward", Span.of(at(6), at(16))) == at(21)
        assert ledger.free_from("ward", Span.of(at(1), at(3))) == at(1)

    def test_what_is_taken_back_is_free_again(self) -> None:
        ledger = Ledger(build())
        booking = ledger.book("ward", at(5), at(10), "first", dry=ledger.between)
        ledger.unbook("ward", booking)
        assert ledger.clash("ward", Span.of(at(5), at(10))) is None

    def test_the_hours_between_are_elapsed_hours(self) -> None:
        ledger = Ledger(build())
        ledger.book("ward", at(25), at(27, 23), "first", dry=ledger.between)  # the clocks go forward on the 28th
        assert ledger.clash("ward", Span.of(at(28, 23), at(30))) is not None
        assert ledger.clash("ward", Span.of(at(29, 0), at(30))) is None


class TestFitTanks:
    def test_in_the_order_of_the_uses_then_of_the_file(self) -> None:
        assert fit(("ward", "transfer"), "praziquantel-bath") == ["ward", "tub a", "tub b"]
        assert fit(("transfer", "ward"), "praziquantel-bath") == ["tub a", "tub b", "ward"]

    @pytest.mark.parametrize("treatment", ["copper-chelated", "praziquantel-bath", "tank-transfer", "observation"])
    def test_never_with_fish_in_the_water(self, treatment: str) -> None:
        animals = [{"species": "ocellaris clownfish", "tank": "ward"}]
        assert fit(("ward",), treatment, animals=animals) == []
        assert why("ward", treatment, animals=animals) == "`ward` has residents"

    @pytest.mark.parametrize("treatment", ["copper-chelated", "praziquantel-bath", "tank-transfer"])
    def test_no_medicine_and_no_transfers_with_corals_in_the_water(self, treatment: str) -> None:
        assert fit(("ward",), treatment, animals=[{"species": "torch coral", "tank": "ward"}]) == []

    @pytest.mark.parametrize("treatment", ["observation", "fishless-hold"])
    def test_a_watch_may_be_beside_corals(self, treatment: str) -> None:
        assert fit(("observation",), treatment, animals=[{"species": "torch coral", "tank": "long"}]) == ["long"]

    def test_residents_of_another_tank_on_the_same_water_count(self) -> None:
        shared = {"rack": {"salinity": "35 g/kg", "temperature": "25 degC"}}
        bare = {"volume": {"measured": "60 L"}, "water": "rack"}
        rack = {"ward": {"use": "ward", **bare}, "other": {"use": "reserve", **bare}}
        animals = [{"species": "ocellaris clownfish", "tank": "other"}]
        assert fit(("ward",), "copper-chelated", tanks=rack, waters=shared) == ["ward"]
        assert fit(("ward",), "copper-chelated", tanks=rack, waters=shared, animals=animals) == []

    @pytest.mark.parametrize("keys", [{"substrate": "calcareous"}, {"rock": "calcareous"}, {"salinity": "15 g/kg"}])
    def test_no_copper_over_rock_or_in_low_salinity(self, keys: dict[str, str]) -> None:
        assert fit(("ward",), "copper-chelated", tanks={"ward": tank("ward", **keys)}) == []
        assert fit(("ward",), "observation", tanks={"ward": tank("ward", **keys)}) == ["ward"]

    def test_what_a_switch_changes_does_not_make_a_tank_unfit(self) -> None:
        keys = {"carbon": "yes", "uv": "yes", "skimmer": "yes", "ozone": "yes"}
        assert fit(("ward",), "copper-chelated", tanks={"ward": tank("ward", **keys)}) == ["ward"]

    @pytest.mark.parametrize("treatment", ["copper-chelated", "praziquantel-bath", "observation", "tank-transfer"])
    def test_a_water_that_holds_a_medicine_is_not_used(self, treatment: str) -> None:
        held = tank("ward", holds=[{"treatment": "copper-chelated", "level": "2.2 mg/L"}])
        assert "empty and dry it" in why("ward", treatment, tanks={"ward": held})

    @pytest.mark.parametrize("keys", [{"substrate": "inert"}, {"rock": "inert"}, {"substrate": "calcareous"}])
    def test_transfer_tanks_are_bare(self, keys: dict[str, str]) -> None:
        assert "does not dry" in why("tub a", "tank-transfer", tanks={**tanks(), "tub a": tank("transfer", **keys)})

    def test_transfer_tanks_share_no_water(self) -> None:
        bare = {"volume": {"measured": "60 L"}, "water": "rack"}
        rack = {"tub a": {"use": "transfer", **bare}, "tub b": {"use": "transfer", **bare}}
        assert "shares its water" in why("tub a", "tank-transfer", tanks=rack, waters={"rack": {}})

    def test_what_can_dry(self) -> None:
        room = build(tanks={**tanks(), "sandy": tank("ward", substrate="inert")})
        assert [name for name, entry in room.tanks.items() if not can_dry(entry)] == ["long"]


def test_a_tank_in_the_water_of_a_display_keeps_nothing_apart() -> None:
    """Nobody need live there: what a newcomer carries, and what it gets, is in both at once."""
    shared = {"salinity": "35 g/kg", "temperature": "25 degC", "cycled": "yes"}
    reef, ward = tank("display", water="main"), tank("ward", water="main")
    for one in (reef, ward):
        for key in ("salinity", "temperature", "cycled"):
            one.pop(key, None)
    sections: dict[str, Any] = {"tanks": {"reef": reef, "ward": ward}, "waters": {"main": shared}, "animals": []}
    for treatment in ("copper-chelated", "observation"):
        assert "shares its water with the display `reef`" in why("ward", treatment, **sections)
