"""Whole situations of practice.md as cases: jobs A9 and A18, mistakes B16, B20, B35, B36 and B37.

What a rule of the trade says is common practice, no published source; the hours and days are those of practice.md.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from history.kept import batch, build, history, moment, tank, tanks
from pratique.contacts.model import Reached, Trace
from pratique.contacts.origin import Kind
from pratique.contacts.trace import Request, make_trace
from pratique.problem import Refusal
from pratique.room.resolve import Room


def room(**more: Any) -> Room:
    """A reef with a refuge on its sump, a second display, and quarantine tanks; a batch of two to come."""
    places = {
        **tanks(),
        "reef": {"use": "display", "water": "main", "volume": {"measured": "300 L ± 5 L"}, "rock": "calcareous"},
        "refuge": {"use": "display", "water": "main", "volume": {"measured": "60 L ± 2 L"}},
        "nook": tank("display", cycled="yes"),
    }
    given: dict[str, Any] = {
        "tanks": places,
        "waters": {"main": {"salinity": "35 g/kg", "temperature": "25.5 degC", "sump": "60 L"}},
        "animals": [
            {"species": "yellow tang", "name": "Lemon", "tank": "reef"},
            {"species": "flame angelfish", "name": "Ember", "tank": "reef"},
            {"species": "torch coral", "name": "Torch", "tank": "refuge"},
            {"species": "turbo snail", "name": "Turbo", "tank": "reef"},
            {"species": "ocellaris clownfish", "name": "Pair", "count": 2, "tank": "nook"},
        ],
        "batches": {"first": batch("2027-03-05T18:30", "trusted", "royal gramma", into="nook")},
        "gear": {"red set": {"for": "all"}, "white set": {"for": "all"}},
    }
    return build(**{**given, **more})


def traced(kind: Kind, name: str, lines: str, at: str, where: Room | None = None, **asked: Any) -> Trace:
    known = where or room()
    trace = make_trace(known, history(known, lines, at), Request(kind=kind, name=name, **asked))
    assert not isinstance(trace, Refusal)
    return trace


def reached(trace: Trace) -> dict[str, Reached]:
    return {found.water: found for found in trace.reached if not found.is_origin}


def strengths(trace: Trace) -> dict[str, str]:
    return {water: found.level for water, found in reached(trace).items()}


def test_a9_shared_water_is_one_water() -> None:
    trace = traced("tank", "refuge", "2027-03-01 08:00 sign reef dust", "2027-03-01T09:00")
    (origin,) = [found for found in trace.reached if found.is_origin]
    assert origin.tanks == ("reef", "refuge")
    assert {stay.animal for stay in origin.here} == {"Lemon", "Ember", "Torch", "Turbo"}


def test_a9_a_fish_moved_last_week() -> None:
    """Dust on a fish that was somewhere else a week ago: that water has it too, and all that left it since."""
    lines = """
    2027-03-01 08:00 moved Ember from reef to ward
    2027-03-03 08:00 moved Lemon from reef to nook
    2027-03-08 08:00 sign ward dust
    """
    trace = traced("tank", "ward", lines, "2027-03-08T09:00")
    assert strengths(trace) == {"main": "direct", "nook": "direct"}
    assert reached(trace)["nook"].since == moment("2027-03-03T08:00")
    assert trace.sources[0].name == "main"


def test_a9_a_net_hands_and_a_moved_filter() -> None:
    lines = """
    2027-03-01 08:00 gear red set in reef
    2027-03-01 08:20 gear red set in ward
    2027-03-01 18:00 moved filter media from reef to long
    2027-03-02 08:00 fed reef
    2027-03-02 08:10 fed nook
    2027-03-03 08:00 sign reef dust
    """
    trace = traced("tank", "reef", lines, "2027-03-03T09:00")
    assert strengths(trace) == {"ward": "wet", "long": "wet", "nook": "possible"}
    assert reached(trace)["ward"].path[0].text == "red set wet, 20 min after main"
    assert reached(trace)["nook"].path[0].way == "hands"
    assert {entry.water for entry in trace.unexposed} == {"tub a", "tub b"}


def test_a9_water_carried_over_is_the_same_water() -> None:
    lines = "2027-03-01 18:00 moved water from reef to long\n2027-03-03 08:00 sign reef dust"
    assert strengths(traced("tank", "reef", lines, "2027-03-03T09:00")) == {"long": "direct"}


def test_a9_clean_before_dirty_passes_nothing_on() -> None:
    lines = "2027-03-02 08:00 fed nook\n2027-03-02 08:10 fed reef\n2027-03-03 08:00 sign reef dust"
    trace = traced("tank", "reef", lines, "2027-03-03T09:00")
    assert strengths(trace) == {}
    (nook,) = [entry for entry in trace.unexposed if entry.water == "nook"]
    assert "seen to before the exposed waters" in nook.why[0]


def test_a9_two_people_have_hands_of_their_own() -> None:
    where = room()
    lines = "2027-03-02 08:00 fed reef\n2027-03-02 08:10 fed nook"
    told = history(where, lines, "2027-03-03T09:00")
    both = [entry.model_copy(update={"by": by}) for entry, by in zip(told.log.entries, ("Ana", "Ben"), strict=True)]
    from history.kept import log_of
    from pratique.history.fold import fold

    trace = make_trace(where, fold(where, log_of(both), told.at), Request(kind="tank", name="reef"))
    assert not isinstance(trace, Refusal)
    assert strengths(trace) == {}


@pytest.mark.parametrize(("after", "level"), [("2027-03-03 08:00", "wet"), ("2027-03-03 09:00", None)])
def test_b20_wet_gear_within_two_days(after: str, level: str | None) -> None:
    """48 h in all: a day to be visibly dry, and 24 h more."""
    lines = f"2027-03-01 08:00 gear red set in reef\n{after} gear red set in ward\n2027-03-04 08:00 sign reef dust"
    trace = traced("tank", "reef", lines, "2027-03-04T09:00")
    assert strengths(trace).get("ward") == level
    if level is None:
        (ward,) = [entry for entry in trace.unexposed if entry.water == "ward"]
        assert ward.why[0] == "red set was not used for 48 h before it was used here on Wed 3 Mar"


@pytest.mark.parametrize(("noted", "level"), [("2027-03-01 12:00", None), ("2027-03-02 08:00", "wet")])
def test_b20_noted_dry_and_24_hours_more(noted: str, level: str | None) -> None:
    lines = f"""
    2027-03-01 08:00 gear red set in reef
    {noted} dried red set
    2027-03-02 18:00 gear red set in ward
    2027-03-04 08:00 sign reef dust
    """
    assert strengths(traced("tank", "reef", lines, "2027-03-04T09:00")).get("ward") == level


def test_b20_gear_that_is_still_wet_is_to_be_disinfected() -> None:
    lines = "2027-03-03 08:00 gear red set in reef\n2027-03-04 08:00 sign reef dust"
    trace = traced("tank", "reef", lines, "2027-03-04T09:00")
    (gear,) = trace.to_clean
    assert (gear.what, gear.kind, gear.ready) == ("red set", "gear", moment("2027-03-06T09:00"))
    assert "200 mg/L chlorine" in gear.says
    assert "pratique dip drying --for 'red set'" in gear.commands
    assert traced("tank", "reef", lines, "2027-03-06T09:00").to_clean == ()


def test_b20_gear_traced_itself() -> None:
    lines = "2027-03-03 08:00 gear red set in reef\n2027-03-03 09:00 gear red set in ward"
    trace = traced("gear", "red set", lines, "2027-03-04T09:00", since=moment("2027-03-03T00:00"))
    assert strengths(trace) == {"main": "wet", "ward": "wet"}
    assert {(source.name, source.level) for source in trace.sources} == {("main", "wet"), ("ward", "wet")}


def test_b35_a_display_without_fish_is_the_whole_water() -> None:
    """The last fish leaves the reef, a net brings it back to the refuge on the same sump: the days are lost."""
    lines = """
    2027-03-01 08:00 moved Ember from reef to ward
    2027-03-01 08:05 moved Lemon from reef to ward
    2027-03-11 18:00 gear red set in ward
    2027-03-11 18:30 gear red set in refuge
    2027-03-12 08:00 sign ward dust
    """
    trace = traced("tank", "ward", lines, "2027-03-12T09:00", agent="cryptocaryon")
    (effect,) = [effect for effect in reached(trace)["main"].clocks if effect.clock == "fallow"]
    assert effect.at == moment("2027-03-11T18:30")
    assert effect.cost == pytest.approx((10 * 24 + 10 + 25 / 60) / 24)


def test_b35_no_fallow_ends_what_lives_without_fish() -> None:
    lines = """
    2027-03-01 08:00 moved Ember from reef to ward
    2027-03-01 08:05 moved Lemon from reef to ward
    2027-03-11 18:00 moved rock from ward to refuge
    """
    trace = traced("tank", "ward", lines, "2027-03-12T09:00", agent="uronema")
    (effect,) = [effect for effect in reached(trace)["main"].clocks if effect.clock == "fallow"]
    assert effect.cost is None
    assert all(item.until is None for item in trace.held)


def test_b36_every_animal_of_the_water_is_named() -> None:
    """Not the sick fish alone: the one that shows nothing, those of the batch that shared it, and no others."""
    lines = """
    2027-03-05 18:30 arrived first in long
    2027-03-06 08:00 moved Lemon from reef to long
    2027-03-08 08:00 sign long dust
    """
    trace = traced("tank", "long", lines, "2027-03-08T09:00")
    named = {stay.animal for found in trace.exposed for stay in found.here}
    assert named == {"Lemon", "royal gramma", "Ember", "Torch", "Turbo"}
    assert {stay.animal for entry in trace.unexposed for stay in entry.here} == {"Pair"}


@pytest.mark.parametrize(
    ("agent", "days", "warm"), [("", 76, 42), ("cryptocaryon", 76, 45), ("amyloodinium", 42, None)]
)
def test_b37_hold_dates_of_each_item(agent: str, days: int, warm: int | None) -> None:
    """practice D19 and agents 16: from today where fish are in the water, since the contact where there are none."""
    trace = traced("tank", "reef", "2027-03-08 08:00 sign reef dust", "2027-03-08T09:00", agent=agent)
    held = {item.what: item for item in trace.held}
    assert set(held) == {"Torch", "Turbo", "rock of reef"}
    at = moment("2027-03-08T09:00").astimezone(dt.UTC)
    for item in held.values():
        assert item.waits
        assert item.until == at + dt.timedelta(days=days)
        assert (item.until_warm is None) == (warm is None)
        assert warm is None or item.until_warm == at + dt.timedelta(days=warm)


def test_b37_a_coral_moved_early_takes_it_along() -> None:
    lines = "2027-03-03 08:00 moved Torch from refuge to nook\n2027-03-08 08:00 sign reef dust"
    trace = traced("tank", "reef", lines, "2027-03-08T09:00")
    assert strengths(trace) == {"nook": "wet"}
    assert reached(trace)["nook"].path[0].way == "animal"


def test_b37_a_fishless_tank_counts_from_the_contact() -> None:
    lines = "2027-03-03 08:00 moved Torch from refuge to long\n2027-03-08 08:00 sign reef dust"
    trace = traced("tank", "reef", lines, "2027-03-08T09:00")
    (torch,) = [item for item in trace.held if item.what == "Torch"]
    assert not torch.waits
    begin = moment("2027-03-03T08:00").astimezone(dt.UTC)
    assert torch.until == begin + dt.timedelta(days=76)


def test_b16_the_watch_of_a_batch_begins_again_and_the_plan_counts_it() -> None:
    lines = """
    2027-03-05 18:30 arrived first in long
    2027-03-14 18:30 sign reef dust
    2027-03-15 18:00 gear red set in reef
    2027-03-15 18:30 gear red set in long
    """
    trace = traced("tank", "reef", lines, "2027-03-16T09:00")
    (effect,) = [effect for effect in reached(trace)["long"].clocks if effect.clock == "watch"]
    assert (effect.batch, effect.counted) == ("first", True)
    assert effect.cost == pytest.approx(10)


def test_b16_what_the_plan_cannot_know_is_said_with_its_cost() -> None:
    """Hands are possible only: the plan goes on, and the page says what it would cost to count them."""
    lines = """
    2027-03-05 18:30 arrived first in long
    2027-03-14 18:30 sign reef dust
    2027-03-15 18:00 fed reef
    2027-03-15 18:30 fed long
    """
    trace = traced("tank", "reef", lines, "2027-03-16T09:00")
    (effect,) = [effect for effect in reached(trace)["long"].clocks if effect.clock == "watch"]
    assert (effect.counted, effect.cost) == (False, pytest.approx(10))
    assert effect.says.startswith("if you count it")


def test_days_in_copper_that_count_only_after_a_contact_lose_nothing_by_it() -> None:
    where = room(
        batches={"first": batch("2027-03-05T18:30", "unsure", "royal gramma", into="nook", regimen="copper-hold")},
        shelf={"chelate": {"active": "copper", "form": "chelated", "strength": "10 mg/mL as Cu", "left": "250 mL"}},
        kits={"meter": {"measures": "copper", "forms": "chelated", "resolution": "0.01 mg/L", "error": "0.05 mg/L"}},
    )
    begun = """
    2027-03-05 18:30 arrived first in ward
    2027-03-05 18:40 fed reef
    2027-03-05 18:50 fed ward
    """
    (effect,) = reached(traced("tank", "reef", begun, "2027-03-07T09:00", where))["ward"].clocks
    assert effect.says == "no day of it had been counted, so none is lost"
    read = f"{begun}\n2027-03-06 08:00 reading ward copper 2.2 mg/L with meter"
    (effect,) = reached(traced("tank", "reef", read, "2027-03-07T09:00", where))["ward"].clocks
    assert effect.says == "the count began after this contact, so no day of it is lost"


def test_a_batch_on_its_way_does_not_go_into_an_exposed_water() -> None:
    lines = "2027-03-05 18:30 arrived first in long\n2027-03-14 18:30 sign nook dust"
    trace = traced("tank", "nook", lines, "2027-03-16T09:00")
    (effect,) = [effect for found in trace.reached for effect in found.clocks if effect.clock == "release"]
    assert "not into a water that is exposed" in effect.says


def test_where_it_came_from_outside() -> None:
    lines = "2027-03-05 18:30 arrived first in nook\n2027-03-09 18:30 sign nook dust"
    trace = traced("tank", "nook", lines, "2027-03-10T09:00")
    first = trace.sources[0]
    assert (first.name, first.kind, first.level, first.says) == ("first", "outside", "direct", "from a shop, trusted")


def test_a_tub_dried_out_holds_nothing_any_more() -> None:
    lines = """
    2027-03-01 08:00 moved Ember from reef to "tub a"
    2027-03-03 08:00 moved Ember from "tub a" to ward
    2027-03-03 10:00 dried tub a
    2027-03-05 18:30 arrived first in tub a
    """.replace('"', "")
    tub = reached(traced("tank", "reef", lines, "2027-03-06T09:00"))["tub a"]
    assert tub.until == moment("2027-03-04T10:00")
    assert tub.ended == "it stood dry for 24 h"
    early = lines.replace("2027-03-05 18:30", "2027-03-04 09:00")
    assert reached(traced("tank", "reef", early, "2027-03-06T09:00"))["tub a"].until is None


def test_a_fallow_long_enough_ends_the_exposure() -> None:
    """amyloodinium 42 d (custom, agents 16); what lives without fish is never gone by waiting."""
    lines = """
    2027-03-01 08:00 moved rock from ward to long
    2027-04-20 08:00 moved rock from long to nook
    """
    asked = {"since": moment("2027-02-28T00:00")}
    gone = traced("tank", "ward", lines, "2027-04-21T09:00", agent="amyloodinium", **asked)
    long = reached(gone)["long"]
    assert long.until == moment("2027-03-01T08:00").astimezone(dt.UTC) + dt.timedelta(days=42)
    assert "nook" not in reached(gone)
    stays = traced("tank", "ward", lines, "2027-04-21T09:00", agent="uronema", **asked)
    assert reached(stays)["long"].until is None
    assert "nook" in reached(stays)


def with_air(air: str, gap: str, **more: Any) -> Room:
    return room(room={"air": air, "distances": [{"between": ["reef", "nook"], "gap": gap, **more}]})


@pytest.mark.parametrize(
    ("air", "gap", "more", "agent", "level"),
    [
        ("still", "44 cm", {}, "amyloodinium", "possible"),
        ("still", "45 cm", {}, "amyloodinium", None),
        ("moving", "3 m", {}, "amyloodinium", "possible"),
        ("moving", "3.1 m", {}, "amyloodinium", None),
        ("moving", "3.1 m ± 0.2 m", {}, "amyloodinium", "possible"),
        ("moving", "3 m", {"barrier": "yes"}, "amyloodinium", None),
        ("moving", "3 m", {}, "", "possible"),
        ("still", "2 m", {}, "cryptocaryon", "possible"),
        ("moving", "40 cm", {}, "neobenedenia", None),
    ],
)
def test_drops_go_as_far_as_was_measured(air: str, gap: str, more: Any, agent: str, level: str | None) -> None:
    """RT06, abstract: live dinospores at 440 mm in still air, 3 m in moving air; for white spot 3 m is taken over."""
    lines = "2027-03-01 08:00 sign reef dust"
    trace = traced("tank", "reef", lines, "2027-03-01T09:00", with_air(air, gap, **more), agent=agent)
    assert strengths(trace).get("nook") == level
    if level:
        assert reached(trace)["nook"].goes_on


def test_without_a_log_the_room_file_is_taken_and_that_is_said() -> None:
    trace = traced("tank", "reef", "", "2027-03-20T09:00", with_air("moving", "1 m"))
    assert not trace.from_log
    assert [problem.code for problem in trace.problems] == ["X611"]
    assert strengths(trace)["nook"] == "possible"
    assert {found.path[-1].way for found in reached(trace).values()} <= {"spray", "set"}


def test_without_a_log_a_batch_is_where_the_plan_has_it() -> None:
    trace = traced("batch", "first", "", "2027-03-20T09:00", room(gear={}))
    assert [(found.water, [stay.animal for stay in found.here]) for found in trace.reached] == [
        ("long", ["royal gramma"])
    ]


def test_a_record_that_begins_too_late_is_said() -> None:
    trace = traced("tank", "reef", "2027-03-01 08:00 fed reef", "2027-03-02T09:00")
    assert [problem.code for problem in trace.problems] == ["X612"]


def test_an_animal_that_was_nowhere_is_refused() -> None:
    known = room()
    told = history(known, "2027-03-01 08:00 fed reef", "2027-03-02T09:00")
    refusal = make_trace(known, told, Request(kind="batch", name="first"))
    assert isinstance(refusal, Refusal)
    assert refusal.first.code == "X613"


def test_only_what_comes_after_counts() -> None:
    lines = """
    2027-03-01 08:00 gear red set in reef
    2027-03-01 08:20 gear red set in ward
    """
    trace = traced("tank", "reef", lines, "2027-03-03T09:00", since=moment("2027-03-01T08:10"))
    assert strengths(trace) == {}
