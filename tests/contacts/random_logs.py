"""Random logs of a small room, and the same contacts as a time-expanded graph, built here from the entries alone.

A node of the graph is (place, step): a water, a set of gear or a person after so many steps. Nothing of
`pratique.contacts` is used for it; the rules are those of `docs`: gear is wet for 48 h or until 24 h after it was noted
dry, hands for one round of 3 h, a tank is clean 24 h after it was noted dry and empty.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

import networkx as nx
from hypothesis import strategies as st

from pratique.logbook.book import Log, build_log
from pratique.logbook.entry import KINDS, Common
from pratique.logbook.ids import Ids
from pratique.room.resolve import Room
from schedule_rooms import build, tank

START = dt.datetime(2027, 3, 1, 8, tzinfo=dt.UTC)
TANKS = {"left": "reef", "right": "reef", "b": "b", "c": "c", "d": "d", "e": "e"}
"""Tank to water: two of them share one."""

WATERS = tuple(dict.fromkeys(TANKS.values()))
FISH = {f"fish {name}": name for name in ("left", "b", "c")}
GEAR = ("red set", "white set")
PEOPLE = (None, "Ana", "Ben")
NEAR = ("c", "d")
LEVELS = ("direct", "wet", "possible")

Event = dict[str, Any]


def room(*, sprays: bool = True) -> Room:
    """Two tanks on one sump, four of their own; `c` and `d` stand 40 cm apart."""
    tanks = {name: tank("ward") for name in TANKS}
    shared = {"water": "reef"}
    for name in ("left", "right"):
        tanks[name] = {"use": "display", "volume": {"measured": "60 L ± 1 L"}, **shared}
    about: dict[str, Any] = {"distances": [{"between": list(NEAR), "gap": "40 cm"}]} if sprays else {}
    return build(
        tanks=tanks,
        waters={"reef": {"salinity": "35 g/kg", "temperature": "25 degC"}},
        animals=[{"species": "yellow tang", "name": name, "tank": where} for name, where in FISH.items()],
        batches={},
        room=about,
    )


def _event(kind: str, **fields: st.SearchStrategy[Any]) -> st.SearchStrategy[Event]:
    delays = st.sampled_from([0, 0, 10, 60, 175, 181, 300, 23 * 60, 24 * 60, 25 * 60, 48 * 60, 49 * 60])
    return st.fixed_dictionaries({"kind": st.just(kind), "after": delays, "by": st.sampled_from(PEOPLE), **fields})


_TANK = st.sampled_from(sorted(TANKS))
_GEAR = st.sampled_from(GEAR)
EVENTS = st.lists(
    st.one_of(
        _event("move", animal=st.sampled_from(sorted(FISH)), to=_TANK),
        _event("gear", gear=_GEAR, tank=_TANK),
        _event("gear", gear=_GEAR, tank=_TANK),
        _event("carry", thing=st.sampled_from(["rock", "water"]), from_=_TANK, to=_TANK),
        _event("fed", tank=_TANK),
        _event("dried", tank=_TANK),
        _event("dried", gear=_GEAR),
    ),
    max_size=28,
)


@dataclass
class Told:
    """A log, and for each entry what it says in plain words."""

    log: Log
    events: list[Event] = field(default_factory=list)

    @property
    def end(self) -> dt.datetime:
        return (self.events[-1]["at"] if self.events else START) + dt.timedelta(hours=80)


def told(events: Iterable[Event]) -> Told:
    """The events as a log; those that make no sense (to where it is already) are left out."""
    ids, entries, kept = Ids(), list[Common](), list[Event]()
    at, where = START, dict(FISH)
    for event in events:
        at += dt.timedelta(minutes=event["after"])
        fields: dict[str, Any] = {key: event[key] for key in ("tank", "gear") if key in event}
        kind, event = event["kind"], {**event, "at": at}
        if kind == "move":
            if where[event["animal"]] == event["to"]:
                continue
            event["from_"] = where[event["animal"]]
            where[event["animal"]] = event["to"]
            fields = {"animals": (event["animal"],), "from": event["from_"], "to": event["to"]}
        elif kind == "carry":
            if event["from_"] == event["to"]:
                continue
            kind, fields = "move", {"things": (event["thing"],), "from": event["from_"], "to": event["to"]}
        common = {"id": ids.new(at), "at": at, "written": at, "by": event["by"]}
        entries.append(KINDS[kind].model_validate({**common, **fields}))
        kept.append(event)
    log, findings = build_log(entries)
    assert not findings
    assert [entry.id for entry in log.entries] == [entry.id for entry in entries]
    return Told(log, kept)


@dataclass
class Graph:
    """The time-expanded graph; `times` has the moment of each step, `last` is the number of the last step."""

    graph: Any = field(default_factory=nx.DiGraph)
    times: list[dt.datetime] = field(default_factory=lambda: [START - dt.timedelta(days=400)])
    places: set[str] = field(default_factory=lambda: {*WATERS, *GEAR})

    @property
    def last(self) -> int:
        return len(self.times) - 1

    def step(self, at: dt.datetime, edges: Iterable[tuple[str, str]], lost: Iterable[str] = ()) -> None:
        """Everything stays where it is save in the places that are `lost`, and goes along the edges."""
        now = self.last
        gone = set(lost)
        self.times.append(at)
        for place in self.places - gone:
            self.graph.add_edge((place, now), (place, now + 1))
        for from_, to in edges:
            if from_ not in gone:
                self.graph.add_edge((from_, now), (to, now + 1))

    def near(self, one: str, other: str) -> None:
        """At this step each can give to the other."""
        self.graph.add_edge((one, self.last), (other, self.last))
        self.graph.add_edge((other, self.last), (one, self.last))

    def start(self, at: dt.datetime) -> int:
        """The step before whatever happens at `at` or later."""
        return max(step for step, time in enumerate(self.times) if step == 0 or time < at)


def graph_of(said: Told, level: str, *, sprays: bool = True) -> Graph:
    """The contacts of `level` or stronger."""
    return _Builder(said, level, sprays=sprays).graph


class _Builder:
    def __init__(self, said: Told, level: str, *, sprays: bool) -> None:
        self.graph = Graph()
        self.allowed = LEVELS[: LEVELS.index(level) + 1]
        self.sprays = sprays and "possible" in self.allowed
        self.events, self.end = said.events, said.end
        self.fish = dict(FISH)
        self.dry_tanks: set[str] = set()
        self.dry_waters: set[str] = set()
        self.clean: list[tuple[dt.datetime, str]] = []
        self.used: dict[str, dt.datetime] = {}
        self.dried: dict[str, list[dt.datetime]] = {}
        self.worked: dict[str, dt.datetime] = {}
        self._spray()
        for event in self.events:
            self._clean_before(event["at"])
            self._take(event)
        self._clean_before(self.end + dt.timedelta(seconds=1))

    def _spray(self) -> None:
        if self.sprays and not any(name in self.dry_waters for name in NEAR):
            self.graph.near(*NEAR)

    def _clean_before(self, at: dt.datetime) -> None:
        """Dry tanks whose 24 h ended before this moment hold nothing any more."""
        for end, place in sorted(self.clean):
            if end < at:
                self.clean.remove((end, place))
                self.graph.step(end, (), lost=[place])
                self._spray()

    def _take(self, event: Event) -> None:
        at, kind = event["at"], event["kind"]
        wetted = event.get("to") or (event["tank"] if kind in ("gear", "fed") else "")
        if wetted:
            self._wet(wetted, at)
        edges: list[tuple[str, str]] = []
        lost: list[str] = []
        if kind == "move":
            self.fish[event["animal"]] = event["to"]
            edges = [self._pair(event)]
        elif kind == "carry" and ("wet" if event["thing"] == "rock" else "direct") in self.allowed:
            edges = [self._pair(event)]
        elif kind == "gear" and "wet" in self.allowed:
            lost = [event["gear"]] if self._is_dry(event["gear"], at) else []
            edges = [(event["gear"], TANKS[event["tank"]]), (TANKS[event["tank"]], event["gear"])]
        if kind == "gear":
            self.used[event["gear"]] = at
        self.graph.step(at, edges, lost)
        self._spray()
        if kind == "dried" and "gear" in event:
            self.dried.setdefault(event["gear"], []).append(at)
        elif kind == "dried":
            self._dry(event["tank"], at)
        self._hands(event)

    def _dry(self, name: str, at: dt.datetime) -> None:
        """A water is dry once all its tanks are, and no fish is in any of them."""
        water = TANKS[name]
        if any(TANKS[where] == water for where in self.fish.values()):
            return
        self.dry_tanks.add(name)
        if water not in self.dry_waters and all(tank in self.dry_tanks for tank in TANKS if TANKS[tank] == water):
            self.dry_waters.add(water)
            self.clean.append((at + dt.timedelta(hours=24), water))

    def _wet(self, name: str, at: dt.datetime) -> None:
        """Water goes in first, and drops with it; then whatever the entry is about."""
        water = TANKS[name]
        self.dry_tanks.discard(name)
        if water in self.dry_waters:
            self.dry_waters.discard(water)
            self.clean = [entry for entry in self.clean if entry[1] != water]
            self.graph.step(at, ())
            self._spray()

    def _pair(self, event: Event) -> tuple[str, str]:
        return TANKS[event["from_"]], TANKS[event["to"]]

    def _is_dry(self, gear: str, at: dt.datetime) -> bool:
        last = self.used.get(gear)
        if last is None:
            return False
        noted = [moment for moment in self.dried.get(gear, []) if last <= moment < at - dt.timedelta(hours=24)]
        return at - last > dt.timedelta(hours=48) or bool(noted)

    def _hands(self, event: Event) -> None:
        if "possible" not in self.allowed:
            return
        for tank_ in [event[key] for key in ("from_", "to", "tank") if key in event]:
            at, who = event["at"], f"hands of {event['by']}"
            fresh = who in self.worked and at - self.worked[who] <= dt.timedelta(hours=3)
            self.graph.places.add(who)
            self.worked[who] = at
            others = set(self.worked) if event["by"] is None else {who, "hands of None"} & set(self.worked)
            giving = [h for h in others if at - self.worked[h] <= dt.timedelta(hours=3)]
            water = TANKS[tank_]
            self.graph.step(at, [(hand, water) for hand in giving], lost=[] if fresh else [who])
            self._spray()
            self.graph.step(at, [(water, who)])
            self._spray()


def exposed_ever(graph: Graph, water: str, at: dt.datetime) -> set[tuple[str, int]]:
    """Every (place, step) that can be reached from `water` at the moment `at`."""
    begin = (water, graph.start(at))
    if begin not in graph.graph:
        return {begin}
    return {begin, *nx.descendants(graph.graph, begin)}


def could_reach(graph: Graph, water: str) -> Iterator[tuple[str, int]]:
    """Every (place, step) from which `water` at the end can be reached."""
    end = (water, graph.last)
    yield end
    if end in graph.graph:
        yield from nx.ancestors(graph.graph, end)
