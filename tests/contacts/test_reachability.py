"""The trace against networkx: reachability in a time-expanded graph built from the same entries in the test."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from contacts.random_logs import (
    EVENTS,
    LEVELS,
    START,
    WATERS,
    Event,
    Told,
    could_reach,
    exposed_ever,
    graph_of,
    room,
    told,
)
from pratique.contacts.gather import basis_of
from pratique.contacts.model import Level, Record
from pratique.contacts.near import drops_of
from pratique.contacts.spread import Exposure, backward, forward
from pratique.contacts.trace import record_of
from pratique.contacts.whereabouts import whereabouts
from pratique.history.fold import fold
from pratique.schedule.model import Plan

ROOM = room()
MOMENTS = st.integers(-60, 60 * 24 * 14).map(lambda minutes: START + dt.timedelta(minutes=minutes))
NO_PLAN = Plan(batches=(), problems=())


def record(said: Told) -> Record:
    history = fold(ROOM, said.log, said.end)
    return record_of(basis_of(history, whereabouts(history, NO_PLAN)), drops_of(ROOM, ""), "")


def lasting(found: list[Exposure]) -> bool:
    return any(exposure.until is None for exposure in found)


def emptied(minutes: int, then: Event) -> list[Event]:
    """`c`, which stands near `d`, is emptied, noted dry, and so many minutes later something follows."""
    return [
        {"kind": "move", "after": 60, "by": "Ana", "animal": "fish c", "to": "b"},
        {"kind": "dried", "after": 10, "by": "Ana", "tank": "c"},
        {**then, "after": minutes, "by": "Ben"},
        {"kind": "gear", "after": 0, "by": "Ben", "gear": "red set", "tank": "c"},
        {"kind": "gear", "after": 0, "by": "Ben", "gear": "red set", "tank": "e"},
    ]


FED_C: Event = {"kind": "fed", "tank": "c"}
FED_E: Event = {"kind": "fed", "tank": "e"}
FILLED: list[Event] = [
    {"kind": "dried", "after": 0, "by": None, "tank": "d"},
    {"kind": "gear", "after": 25 * 60, "by": None, "gear": "red set", "tank": "d"},
    {"kind": "gear", "after": 181, "by": None, "gear": "red set", "tank": "b"},
]
"""A net in a tank that is just filled takes up what the drops bring."""


@settings(max_examples=150, deadline=None)
@example(events=emptied(25 * 60, FED_C), water="d", since=START, level="possible")
@example(events=FILLED, water="c", since=START, level="possible")
@example(events=emptied(24 * 60, FED_C), water="c", since=START, level="wet")
@example(events=emptied(24 * 60 - 10, FED_E), water="c", since=START, level="wet")
@example(events=emptied(25 * 60, FED_C), water="c", since=START, level="wet")
@given(events=EVENTS, water=st.sampled_from(WATERS), since=MOMENTS, level=st.sampled_from(LEVELS))
def test_forward_is_reachability(events: list[Event], water: str, since: dt.datetime, level: Level) -> None:
    said = told(events)
    graph = graph_of(said, level)
    since = min(since, said.end)
    spread = forward(record(said), [(("water", water), since)], level)
    reached = exposed_ever(graph, water, since)
    for other in WATERS:
        found = list(spread.get(("water", other), ()))
        assert bool(found) == any(place == other for place, _ in reached), other
        assert lasting(found) == ((other, graph.last) in reached), other
        steps = [step for place, step in reached if place == other and other != water]
        if steps:
            first = max(graph.times[min(steps)], since)
            assert found[0].at == first, other


BOTH_DRY: list[Event] = [
    {"kind": "move", "after": 0, "by": None, "animal": "fish left", "to": "b"},
    {"kind": "carry", "after": 0, "by": None, "thing": "water", "from_": "b", "to": "left"},
    {"kind": "dried", "after": 0, "by": None, "tank": "left"},
    {"kind": "dried", "after": 0, "by": None, "tank": "right"},
]


@settings(max_examples=150, deadline=None)
@example(events=BOTH_DRY, water="reef", level="direct")
@example(events=BOTH_DRY[:-1], water="reef", level="direct")
@example(events=emptied(25 * 60, FED_C), water="e", level="possible")
@example(events=emptied(24 * 60, FED_C), water="e", level="wet")
@example(events=emptied(25 * 60, FED_C), water="d", level="possible")
@given(events=EVENTS, water=st.sampled_from(WATERS), level=st.sampled_from(LEVELS))
def test_backward_is_reachability_the_other_way(events: list[Event], water: str, level: Level) -> None:
    said = told(events)
    graph = graph_of(said, level)
    spread = backward(record(said), [(("water", water), said.end)], level)
    sources = {place for place, step in could_reach(graph, water)}
    assert {name for kind, name in spread if kind == "water"} == sources & set(WATERS)


@settings(max_examples=150, deadline=None)
@given(events=EVENTS, one=st.sampled_from(WATERS), other=st.sampled_from(WATERS), since=MOMENTS)
def test_forward_and_backward_are_each_others_reverse(
    events: list[Event], one: str, other: str, since: dt.datetime
) -> None:
    said = told(events)
    contacts = record(said)
    since = min(since, said.end)
    for level in LEVELS:
        there = forward(contacts, [(("water", one), since)], level)
        back = backward(contacts, [(("water", other), said.end)], level)
        holds = [e for e in back.get(("water", one), ()) if e.at >= since and (e.until is None or e.until < since)]
        assert lasting(list(there.get(("water", other), ()))) == bool(holds)


@settings(max_examples=100, deadline=None)
@given(events=EVENTS, water=st.sampled_from(WATERS), since=MOMENTS)
def test_nobody_is_exposed_before_the_origin_and_every_path_goes_forward(
    events: list[Event], water: str, since: dt.datetime
) -> None:
    said = told(events)
    since = min(since, said.end)
    for level in LEVELS:
        for found in forward(record(said), [(("water", water), since)], level).values():
            for exposure in found:
                chain = exposure.chain()
                assert chain[0].at == since
                assert [e.at for e in chain] == sorted(e.at for e in chain)
                assert exposure.until is None or exposure.until >= exposure.at
                assert exposure.last >= exposure.at


def ever(record_: Record, water: str, since: dt.datetime, level: Level) -> dict[str, dt.datetime]:
    spread = forward(record_, [(("water", water), since)], level)
    return {name: found[0].at for (kind, name), found in spread.items() if kind == "water"}


@settings(max_examples=100, deadline=None)
@given(
    events=EVENTS,
    more=EVENTS.map(lambda events: [e for e in events if e["kind"] in ("gear", "carry", "fed")][:1]),
    place=st.integers(0, 28),
    water=st.sampled_from(WATERS),
)
def test_a_contact_more_never_exposes_fewer_or_later(
    events: list[Event], more: list[Event], place: int, water: str
) -> None:
    """It takes no time of its own, so that nothing else happens at another moment."""
    place = min(place, len(events))
    added = [{**event, "after": 0} for event in more]
    fewer, others = told(events), told([*events[:place], *added, *events[place:]])
    for level in LEVELS:
        before = ever(record(fewer), water, START, level)
        after = ever(record(others), water, START, level)
        assert set(before) <= set(after)
        assert all(after[name] <= at for name, at in before.items())


@settings(max_examples=60, deadline=None)
@given(events=EVENTS, water=st.sampled_from(WATERS))
def test_a_weaker_contact_counts_only_where_it_is_asked_for(events: list[Event], water: str) -> None:
    contacts = record(told(events))
    direct, wet, possible = (set(ever(contacts, water, START, level)) for level in LEVELS)
    assert direct <= wet <= possible


def test_the_random_logs_reach_every_way() -> None:
    """The strategy would prove little if its logs had no contacts: one log with each of them."""
    events: list[Event] = [
        {"kind": "move", "after": 0, "by": None, "animal": "fish b", "to": "d"},
        {"kind": "gear", "after": 60, "by": None, "gear": "red set", "tank": "d"},
        {"kind": "gear", "after": 24 * 60, "by": None, "gear": "red set", "tank": "e"},
        {"kind": "fed", "after": 10, "by": None, "tank": "left"},
    ]
    contacts = record(told(events))
    assert set(ever(contacts, "b", START, "direct")) == {"b", "d"}
    assert set(ever(contacts, "b", START, "wet")) == {"b", "d", "e"}
    assert set(ever(contacts, "b", START, "possible")) == {"b", "d", "c", "e", "reef"}


@pytest.mark.parametrize(("hours", "wet"), [(48, True), (49, False)])
def test_gear_is_wet_for_two_days(hours: int, wet: bool) -> None:
    """Visibly dry takes a day, then 24 h more: common practice, no published source (practice B20)."""
    events: list[Event] = [
        {"kind": "gear", "after": 0, "by": "Ana", "gear": "red set", "tank": "b"},
        {"kind": "gear", "after": hours * 60, "by": "Ana", "gear": "red set", "tank": "e"},
    ]
    assert ("e" in ever(record(told(events)), "b", START, "wet")) is wet
