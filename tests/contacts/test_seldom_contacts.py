"""Contacts that a log seldom holds: each is one way by which a water is exposed, or spared, that nothing else shows.

What a rule of the trade says is common practice, no published source; the hours and days are those of practice.md.
"""

from __future__ import annotations

import pytest

from contacts.test_jobs import reached, room, strengths, traced
from history.kept import batch, log_of, moment, typed
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


@pytest.mark.parametrize(("ticked", "is_clean"), [("2027-03-09 08:00 done first/transfers/dry/1", True), ("", False)])
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
