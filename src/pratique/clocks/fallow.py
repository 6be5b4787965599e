"""The clock of a water without fish: how long until what needs fish has died out in it.

The water is the whole water, all tanks that share it. The long figure holds at any temperature that is not too cold
for it; the warm figure only where every temperature on record since day one (or since it was last too cool) is high
enough and none is missing. Agents that live without fish get no date.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from pratique.clocks.moments import SAME_HOURS, hours_between, hours_later, in_zone, instant
from pratique.clocks.presence import Brought, Fish, Presence
from pratique.clocks.state import Alternative, Break, ClockState, Due, Row, Span, in_order, measured, spoken
from pratique.clocks.warmth import Spell, Temperature, WarmthRule, spells
from pratique.knowledge.clockrule import Effect
from pratique.knowledge.model import Sourced, cite

__all__ = ["Brought", "FallowRule", "Fish", "Temperature", "WarmthRule", "fallow_clock"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FallowRule:
    """One agent: its `long` figure, the `warm` one where there is one, each with its published range.

    Without `long` there is no date, and `no_date` says why. `effects` and `titles` are those of the clock `fallow`.
    """

    subject: str
    long: Sourced | None
    warmth: WarmthRule
    effects: Mapping[str, Effect]
    titles: Mapping[str, str]
    warm: Sourced | None = None
    no_date: str = ""


def fallow_clock(
    fish: Iterable[Fish],
    brought: Iterable[Brought] = (),
    temperatures: Iterable[Temperature] = (),
    *,
    rule: FallowRule,
    at: dt.datetime,
) -> ClockState:
    """How a fallow stands at `at`. Events may come in any order; those after `at` are left out.

    A water in which no fish ever was begins with the first thing brought from a water with fish. A finished fallow
    can still be restarted. ValueError for a kind of thing brought that is not declared.
    """
    now = instant(at)
    presence = Presence(rule.effects, rule.titles)
    presence.take_all(fish, brought, now)
    if rule.long is None:
        return in_zone(_without_date(presence, rule, now), at.tzinfo)
    if presence.started is None:
        return in_zone(_not_begun(presence, rule.long, now), at.tzinfo)
    return in_zone(_Run(presence, rule, rule.long, temperatures, now).state(), at.tzinfo)


def _without_date(presence: Presence, rule: FallowRule, at: dt.datetime) -> ClockState:
    counted = hours_between(presence.started, at) if presence.started is not None else 0.0
    row = Row(at=at, what=f"no date is given: {rule.no_date}", mark="problem")
    return ClockState(
        kind="fallow", at=at, started=presence.started, first_started=presence.first, counted=counted, needed=None,
        done_at=None, finished=None, unbroken=counted, breaks=tuple(presence.breaks), restarts=presence.restarts,
        explain=in_order([*presence.rows, row]),
    )  # fmt: skip


def _not_begun(presence: Presence, long: Sourced, at: dt.datetime) -> ClockState:
    if presence.fish:
        names = ", ".join(f"`{name}`" for name in presence.left[:3]) + (" and more" if len(presence.left) > 3 else "")
        what = f"there are still fish in this water ({names}): nothing counts until the last is out"
    else:
        what = "no fish is on record to have left this water: the day it was last in contact with fish is not known"
    return ClockState(
        kind="fallow", at=at, started=None, first_started=presence.first, counted=0.0, needed=long.value,
        needed_low=long.low, needed_high=long.high, done_at=None, finished=None, breaks=tuple(presence.breaks),
        restarts=presence.restarts, explain=in_order([*presence.rows, Row(at=at, what=what, mark="now")]),
    )  # fmt: skip


@dataclass(slots=True)
class _Path:
    """One of the two ways to the end: by the long figure, or by the warm one."""

    number: Sourced
    counted: float = 0.0
    finished: dt.datetime | None = None
    since: dt.datetime | None = None

    def add(self, spell: Spell) -> None:
        left = self.number.value - self.counted
        if self.finished is None and spell.hours >= left - SAME_HOURS:
            self.finished = min(hours_later(spell.start, left), spell.end)
        self.counted += spell.hours
        self.since = self.since or spell.start

    def done_at(self, at: dt.datetime) -> dt.datetime:
        return self.finished or hours_later(at, self.number.value - self.counted)


@dataclass(slots=True)
class _Warm:
    """The warm runs of one fallow: the one that still goes on, or that reached its end; and what broke the others."""

    path: _Path
    breaks: list[_Cooled] = field(default_factory=list)
    runs: bool = False


@dataclass(slots=True)
class _Cooled:
    """What ended a warm run that had gone on `since`, and when it was warm `again`."""

    spell: Spell
    since: dt.datetime
    again: dt.datetime | None = None


class _Run:
    """A fallow from its last day one: both paths, and the sooner of them."""

    def __init__(
        self, presence: Presence, rule: FallowRule, long: Sourced, temperatures: Iterable[Temperature], at: dt.datetime
    ) -> None:
        assert presence.started is not None
        self.presence, self.rule, self.at = presence, rule, at
        read = [reading for reading in temperatures if instant(reading.at) <= at]
        self.known = tuple(spells(read, rule.warmth, presence.started, at))
        self.last_read = max((instant(reading.at) for reading in read), default=None)
        self.long = _Path(long)
        for spell in self.known:
            if spell.warmth != "cold":
                self.long.add(spell)
        self.warm = self._warm_runs(rule.warm) if rule.warm is not None else None
        self.breaks = list(presence.breaks)
        self.rows = list(presence.rows)

    def _warm_runs(self, number: Sourced) -> _Warm:
        warm = _Warm(_Path(number))
        for spell in self.known:
            if warm.path.finished is not None:
                break
            if spell.warmth == "warm":
                if warm.breaks and warm.breaks[-1].again is None:
                    warm.breaks[-1].again = spell.start
                warm.path.add(spell)
                warm.runs = True
            else:
                if warm.path.since is not None:
                    warm.breaks.append(_Cooled(spell, warm.path.since))
                warm.path, warm.runs = _Path(number), False
        return warm

    def state(self) -> ClockState:
        leads, other = self._paths()
        self._cold()
        self._cool()
        self._say(leads)
        number, done_at = leads.number, leads.done_at(self.at)
        by = self._read_by(leads)
        return ClockState(
            kind="fallow", at=self.at, started=self.presence.started, first_started=self.presence.first,
            counted=leads.counted, needed=number.value, needed_low=number.low, needed_high=number.high,
            done_at=done_at, finished=leads.finished, unbroken=leads.counted,
            breaks=tuple(sorted(self.breaks, key=lambda found: instant(found.at))), restarts=self.presence.restarts,
            unknown=self._unknown(), slack=None if by is None else hours_between(self.at, by),
            due=() if by is None else (Due(what="a temperature", by=by, alert=hours_later(by, -12)),),
            instead=() if other is None else (self._alternative(other),), explain=in_order(self.rows),
        )  # fmt: skip

    def _paths(self) -> tuple[_Path, _Path | None]:
        """The one that ends sooner, and the other. The warm one only while it is warm, or once it has ended."""
        if self.warm is None:
            return self.long, None
        warm = self.warm.path
        if (self.warm.runs or warm.finished) and warm.done_at(self.at) < self.long.done_at(self.at):
            return warm, self.long
        return self.long, warm

    def _alternative(self, path: _Path) -> Alternative:
        choice = "the long figure" if path is self.long else "the warm figure, warm from now on"
        return Alternative(
            choice=choice, counted=path.counted, done_at=path.done_at(self.at), finished=path.finished,
            restarts=self.presence.restarts,
        )  # fmt: skip

    def _read_by(self, leads: _Path) -> dt.datetime | None:
        """When the next temperature has to be read for the warm figure to go on holding."""
        if self.warm is None or leads is not self.warm.path or leads.finished is not None:
            return None
        return None if self.last_read is None else hours_later(self.last_read, self.rule.warmth.gap)

    def _cold(self) -> None:
        for spell in self.known:
            if spell.warmth == "cold" and spell.reading is not None:
                why = f"below {self.rule.warmth.coldest:g} degC: the agent outlives the figure"
                self._broke(spell, why, spell.hours, f"{spoken(spell.hours)} {why}, and do not count")

    def _cool(self) -> None:
        """What ended a warm run: it costs what the warm count lost, and no more than the long figure is away."""
        if self.warm is None:
            return
        number, latest = self.warm.path.number, self.long.done_at(self.at)
        for cooled in self.warm.breaks:
            away = max(hours_between(hours_later(cooled.since, number.value), latest), 0.0)
            cost = min(hours_between(cooled.since, cooled.again or self.at), away)
            missing = cooled.spell.warmth == "unknown"
            why = "no temperature on record" if missing else f"not at {number.from_:g} degC or more"
            self._broke(cooled.spell, why, cost, f"{why}: the warm figure begins again, or the long one holds")

    def _broke(self, spell: Spell, why: str, cost: float, what: str) -> None:
        reading = spell.reading
        evidence = "" if reading is None else measured(reading.value, reading.low, reading.high, "degC")
        entry_id = "" if reading is None else reading.entry_id
        self.breaks.append(Break(at=spell.start, why=why, cost_hours=cost, entry_id=entry_id))
        self.rows.append(Row(at=spell.start, what=what, evidence=evidence, entry_id=entry_id, mark="stop"))

    def _unknown(self) -> tuple[Span, ...]:
        """Stretches without a temperature, where one would decide something."""
        if self.rule.warmth.warm is None and self.rule.warmth.coldest is None:
            return ()
        return tuple(
            Span(start=spell.start, end=spell.end, why="no temperature on record")
            for spell in self.known
            if spell.warmth == "unknown"
        )

    def _say(self, leads: _Path) -> None:
        for span in self._unknown():
            what = f"no temperature on record for {spoken(span.hours)}"
            self.rows.append(Row(at=span.start, what=what, mark="unknown"))
        which = "the long figure" if leads is self.long else "the warm figure"
        if leads.finished is not None:
            row = Row(at=leads.finished, what=f"{which} is reached", evidence=cite(leads.number), mark="done")
            self.rows.append(row)
        what = f"{spoken(leads.counted)} of {spoken(leads.number.value)} without fish, by {which}"
        self.rows.append(Row(at=self.at, what=what, evidence=cite(leads.number), mark="now"))
