"""Contacts that a log seldom holds: each is one way by which a water is exposed, or spared, that nothing else shows.

What a rule of the trade says is common practice, no published source; the hours and days are those of practice.md.
"""

from __future__ import annotations

import datetime as dt

import pytest

from contacts.test_jobs import reached, room, strengths, traced, with_air
from history.kept import batch, log_of, moment, typed
from pratique.contacts.model import Contact, Mark, Nearby, Node, Record
from pratique.contacts.spread import forward
from pratique.contacts.trace import Request, make_trace
from pratique.history.fold import fold
from pratique.problem import Refusal
from pratique.room.resolve import Room

DUST = "2027-03-12 08:00 sign reef dust"


def test_a_death_does_not_end_the_record() -> None:
    lines = f"""
    2027-03-01 08:00 died reef Ember
    2027-03-02 08:00 moved Lemon from reef to ward
    {DUST}
    """
    assert strengths(traced("tank", "reef", lines, "2027-03-12T09:00")) == {"ward": "direct"}


def test_a_thing_from_nobody_knows_where_may_have_been_in_any_exposed_water() -> None:
    trace = traced("tank", "reef", f"2027-03-11 08:00 moved rock to nook\n{DUST}", "2027-03-12T09:00")
    assert strengths(trace) == {"nook": "possible"}
    (hop,) = reached(trace)["nook"].path
    assert (hop.from_, hop.text) == ("a water nobody named", "rock carried in from nobody knows where")


def test_hands_of_somebody_who_went_on_where_nobody_signed() -> None:
    """An entry without a name may be anybody's: the name of the next one is said. A note puts no hand into a tank."""
    where = room()
    lines = "2027-03-11 18:00 fed reef\n2027-03-11 18:05 note the ward looks empty\n2027-03-11 18:10 fed nook"
    entries = typed(where, lines)
    entries[-1] = entries[-1].model_copy(update={"by": "Ana"})
    trace = make_trace(
        where, fold(where, log_of(entries), moment("2027-03-12T09:00")), Request(kind="tank", name="reef")
    )
    assert not isinstance(trace, Refusal)
    assert strengths(trace) == {"nook": "possible"}
    assert reached(trace)["nook"].path[0].text == "hands of Ana, 10 min after main"


def test_what_was_done_at_the_moment_that_is_asked_about_counts() -> None:
    lines = "2027-03-12 08:00 sign reef dust\n2027-03-12 08:50 fed reef\n2027-03-12 09:00 fed nook"
    assert strengths(traced("tank", "reef", lines, "2027-03-12T09:00")) == {"nook": "possible"}
    assert strengths(traced("tank", "reef", lines, "2027-03-12T08:59")) == {}


def tubs() -> Room:
    return room(batches={"first": batch("2027-03-05T18:30", "untrusted", "yellow tang")})


@pytest.mark.parametrize(
    ("ticked", "is_clean"),
    [("2027-03-09 08:00 done first/transfers/dry/1", True), ("2027-03-09 08:00 done first/transfers/strip/1", False),
     ("", False)],
)  # fmt: skip
def test_a_tub_whose_drying_was_only_ticked_has_dried(ticked: str, is_clean: bool) -> None:
    """The first move leaves tub a on 8 March; it stands dry for 24 h from its tick on."""
    lines = f"""
    2027-03-05 18:30 arrived first in tub a
    2027-03-06 08:00 sign tub a dust
    2027-03-08 18:30 moved first from tub a to tub b
    {ticked}
    """
    tub = reached(traced("tank", "tub b", lines, "2027-03-12T09:00", tubs()))["tub a"]
    assert tub.until == (moment("2027-03-10T08:00") if is_clean else None)


def test_a_water_with_a_sump_is_never_dry_by_its_tanks() -> None:
    lines = """
    2027-03-01 08:00 moved Ember from reef to ward
    2027-03-01 08:05 moved Lemon from reef to ward
    2027-03-01 08:10 moved Turbo from reef to ward
    2027-03-01 08:15 moved Torch from refuge to ward
    2027-03-02 08:00 dried reef
    2027-03-02 08:00 dried refuge
    2027-03-12 08:00 sign ward dust
    """
    with_sump = reached(traced("tank", "ward", lines, "2027-03-12T09:00"))["main"]
    assert (with_sump.level, with_sump.until) == ("direct", None)
    where = room(waters={"main": {"salinity": "35 g/kg", "temperature": "25.5 degC"}})
    without = reached(traced("tank", "ward", lines, "2027-03-12T09:00", where))["main"]
    assert without.until == moment("2027-03-03T08:00")


def test_a_net_that_was_here_first_and_is_wet_with_it_now_exposes_nothing_here() -> None:
    lines = f"2027-03-11 08:00 gear red set in nook\n2027-03-11 09:00 gear red set in reef\n{DUST}"
    trace = traced("tank", "reef", lines, "2027-03-12T09:00")
    assert strengths(trace) == {}
    (nook,) = [entry for entry in trace.unexposed if entry.water == "nook"]
    assert nook.why[0] == "red set was here on Thu 11 Mar, before it was in an exposed water"


@pytest.mark.parametrize(
    ("again", "since"),
    [("gear red set in reef\n2027-03-08 08:30 gear red set in long", "08T08:30"),
     ("fed reef\n2027-03-08 08:30 fed long", "03T08:00")],
    ids=["wet", "hands"],
)  # fmt: skip
def test_days_of_a_hold_count_from_the_latest_wet_contact(again: str, since: str) -> None:
    """Hands after it are possible only and put nothing off."""
    lines = f"2027-03-03 08:00 moved Torch from refuge to long\n2027-03-08 08:00 {again}\n{DUST}"
    trace = traced("tank", "reef", lines, "2027-03-12T09:00")
    (torch,) = [item for item in trace.held if item.what == "Torch"]
    assert torch.since == moment(f"2027-03-{since}")


def test_a_hold_in_a_water_reached_by_hands_alone_counts_from_the_first_of_them() -> None:
    lines = f"""
    2027-03-08 08:00 fed reef
    2027-03-08 08:30 fed long
    2027-03-10 08:00 fed reef
    2027-03-10 08:30 fed long
    {DUST}
    """
    trace = traced("tank", "reef", lines, "2027-03-12T09:00")
    (rock,) = [item for item in trace.held if item.water == "long"]
    assert (rock.what, rock.since) == ("rock and sand of long", moment("2027-03-08T08:30"))


def test_corals_that_are_held_are_counted() -> None:
    corals = [{"species": "torch coral", "name": "Torch", "count": 3, "tank": "reef"}]
    trace = traced("tank", "reef", DUST, "2027-03-12T09:00", room(animals=corals))
    assert "3 Torch" in {item.what for item in trace.held}


def test_a_batch_that_came_into_an_exposed_water_loses_no_day_from_before_it_came() -> None:
    """The water was exposed on the 1st; the batch came on the 5th, and its watch is put back to no earlier day."""
    lines = """
    2027-03-01 08:00 gear red set in reef
    2027-03-01 08:20 gear red set in long
    2027-03-05 18:30 arrived first in long
    2027-03-12 08:00 sign reef dust
    """
    (effect,) = [e for e in reached(traced("tank", "reef", lines, "2027-03-12T09:00"))["long"].clocks if e.batch]
    assert (effect.clock, effect.at) == ("watch", moment("2027-03-05T18:30"))


def test_where_an_animal_was_before_is_on_its_path_and_not_its_origin() -> None:
    lines = f"2027-03-10 08:00 moved Lemon from reef to ward\n{DUST}"
    trace = traced("animal", "Lemon", lines, "2027-03-12T09:00")
    assert [found.water for found in trace.reached if found.is_origin] == ["ward"]
    (hop,) = reached(trace)["main"].path
    assert (hop.from_, hop.text) == ("Lemon", "the animals asked about were here")


def test_gear_nobody_wrote_down_is_named_up_to_four() -> None:
    sets = {f"set {number}": {"for": "all"} for number in range(1, 6)}
    for count, said in ((4, "set 1, set 2, set 3, set 4 is on record"), (5, "set 4 and more is on record")):
        where = room(gear=dict(list(sets.items())[:count]))
        notes = traced("tank", "reef", DUST, "2027-03-12T09:00", where).notes
        assert any(said in note for note in notes), notes


def test_a_sign_at_the_moment_counted_from_is_told_of_a_source() -> None:
    lines = "2027-03-01 08:00 sign reef dust\n2027-03-02 08:00 moved Lemon from reef to ward"
    trace = traced("tank", "ward", lines, "2027-03-12T09:00", since=moment("2027-03-01T08:00"))
    assert [(source.name, source.signs) for source in trace.sources] == [("main", ("dust",))]


@pytest.mark.parametrize(("second", "level"), [("11:00", "possible"), ("11:01", None)])
def test_acts_three_hours_apart_are_still_one_round_of_work(second: str, level: str | None) -> None:
    """contacts, `round`: 3 h."""
    lines = f"2027-03-11 08:00 fed reef\n2027-03-11 {second} fed nook\n{DUST}"
    assert strengths(traced("tank", "reef", lines, "2027-03-12T09:00")).get("nook") == level


def test_an_animal_takes_it_along_from_each_water_it_was_in() -> None:
    """A net went from the first water to another before the animal had moved on."""
    lines = """
    2027-03-02 08:00 gear red set in reef
    2027-03-02 08:20 gear red set in nook
    2027-03-03 08:00 moved Lemon from reef to ward
    2027-03-12 08:00 sign ward dust
    """
    trace = traced("animal", "Lemon", lines, "2027-03-12T09:00")
    assert strengths(trace) == {"main": "direct", "nook": "wet"}
    assert reached(trace)["nook"].since == moment("2027-03-02T08:20")


def test_a_batch_that_came_this_minute_is_where_it_came_to() -> None:
    come = "2027-03-05 18:30 arrived first in long"
    trace = traced("batch", "first", come, "2027-03-05T18:30")
    assert [found.water for found in trace.reached if found.is_origin] == ["long"]
    planned = traced("batch", "first", "", "2027-03-05T18:30", room(gear={}))
    assert [found.water for found in planned.reached if found.is_origin] == ["long"]


def test_what_was_with_those_that_came_as_the_sign_was_seen_is_exposed() -> None:
    """Lemon comes into the ward at the minute of the sign: where it had been is exposed from before it came."""
    lines = "2027-03-12 08:00 moved Lemon from reef to ward\n2027-03-12 08:00 sign ward dust"
    assert strengths(traced("tank", "ward", lines, "2027-03-12T09:00")) == {"main": "direct"}


@pytest.mark.parametrize(
    ("lines", "days"),
    [("", 42), ("2027-03-21 08:00 gear red set in ward\n2027-03-21 08:20 gear red set in long", 62),
     ("2027-03-21 08:20 moved rock from ward to long", 62),
     ("2027-03-21 08:20 gear red set in long\n2027-03-21 09:00 gear red set in long", 42)],
    ids=["none", "a net from an exposed water", "rock from there", "a net of its own"],
)  # fmt: skip
def test_what_comes_in_wet_from_elsewhere_puts_off_the_end_of_a_fallow(lines: str, days: int) -> None:
    """amyloodinium 42 d (custom, agents 16), counted from the last that came in wet: 20 days after the rock."""
    log = f"2027-03-01 08:00 moved rock from ward to long\n{lines}\n2027-05-20 08:00 fed reef"
    since = moment("2027-02-28T00:00")
    found = reached(traced("tank", "ward", log, "2027-05-21T09:00", agent="amyloodinium", since=since))["long"]
    first = moment("2027-03-01T08:00" if days == 42 else "2027-03-01T08:20").astimezone(dt.UTC)
    assert found.until == first + dt.timedelta(days=days)


def test_waters_whose_distance_nobody_wrote_down_are_counted() -> None:
    """Seven tanks, two of them on one water: 15 pairs of waters, of which one was measured."""
    where = room(room={"air": "moving", "distances": [{"between": ["reef", "nook"], "gap": "4 m"}]})
    assert len(where.waters) == 6
    notes = traced("tank", "reef", DUST, "2027-03-12T09:00", where).notes
    assert any("; 14 of 15 pairs of waters have no distance in the room file" in note for note in notes), notes
    none = traced("tank", "reef", DUST, "2027-03-12T09:00").notes
    assert any("no distance between tanks is in the room file" in note for note in none), none


def test_where_a_net_got_it_from_and_what_disinfects_it() -> None:
    lines = "2027-03-11 08:00 gear red set in reef"
    shelf = {"bleach": {"active": "chlorine", "strength": "5 % w/v as NaOCl", "left": "1 L"}}
    trace = traced("gear", "red set", lines, "2027-03-12T09:00", room(shelf=shelf))
    (source,) = [source for source in trace.sources if source.name == "main"]
    assert [(hop.from_, hop.to, hop.way) for hop in source.path] == [("main", "red set", "gear")]
    (gear,) = traced("tank", "reef", f"{lines}\n{DUST}", "2027-03-12T09:00", room(shelf=shelf)).to_clean
    assert gear.commands == (
        "pratique dip chlorine-disinfection --for 'red set'",
        "pratique dip drying --for 'red set'",
    )
    (gear,) = traced("tank", "reef", f"{lines}\n{DUST}", "2027-03-12T09:00").to_clean
    assert gear.commands == ("pratique dip drying --for 'red set'",)


def test_a_water_left_before_the_days_that_count_is_none_of_it() -> None:
    lines = f"2027-03-05 08:00 moved Lemon from reef to ward\n{DUST}"
    left = moment("2027-03-05T08:00")
    assert strengths(traced("animal", "Lemon", lines, "2027-03-12T09:00", since=left)) == {}
    before = traced("animal", "Lemon", lines, "2027-03-12T09:00", since=left - HOUR)
    assert strengths(before) == {"main": "direct"}


AT, HOUR = moment("2027-03-01T08:00"), dt.timedelta(hours=1)


def near(*pairs: tuple[str, str]) -> dict[Node, tuple[tuple[Node, Nearby], ...]]:
    """Waters within the reach of drops."""
    found: dict[Node, list[tuple[Node, Nearby]]] = {}
    for one, other in pairs:
        link = Nearby(one=one, other=other, way="spray", what="40 cm apart")
        found.setdefault(("water", one), []).append((("water", other), link))
        found.setdefault(("water", other), []).append((("water", one), link))
    return {node: tuple(links) for node, links in found.items()}


@pytest.mark.parametrize(
    ("gap", "more", "said"),
    [("3.1 m", {}, "3.1 m from main: drops go 3 m"),
     ("1 m", {"barrier": "yes"}, "something stands between it and main, so no drop passes")],
)  # fmt: skip
def test_a_water_that_drops_do_not_reach_says_why(gap: str, more: dict[str, str], said: str) -> None:
    trace = traced("tank", "reef", DUST, "2027-03-12T09:00", with_air("moving", gap, **more))
    why = {entry.water: entry.why for entry in trace.unexposed}
    assert said in why["nook"]
    assert said not in why["ward"]


@pytest.mark.parametrize("turn", [1, -1])
def test_of_two_distances_between_two_waters_the_nearer_counts(turn: int) -> None:
    """The reef stands 4 m from the nook, its refuge 1 m: they are one water."""
    far, close = {"between": ["reef", "nook"], "gap": "4 m"}, {"between": ["refuge", "nook"], "gap": "1 m"}
    where = room(room={"air": "moving", "distances": [far, close][::turn]})
    assert strengths(traced("tank", "reef", DUST, "2027-03-12T09:00", where)) == {"nook": "possible"}


def test_what_came_from_a_water_before_it_was_exposed_is_told() -> None:
    lines = f"""
    2027-03-02 08:00 moved rock from long to nook
    2027-03-05 08:00 moved Ember from reef to long
    {DUST}
    """
    since = moment("2027-03-01T00:00")
    trace = traced("tank", "reef", lines, "2027-03-12T09:00", since=since)
    assert strengths(trace) == {"long": "direct"}
    why = {entry.water: entry.why for entry in trace.unexposed}
    assert "rock came from long on Tue 2 Mar, before it was exposed, or after it was clean" in why["nook"]


@pytest.mark.parametrize("order", [("wet", "dry"), ("dry", "wet")])
def test_drops_come_from_any_of_those_near_by_that_holds_water(order: tuple[str, str]) -> None:
    """Of two exposed waters near a third one stands dry: when the third is filled, the other reaches it."""
    record = Record(
        items=(
            Mark(AT, ("water", "third"), "dry"),
            Contact(AT + HOUR, ("water", "source"), ("water", "wet"), "gear", "wet"),
            Contact(AT + HOUR, ("water", "source"), ("water", "dry"), "gear", "wet"),
            Mark(AT + 2 * HOUR, ("water", "dry"), "dry"),
            Mark(AT + 3 * HOUR, ("water", "third"), "wet"),
        ),
        waters=tuple(("water", name) for name in ("source", "wet", "dry", "third")),
        near=near(*(("third", name) for name in order)),
    )
    (found,) = forward(record, [(("water", "source"), AT)], "possible")["water", "third"]
    assert found.at == AT + 3 * HOUR
    assert found.before is not None and found.before.node == ("water", "wet")
