"""When a water is safe again without fish: since when it counts, by which agent it ends when, what may come in.

The dates are those of the clock `fallow`; an agent that lives without fish gets none. A risk curve over the same days
is `pratique.risk.for_fallow`: the page and the JSON take it as one more part, and nothing here depends on it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pratique.clocks.fallow import Brought, FallowRule, Fish, Temperature, fallow_clock
from pratique.clocks.rules import fallow_rule
from pratique.clocks.state import Break, ClockState
from pratique.history.events import Stay
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Pathogen, Sourced
from pratique.problem import Problem
from pratique.response.fallow_doubts import doubts
from pratique.response.fallow_entry import ComesIn, comes_in
from pratique.response.fallow_events import Record, record_of
from pratique.room.resolve import Room
from pratique.room.values import pathogen_for
from pratique.schedule.calendar import elapsed_hours, instant, plus_hours

Basis = Literal["log", "said", "if"]
"""Counted from what is on record, from the day the keeper names, or as if the last fish came out at that moment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """`tank` a tank of the water; `since` the day the keeper says the last fish came out, None to go by the record;
    `agents` those asked about, all where empty."""

    tank: str
    since: dt.datetime | None = None
    agents: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """One figure in print with the days it ends on (`first` and `last` of its range).

    `part`: `used` decides the date; `warm` holds only where it was that warm all the while; `shorter` is in print
    and not counted on; `longer` holds in the cold or is the keeper's own choice not taken.
    """

    figure: Sourced
    part: Literal["used", "warm", "shorter", "longer"]
    first: dt.datetime
    last: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class AgentFallow:
    """One agent. `end` is None where it gets no date: `why_not` then says why (it lives without fish; it is too cold).

    `warm_end` is the end if every temperature from now on is on record and warm enough.
    """

    pathogen: Pathogen
    state: ClockState
    end: dt.datetime | None
    warm_end: dt.datetime | None
    used: Sourced | None
    published: tuple[Published, ...]
    why_not: str = ""

    @property
    def is_over(self) -> bool:
        """True where its days are full."""
        return self.end is not None and self.state.finished is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What a fish found now would cost: hours lost, and the end of the longest if it came out at once."""

    lost: float
    end: dt.datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fallow:
    """The answer for the whole water. `fish` are those still in it: the clock then stands at nought.

    `began` is the moment counted from; `agents` in order of their ends, those without a date last; `last` decides.
    """

    tank: str
    water: str
    tanks: tuple[str, ...]
    at: dt.datetime
    basis: Basis
    began: dt.datetime
    fish: tuple[str, ...]
    breaks: tuple[Break, ...]
    agents: tuple[AgentFallow, ...]
    here: tuple[Stay, ...]
    entries: tuple[ComesIn, ...]
    found: Found
    bare: bool
    problems: tuple[Problem, ...]

    @property
    def last(self) -> AgentFallow | None:
        """The agent whose end is the latest; None where none of them has a date."""
        dated = [agent for agent in self.agents if agent.end is not None]
        return dated[-1] if dated else None

    @property
    def waits(self) -> tuple[AgentFallow, ...]:
        """Those that have a figure, and no date while it stays as it is: too cold for it to count."""
        return tuple(agent for agent in self.agents if agent.end is None and agent.used is not None)

    @property
    def days(self) -> float:
        """Elapsed days from `began` to now, nought where it lies ahead or fish are there."""
        return 0.0 if self.basis == "if" or self.fish else max(elapsed_hours(self.began, self.at) / 24, 0.0)


def make_fallow(room: Room, history: History, asked: Asked) -> Fallow:
    """Every date of the water of `asked.tank` at the moment of the history. KeyError for an unknown tank or agent."""
    record = record_of(room, history, asked.tank)
    fish = tuple(record.fish())
    began, basis = _begin(record, fish, asked)
    events = _Events(record, fish if basis == "log" else (*_after(fish, began), *_out_at(began)), began, basis)
    agents = asked.agents or store.pathogen_ids()
    found = sorted((_agent(events, pathogen_for(room, id_)) for id_ in agents), key=_by_end)
    standing = tuple(stay for stay in record.here if record.is_fish(stay.batch, stay.animal))
    last = next((agent for agent in reversed(found) if agent.end is not None), None)
    state = last.state if last is not None else found[0].state
    if state.started is not None:
        began = state.started
    names = tuple(dict.fromkeys(stay.animal for stay in standing))
    return Fallow(
        tank=asked.tank,
        water=record.water.name,
        tanks=tuple(tank.name for tank in record.water.tanks),
        at=history.at,
        basis=basis,
        began=began,
        fish=names,
        breaks=state.breaks if basis != "if" else (),
        agents=tuple(found),
        here=tuple(stay for stay in record.here if not record.is_fish(stay.batch, stay.animal)),
        entries=_entries(room, asked, last, history.at),
        found=_cost(last, began, history.at, "if" if names else basis),
        bare=all(tank.written.substrate == "bare" and tank.written.rock == "none" for tank in record.water.tanks),
        problems=tuple(doubts(record, asked.since, names, never=not fish)),
    )


def _begin(record: Record, fish: tuple[Fish, ...], asked: Asked) -> tuple[dt.datetime, Basis]:
    """What the keeper says comes first; then the record; where fish are in it, or none ever were, as if from now."""
    if asked.since is not None:
        return asked.since, "said" if instant(asked.since) <= instant(record.history.at) else "if"
    standing = any(record.is_fish(stay.batch, stay.animal) for stay in record.here)
    if standing or not fish:
        return record.history.at, "if"
    left = [one.at for one in fish if one.change < 0]
    return max(left, key=instant, default=record.history.at), "log"


def _after(fish: tuple[Fish, ...], began: dt.datetime) -> Iterator[Fish]:
    """Fish that came or were found after the day named; those that left then were counted as out by it."""
    inside: dict[str, int] = {}
    for one in sorted(fish, key=lambda one: instant(one.at)):
        if instant(one.at) <= instant(began):
            continue
        if one.change > 0:
            inside[one.who] = inside.get(one.who, 0) + one.change
            yield one
        elif inside.get(one.who, 0) >= -one.change:
            inside[one.who] += one.change
            yield one


def _out_at(began: dt.datetime) -> tuple[Fish, Fish]:
    """Whoever was in it, out at that moment."""
    before = instant(began) - dt.timedelta(hours=1)
    return Fish(at=before, change=1, who="the last fish"), Fish(at=began, change=-1, who="the last fish")


class _Events:
    """The events of one water, and the moment its clocks are read at: now, or a day one that lies ahead."""

    def __init__(self, record: Record, fish: tuple[Fish, ...], began: dt.datetime, basis: Basis) -> None:
        self.record, self.fish, self.basis = record, fish, basis
        self.at = max(record.history.at, began, key=instant)
        self.temperatures = tuple(record.temperatures())

    def brought(self, hours: float | None) -> tuple[Brought, ...]:
        return () if self.basis == "if" else tuple(self.record.brought(hours))

    @property
    def now(self) -> Temperature | None:
        """The last temperature there is."""
        known = [reading for reading in self.temperatures if instant(reading.at) <= instant(self.at)]
        return max(known, key=lambda reading: instant(reading.at), default=None)


def _agent(events: _Events, pathogen: Pathogen) -> AgentFallow:
    rule = fallow_rule(pathogen)
    needed = rule.long.value if rule.long is not None else None
    state = fallow_clock(
        events.fish, events.brought(needed), events.temperatures, rule=rule, at=events.at
    )  # fmt: skip
    cold = _too_cold(events, rule)
    why_not = rule.no_date or cold
    end = None if why_not or state.started is None else state.done_at
    if state.finished is not None:
        end, why_not = state.finished, ""
    return AgentFallow(
        pathogen=pathogen,
        state=state,
        end=end,
        warm_end=_warm_end(state, rule),
        used=rule.long if state.needed is None or rule.warm is None or state.needed != rule.warm.value else rule.warm,
        published=tuple(_published(pathogen, rule, state)),
        why_not=why_not,
    )


def _too_cold(events: _Events, rule: FallowRule) -> str:
    coldest, reading = rule.warmth.coldest, events.now
    if rule.long is None or coldest is None or reading is None or reading.low >= coldest:
        return ""
    return f"at {reading.low:g} °C its days do not count: below {coldest:g} °C it outlives them; warm the water first"


def _warm_end(state: ClockState, rule: FallowRule) -> dt.datetime | None:
    if rule.warm is None or state.started is None or state.finished is not None:
        return None
    return next((other.done_at for other in state.instead if "warm" in other.choice), None) or (
        state.done_at if state.needed == rule.warm.value else None
    )


def _published(pathogen: Pathogen, rule: FallowRule, state: ClockState) -> Iterator[Published]:
    """All figures in print, the shortest first, each as days after the day one that counts."""
    start = state.started
    if start is None or rule.long is None:
        return
    known = [*pathogen.numbers.get("fallow", ()), *pathogen.numbers.get("fallow_warm", ())]
    known += pathogen.numbers.get("fallow_not_for_use", ())
    for figure in sorted(known, key=lambda figure: (figure.high, figure.low)):
        part: Literal["used", "warm", "shorter", "longer"] = "shorter" if figure.high < rule.long.value else "longer"
        if figure is rule.long:
            part = "used"
        elif rule.warm is not None and figure is rule.warm:
            part = "warm"
        yield Published(
            figure=figure, part=part, first=plus_hours(start, figure.low), last=plus_hours(start, figure.high)
        )


def _by_end(agent: AgentFallow) -> tuple[bool, bool, float, str]:
    late = agent.end is None
    return late, agent.used is None, agent.end.timestamp() if agent.end is not None else 0.0, agent.pathogen.short


def _entries(room: Room, asked: Asked, last: AgentFallow | None, at: dt.datetime) -> tuple[ComesIn, ...]:
    if last is None or last.end is None:
        return ()
    return tuple(comes_in(room, asked.agents, last.end, at))


def _cost(last: AgentFallow | None, began: dt.datetime, at: dt.datetime, basis: Basis) -> Found:
    lost = 0.0 if basis == "if" else max(elapsed_hours(began, at), 0.0)
    used = last.used if last is not None else None
    return Found(lost=lost, end=plus_hours(at, used.value) if used is not None else None)
